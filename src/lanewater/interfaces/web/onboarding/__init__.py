"""The page by which a tablet learns to trust a site: over plain HTTP, and nothing else."""

from __future__ import annotations

from dataclasses import dataclass
from html import escape
from pathlib import Path
from string import Template

from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.types import Receive, Scope, Send

from lanewater.reports.code import stamp_code

FOLDER = Path(__file__).parent
# It has no script, asks nothing and sends nothing.
HEADERS = {
    "Content-Security-Policy": (
        "default-src 'none'; style-src 'self'; img-src 'self'; frame-ancestors 'none'; "
        "base-uri 'none'; form-action 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cache-Control": "no-store",
}
FOR_TABLETS = "application/x-x509-ca-cert"


@dataclass(frozen=True, slots=True)
class Onboarding:
    """What the page tells.

    Attributes
    ----------
    authority : bytes
        The authority's certificate, DER: the only thing that is handed out.
    fingerprint : str
        Its SHA-256, "AB:CD:...".
    names : tuple of str
        What it speaks for.
    here : str
        The address of this page.
    site : str
        The address of the site over TLS.
    """

    authority: bytes
    fingerprint: str
    names: tuple[str, ...]
    here: str
    site: str

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request; every address but four leads nowhere."""
        if scope["type"] != "http":
            return
        answer = self.answer(Request(scope))
        answer.headers.update(HEADERS)
        await answer(scope, receive, send)

    def answer(self, request: Request) -> Response:
        """Give the page, the certificate, the code or the page's style."""
        if request.method not in ("GET", "HEAD"):
            return PlainTextResponse("Only GET and HEAD.\n", 405, headers={"Allow": "GET, HEAD"})
        match request.scope["path"]:
            case "/":
                return Response(self.page(), media_type="text/html")
            case "/page.css":
                return Response((FOLDER / "page.css").read_bytes(), media_type="text/css")
            case "/code.svg":
                return Response(stamp_code(self.here)[0], media_type="image/svg+xml")
            case "/lanewater.crt":
                return Response(self.authority, headers={"Content-Type": FOR_TABLETS})
        return PlainTextResponse("There is nothing at this address.\n", 404)

    def page(self) -> str:
        """Write the page."""
        middle = len(self.fingerprint) // 2
        return Template((FOLDER / "page.html").read_text(encoding="utf-8")).substitute(
            names=escape(", ".join(self.names)),
            first_half=self.fingerprint[:middle],
            second_half=self.fingerprint[middle + 1 :],
            site=escape(self.site),
            here=escape(self.here),
        )
