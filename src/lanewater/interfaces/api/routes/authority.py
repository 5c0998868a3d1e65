"""Opening with nobody senior there: a word by telephone, standing authority, and confirming."""

from __future__ import annotations

from fastapi.responses import JSONResponse

from lanewater.interfaces.api.caller import Who
from lanewater.interfaces.api.routes.answering import PoolId, answer, known_pool, prove
from lanewater.interfaces.api.schemas.authority import (
    AuthorityEndSent,
    AuthoritySent,
    ConfirmSent,
    TelephoneSent,
)
from lanewater.interfaces.api.served import Site
from lanewater.service import authority


def confirm(pool: PoolId, sent: ConfirmSent, served: Site, caller: Who) -> JSONResponse:
    """Stand by one's word, given by telephone, on which a pool was opened."""
    given = {"pool": known_pool(served, pool), **sent.given()}
    prove(served, caller, given.pop("pin"))
    return answer(authority.confirm_opening(served.book, caller.actor, given))


def list_authorities(served: Site) -> JSONResponse:
    """List who may open though it is not their part, and when."""
    book = served.book
    found = authority.authorities(book, book.clock())
    return answer({"authorities": found, "telephone": book.state.site.telephone_authority})


def give_authority(sent: AuthoritySent, served: Site, caller: Who) -> JSONResponse:
    """Let somebody open some pools in some time, where every reading meets."""
    given = sent.given()
    authority.hold_to_charge(served.book.state, caller.actor)
    prove(served, caller, given.pop("pin"))
    return answer(authority.give_authority(served.book, caller.actor, given))


def end_authority(sent: AuthorityEndSent, served: Site, caller: Who) -> JSONResponse:
    """End a standing authority before its time."""
    given = sent.given()
    authority.hold_to_charge(served.book.state, caller.actor)
    prove(served, caller, given.pop("pin"))
    return answer(authority.end_authority(served.book, caller.actor, given))


def allow_telephone(sent: TelephoneSent, served: Site, caller: Who) -> JSONResponse:
    """Say whether a pool may be opened on a word by telephone here."""
    return answer(authority.allow_telephone(served.book, caller.actor, sent.given()))
