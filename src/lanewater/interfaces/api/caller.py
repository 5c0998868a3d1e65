"""Who asks: the enrolled browser and the person behind a request, told by two cookies."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from fastapi import Depends, Request
from starlette.responses import Response

from lanewater.interfaces.api.served import Served
from lanewater.service.access import actor_of, sender_of
from lanewater.service.actor import Actor
from lanewater.service.permission import may

# The __Host- prefix binds a cookie to this host, to TLS (or this machine) and to the whole site.
DEVICE_COOKIE = "__Host-device"
SESSION_COOKIE = "__Host-session"
DEVICE_SECONDS = 400 * 86_400  # the longest that browsers keep a cookie


@dataclass(frozen=True, slots=True)
class Caller:
    """Who asks, and the tokens that told so; sender is the browser even where it was revoked."""

    actor: Actor
    device_token: str = ""
    session_token: str = ""
    sender: str = ""

    @property
    def device(self) -> str:
        """Give the enrolled browser's id, "" where it is not enrolled."""
        return self.actor.through

    @property
    def owner(self) -> bool:
        """Tell whether the session was opened with a first key."""
        return self.actor.method == "key"


def find_caller(served: Served, request: Request) -> Caller:
    """Tell who asks."""
    device = request.cookies.get(DEVICE_COOKIE, "")
    session = request.cookies.get(SESSION_COOKIE, "")
    known = sender_of(served.book, device)
    sender = known["id"] if known else ""
    return Caller(actor_of(served.book, device, session), device, session, sender)


def may_set_up(served: Served, caller: Caller) -> bool:
    """Tell whether somebody may change the set-up."""
    return may(served.book.state, caller.actor, "set-up") == "yes"


async def caller_of(request: Request) -> Caller:
    """Give who asks, as the gate found."""
    found: Caller = request.state.caller
    return found


Who = Annotated[Caller, Depends(caller_of)]


def set_cookie(answer: Response, name: str, token: str, seconds: int | None = None) -> None:
    """Hand a token to the browser; scripts never see it and other sites never send it."""
    answer.set_cookie(
        name, token, max_age=seconds, path="/", secure=True, httponly=True, samesite="strict"
    )


def drop_cookie(answer: Response, name: str) -> None:
    """Take a token from the browser."""
    answer.delete_cookie(name, path="/", secure=True, httponly=True, samesite="strict")
