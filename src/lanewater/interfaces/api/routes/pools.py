"""Pools now: how they stand, everyone out, opening and closing, telling."""

from __future__ import annotations

from fastapi.responses import JSONResponse

from lanewater.interfaces.api.caller import Who
from lanewater.interfaces.api.routes.answering import PoolId, answer, known_pool, prove
from lanewater.interfaces.api.schemas.pools import (
    EndStopSent,
    EveryoneOutSent,
    OpenSent,
    SettleSent,
    ToldSent,
)
from lanewater.interfaces.api.served import Site
from lanewater.service import authority, causes, context, now, opening
from lanewater.service.permission import require

# By what else than by role a pool is opened.
OTHERWISE = {"word_of": authority.open_on_word, "standing": authority.open_under_standing}


def now_page(served: Site, caller: Who) -> JSONResponse:
    """Tell how every pool stands."""
    return answer(now.now_page(served.book, served.book.clock(), caller.actor.person))


def pool_context(pool: PoolId, served: Site) -> JSONResponse:
    """Give what a page needs to judge a round by itself, with no network."""
    return answer(context.pool_context(served.book, pool, served.book.clock()))


def pool_causes(pool: PoolId, served: Site) -> JSONResponse:
    """Rank what may lie behind the water's ways, by the pool's own last two weeks."""
    return answer({"answers": causes.causes_for(served.book, pool, served.book.clock())})


def everyone_out(pool: PoolId, sent: EveryoneOutSent, served: Site, caller: Who) -> JSONResponse:
    """Call everyone out: anybody at an enrolled browser, signed in or not."""
    given = {"pool": known_pool(served, pool), **sent.given()}
    return answer(opening.everyone_out(served.book, caller.actor, given))


def end_stop(pool: PoolId, sent: EndStopSent, served: Site, caller: Who) -> JSONResponse:
    """End a house stop after a second look; the pool stays closed until somebody opens it."""
    given = {"pool": known_pool(served, pool), **sent.given()}
    require(served.book.state, caller.actor, "end-house-stop")
    prove(served, caller, given.pop("pin"))
    return answer(opening.end_house_stop(served.book, caller.actor, given))


def open_pool(pool: PoolId, sent: OpenSent, served: Site, caller: Who) -> JSONResponse:
    """Open a pool, on the word of a person who may; theirs, or as `word_of` or `standing` says."""
    given = {"pool": known_pool(served, pool), **sent.given()}
    for key, command in OTHERWISE.items():
        if key in given:
            prove(served, caller, given.pop("pin"))
            return answer(command(served.book, caller.actor, given))
    require(served.book.state, caller.actor, "open")
    prove(served, caller, given.pop("pin"))
    return answer(opening.open_pool(served.book, caller.actor, given))


def settle(pool: PoolId, sent: SettleSent, served: Site, caller: Who) -> JSONResponse:
    """Decide how a pool stands where two devices disagree; what was written stays."""
    given = {"pool": known_pool(served, pool), **sent.given()}
    require(served.book.state, caller.actor, "open")
    prove(served, caller, given.pop("pin"))
    return answer(opening.settle_opening(served.book, caller.actor, given))


def told(pool: PoolId, sent: ToldSent, served: Site, caller: Who) -> JSONResponse:
    """Keep that somebody was told about a round or a stop."""
    given = {"pool": known_pool(served, pool), **sent.given()}
    return answer(opening.told(served.book, caller.actor, given))
