"""Who passes: where a request comes from and who asks, before its body is read."""

from __future__ import annotations

from collections.abc import Callable, Coroutine
from typing import Any
from urllib.parse import urlsplit

from fastapi import Request, Response
from fastapi.exceptions import RequestValidationError
from fastapi.routing import APIRoute
from starlette.concurrency import run_in_threadpool

from lanewater.interfaces.api.body import LARGEST_OF_STRANGERS, JsonRequest
from lanewater.interfaces.api.caller import find_caller, may_set_up
from lanewater.interfaces.api.errors import WireError, answer_to, fault, unfit
from lanewater.interfaces.api.served import Served
from lanewater.interfaces.api.watch import watch
from lanewater.service.inspection import Link, link_of
from lanewater.terms.errors import LanewaterError

ANYBODY = "anybody"
ENROLLED = "enrolled"
SIGNED_IN = "signed-in"
MAY_SET_UP = "may-set-up"
INSPECTION = "inspection"
SENDING = "sending"
NOBODY = "nobody"

SAFE_METHODS = ("GET", "HEAD")


class GatedRoute(APIRoute):
    """A route behind the gate; its errors all take the one form."""

    def get_route_handler(self) -> Callable[[Request], Coroutine[Any, Any, Response]]:
        """Give the handler of this route with the gate before it."""
        handle = super().get_route_handler()
        has_body = self.body_field is not None

        async def behind_the_gate(request: Request) -> Response:
            # A route that does not stand in the table is open to nobody.
            wanted = request.app.state.who_may.get((request.method, self.path), NOBODY)
            asked = JsonRequest(request.scope, request.receive)
            if wanted == ANYBODY:
                asked.largest = LARGEST_OF_STRANGERS
            served: Served = request.app.state.served
            try:
                refuse_other_sites(request, served)
                await run_in_threadpool(pass_gate, served, asked, wanted)
                if has_body:
                    await asked.checked_json()
                answer = await handle(asked)
            except Exception as error:
                answer = answer_for(error, asked)
            watch(served, asked, self.path, answer.status_code)
            return answer

        return behind_the_gate


def answer_for(error: Exception, asked: JsonRequest) -> Response:
    """Give the answer to an error, in the one form of every error."""
    if isinstance(error, WireError):
        return error.answer()
    if isinstance(error, RequestValidationError):
        return unfit(error)
    if isinstance(error, LanewaterError):
        return answer_to(error, all_that_was_sent(asked))
    return fault(error)


def all_that_was_sent(asked: JsonRequest) -> list[Any]:
    """Give the values of a request's body, path and query."""
    return [
        getattr(asked, "_json", None),
        dict(asked.path_params),
        dict(asked.query_params),
    ]


def pass_gate(served: Served, request: Request, wanted: str) -> None:
    """Tell who asks, and let them through or say what is missing.

    Raises
    ------
    WireError
        Where the caller may not use the route.
    """
    caller = request.state.caller = find_caller(served, request)
    if wanted == ANYBODY:
        return
    if wanted == NOBODY:
        raise WireError("not-allowed", "nobody may use this")
    if wanted == INSPECTION:
        request.state.link = find_link(served, request)
        return
    if wanted == SENDING and caller.sender:
        return
    if not caller.device:
        raise WireError(
            "not-enrolled", "enrol this browser with a first key: `lanewater access new`"
        )
    if wanted == SIGNED_IN and not caller.actor.verified:
        raise WireError("sign-in", "sign in with your PIN first")
    if wanted == MAY_SET_UP and not may_set_up(served, caller):
        raise WireError(
            "not-allowed", "to change the site's set-up takes the area manager or a first key"
        )


def find_link(served: Served, request: Request) -> Link:
    """Find the inspector's link that a request carries; cookies open nothing here.

    Raises
    ------
    WireError
        Where it carries none, or too many were tried.
    LinkError
        Where it opens nothing, or no more.
    """
    served.doors.try_link(request.client.host if request.client else "")
    scheme, _, token = request.headers.get("authorization", "").partition(" ")
    if request.method != "GET" or scheme.lower() != "bearer" or not token.isascii():
        raise WireError("link", "open the whole link that the site gave you")
    return link_of(served.book, token.strip())


def refuse_other_sites(request: Request, served: Served) -> None:
    """Refuse what another site's page could send: by Fetch-Metadata, or else by Origin.

    Raises
    ------
    WireError
        Where a change does not come from our own pages.
    """
    if request.method in SAFE_METHODS:
        return
    told = request.headers.get("sec-fetch-site")
    if told == "same-origin":
        return
    if told in (None, "none") and own_origin(request, served):
        return
    raise WireError("cross-site", "a change is taken from this site's own pages only")


def own_origin(request: Request, served: Served) -> bool:
    """Tell whether the Origin is where this request arrived."""
    try:
        origin = urlsplit(request.headers.get("origin", ""))
    except ValueError:
        return False
    scheme = "https" if served.over_tls else "http"
    return origin.scheme == scheme and origin.netloc == request.headers.get("host", "")
