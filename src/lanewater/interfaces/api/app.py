"""The API put together: every route of the table behind the gate, every error in one form."""

from __future__ import annotations

import inspect
from typing import Any

from fastapi import FastAPI, Request
from fastapi.responses import JSONResponse, Response
from starlette.exceptions import HTTPException

from lanewater import __version__
from lanewater.interfaces.api.caller import DEVICE_COOKIE, SESSION_COOKIE
from lanewater.interfaces.api.errors import (
    OF_STARLETTE,
    OK,
    STATUSES,
    documented,
    error_answer,
)
from lanewater.interfaces.api.gate import ANYBODY, INSPECTION, GatedRoute
from lanewater.interfaces.api.served import Served
from lanewater.interfaces.api.table import JSON, TABLE, Endpoint

ALWAYS = ("server", "not-recording")
OF_CALLERS = ("not-enrolled", "sign-in", "not-allowed")
OF_LINKS = ("link", "too-many")
OF_CHANGES = ("json", "cross-site", "refused", "too-large", "media-type", "input")
COOKIES: list[dict[str, list[str]]] = [{"device": [], "session": []}, {"device": []}]
LINK: list[dict[str, list[str]]] = [{"link": []}]
WORDS = {404: "there is nothing at this address", 405: "this address takes other methods"}


def build_api(served: Served | None) -> FastAPI:
    """Put the API together.

    Parameters
    ----------
    served : Served
        What requests are served from; None where the API is only described.

    Returns
    -------
    FastAPI
        Without any page of documentation; /openapi.json describes it.
    """
    app = FastAPI(
        title="Lanewater",
        version=__version__,
        description="One site: its pools, its rounds, its record. Errors have one form.",
        openapi_url=None,
        docs_url=None,
        redoc_url=None,
    )
    app.state.served = served
    app.state.who_may = {(row.method, row.path): row.who for row in TABLE}
    app.router.route_class = GatedRoute
    app.router.redirect_slashes = False
    for row in TABLE:
        add_route(app, row)
    app.add_exception_handler(HTTPException, not_here)
    describe(app)
    return app


def add_route(app: FastAPI, row: Endpoint) -> None:
    """Add one row of the table."""
    told: dict[int | str, dict[str, Any]] = {OK: {"model": row.answers}}
    if row.media != JSON:
        written = {"schema": {"type": "string", "format": "binary"}}
        told = {OK: {"description": "The file.", "content": {row.media: written}}}
    app.add_api_route(
        row.path,
        row.call,
        methods=[row.method],
        name=f"{row.method} {row.path}",
        operation_id=row.call.__name__,
        summary=(inspect.getdoc(row.call) or "").partition("\n")[0],
        description="",
        response_model=None,
        response_class=JSONResponse if row.media == JSON else Response,
        responses=told | documented(*errors_of(row)),
    )


def errors_of(row: Endpoint) -> list[str]:
    """Give what can go wrong on a route, in the order of statuses."""
    found = {*ALWAYS, *row.errors}
    if row.who == INSPECTION:
        found |= set(OF_LINKS)
    elif row.who != ANYBODY:
        found |= set(OF_CALLERS)
    if row.method != "GET":
        found |= set(OF_CHANGES)
    if "{" in row.path or row.who != ANYBODY:
        found.add("input")
    return [identity for identity in STATUSES if identity in found]


async def not_here(_request: Request, error: Exception) -> JSONResponse:
    """Answer an address that leads nowhere, or a method that it does not take."""
    status = error.status_code if isinstance(error, HTTPException) else 404
    identity = OF_STARLETTE.get(status, "missing")
    headers = getattr(error, "headers", None)
    return error_answer(identity, WORDS.get(status, WORDS[404]), headers=headers)


def describe(app: FastAPI) -> None:
    """Add to the description of the API how callers are known: two cookies, or a link."""
    made = app.openapi

    def openapi() -> dict[str, Any]:
        found = made()
        if "securitySchemes" not in found["components"]:
            found["components"]["securitySchemes"] = {
                "device": {"type": "apiKey", "in": "cookie", "name": DEVICE_COOKIE},
                "session": {"type": "apiKey", "in": "cookie", "name": SESSION_COOKIE},
                "link": {"type": "http", "scheme": "bearer"},
            }
            for row in TABLE:
                if row.who != ANYBODY:
                    operation = found["paths"][row.path][row.method.lower()]
                    operation["security"] = LINK if row.who == INSPECTION else COOKIES
        return found

    app.openapi = openapi  # type: ignore[method-assign]  # the framework's own way to describe more
