"""Whether the server runs, and what it offers."""

from __future__ import annotations

from fastapi import Request
from fastapi.responses import JSONResponse

from lanewater.interfaces.api.routes.answering import answer
from lanewater.interfaces.api.served import Site


def health(served: Site) -> JSONResponse:
    """Tell that the server runs, and whether it still records."""
    return answer({"ok": True, "recording": served.book.recording})


def openapi(request: Request) -> JSONResponse:
    """Describe this API."""
    return answer(request.app.openapi())
