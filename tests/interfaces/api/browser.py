"""A browser without a window: it asks an ASGI application in this process."""

from __future__ import annotations

import asyncio
import json as json_text
from collections.abc import AsyncIterator, Mapping
from typing import Any

import httpx

ORIGIN = "http://127.0.0.1:8321"
OWN_PAGE = {"Sec-Fetch-Site": "same-origin"}
UNSAID: Any = object()


class Browser:
    """Asks one application; cookies are named in each question, none are kept."""

    def __init__(self, app: Any) -> None:
        self.runner = asyncio.Runner()
        transport = httpx.ASGITransport(app=app, raise_app_exceptions=False)
        self.client = httpx.AsyncClient(transport=transport, base_url=ORIGIN)

    def ask(
        self,
        method: str,
        path: str,
        body: Any = UNSAID,
        *,
        raw: bytes | AsyncIterator[bytes] | None = None,
        cookies: Mapping[str, str] | None = None,
        headers: Mapping[str, str] | None = None,
    ) -> httpx.Response:
        """Ask as a page of this site does; headers put in replace its own."""
        sent = dict(OWN_PAGE)
        content = raw
        if body is not UNSAID:
            content = json_text.dumps(body).encode()
        if content is not None:
            sent["Content-Type"] = "application/json"
        if cookies:
            sent["Cookie"] = "; ".join(f"{name}={value}" for name, value in cookies.items())
        for name, value in (headers or {}).items():
            sent.pop(name, None)
            if value:
                sent[name] = value
        return self.runner.run(self.client.request(method, path, content=content, headers=sent))

    def close(self) -> None:
        """Close it."""
        self.runner.run(self.client.aclose())
        self.runner.close()


def cookies_set(response: httpx.Response) -> dict[str, str]:
    """Give the cookies that an answer hands out, by name."""
    found = {}
    for line in response.headers.get_list("set-cookie"):
        name, _, rest = line.partition("=")
        found[name] = rest.partition(";")[0]
    return found
