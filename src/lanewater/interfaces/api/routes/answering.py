"""The pieces that routes share."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Any

from fastapi import Path, Query
from fastapi.responses import JSONResponse

from lanewater.interfaces.api.caller import Caller
from lanewater.interfaces.api.schemas.base import ID_FORM
from lanewater.interfaces.api.served import Served
from lanewater.service.access import check_pin
from lanewater.service.clock import instant_ms
from lanewater.terms.errors import MissingError

PoolId = Annotated[str, Path(pattern=ID_FORM, max_length=64, description="The pool's id.")]
PoolWanted = Annotated[str | None, Query(pattern=ID_FORM, max_length=64)]
InstantWanted = Annotated[str | None, Query(max_length=40, description="RFC 3339 with offset.")]
LimitWanted = Annotated[int, Query(ge=1, le=1000, description="Only so many, the latest ones.")]
From = Annotated[
    str | None, Query(alias="from", max_length=40, description="RFC 3339 with its offset.")
]
To = Annotated[
    str | None,
    Query(alias="to", max_length=40, description="RFC 3339 with its offset; not included."),
]


def answer(content: Any) -> JSONResponse:
    """Give an answer as it stands; schemas describe it and tests hold it to them."""
    return JSONResponse(content)


def known_pool(served: Served, pool: str) -> str:
    """Give the pool of an address.

    Raises
    ------
    MissingError
        Where there is no such pool.
    """
    if pool not in served.book.state.pools:
        raise MissingError("there is no such pool here")
    return pool


def span(since: str | None, until: str | None) -> dict[str, int | None]:
    """Read the two ends of a time."""
    return {
        "since_ms": None if since is None else instant_ms(since, "from"),
        "until_ms": None if until is None else instant_ms(until, "to"),
    }


def prove(served: Served, caller: Caller, pin: str) -> None:
    """Hold a PIN to the person who is signed in, for what only they may decide.

    Raises
    ------
    WireError
        After too many tries.
    SignInError, LockedError
        Where it does not fit.
    """
    with_tries(
        served,
        caller.device,
        caller.actor.person,
        lambda: check_pin(served.book, caller.device, caller.actor.person, pin),
    )


def with_tries(served: Served, device: str, person: str, check: Callable[[], Any]) -> Any:
    """Run a check of a PIN that costs a try where the PIN is wrong."""
    served.doors.try_pin(device, person)
    found = check()
    served.doors.pin_was_right(device, person)
    return found
