"""What every answer carries and what no request passes: headers, host names, faults."""

from __future__ import annotations

from starlette.datastructures import MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from lanewater.interfaces.api.errors import error_answer, fault

POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' data:",
        "connect-src 'self'",
        "font-src 'self'",
        "manifest-src 'self'",
        "worker-src 'self'",
        "frame-ancestors 'none'",
        "base-uri 'none'",
        "form-action 'self'",
    )
)
HEADERS = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=(), payment=(), usb=()",
}
# Two years; only where a proxy ends TLS before us, else browsers could not come back.
OVER_TLS = {"Strict-Transport-Security": "max-age=63072000"}


class Shield:
    """Put the headers on every answer, whatever gives it.

    Parameters
    ----------
    app : ASGI application
        What is behind it.
    over_tls : bool
        Whether browsers come over TLS.
    names : frozenset of str
        The host names that are answered; empty for any. Names of others point at this machine
        only where somebody wants a browser to mistake it for theirs.
    """

    def __init__(self, app: ASGIApp, *, over_tls: bool, names: frozenset[str]) -> None:
        self.app = app
        self.headers = HEADERS | (OVER_TLS if over_tls else {})
        self.names = names

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http":
            if scope["type"] == "lifespan":
                await self.app(scope, receive, send)
            return
        begun = False

        async def send_shielded(message: Message) -> None:
            nonlocal begun
            if message["type"] == "http.response.start":
                begun = True
                headers = MutableHeaders(scope=message)
                for name, value in self.headers.items():
                    headers[name] = value
                headers.setdefault("Cache-Control", "no-store")
            await send(message)

        try:
            if self.names and host_of(scope) not in self.names:
                misdirected = error_answer("host", "this server answers to another host name")
                await misdirected(scope, receive, send_shielded)
                return
            await self.app(scope, receive, send_shielded)
        except Exception as error:
            answer = fault(error)
            if not begun:
                await answer(scope, receive, send_shielded)


def host_of(scope: Scope) -> str:
    """Give the host name that a request is for, without its port."""
    for name, value in scope["headers"]:
        if name == b"host":
            text: str = value.decode("latin-1").lower()
            return text.rpartition("]")[0] + "]" if "]" in text else text.partition(":")[0]
    return ""
