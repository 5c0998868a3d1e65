"""Closing for cause and what follows it, and who decides what here."""

from __future__ import annotations

from fastapi.responses import JSONResponse

from lanewater.interfaces.api.caller import Who
from lanewater.interfaces.api.routes.answering import PoolId, answer, known_pool, prove
from lanewater.interfaces.api.schemas.closing import (
    CloseSent,
    DeadlineMetSent,
    LiftSent,
    MatrixSent,
    NoticeSent,
    NotifiedSent,
)
from lanewater.interfaces.api.served import Site
from lanewater.service import closures, matrix, opening
from lanewater.service.permission import require


def close_pool(pool: PoolId, sent: CloseSent, served: Site, caller: Who) -> JSONResponse:
    """Close a pool for a reason, or shut it for the hours; a PIN is held to where it is given."""
    given = {"pool": known_pool(served, pool), **sent.given()}
    require(served.book.state, caller.actor, "close")
    if "pin" in given:
        prove(served, caller, given.pop("pin"))
    return answer(opening.close_pool(served.book, caller.actor, given))


def lift(pool: PoolId, sent: LiftSent, served: Site, caller: Who) -> JSONResponse:
    """Keep that an authority lifted its order; the pool stays closed until somebody opens it."""
    given = {"pool": known_pool(served, pool), **sent.given()}
    require(served.book.state, caller.actor, "open")
    prove(served, caller, given.pop("pin"))
    return answer(closures.lift_closure(served.book, caller.actor, given))


def notified(pool: PoolId, sent: NotifiedSent, served: Site, caller: Who) -> JSONResponse:
    """Keep that an authority was notified."""
    given = {"pool": known_pool(served, pool), **sent.given()}
    return answer(closures.keep_notified(served.book, caller.actor, given))


def notice(pool: PoolId, sent: NoticeSent, served: Site, caller: Who) -> JSONResponse:
    """Keep that a sign was put up."""
    given = {"pool": known_pool(served, pool), **sent.given()}
    return answer(closures.keep_notice(served.book, caller.actor, given))


def deadline_met(pool: PoolId, sent: DeadlineMetSent, served: Site, caller: Who) -> JSONResponse:
    """Keep that a person says that a deadline of the rules was met."""
    given = {"pool": known_pool(served, pool), **sent.given()}
    return answer(closures.keep_met(served.book, caller.actor, given))


def show_matrix(served: Site) -> JSONResponse:
    """Tell who decides what here."""
    return answer(matrix.matrix_told(served.book))


def change_matrix(sent: MatrixSent, served: Site, caller: Who) -> JSONResponse:
    """Change who decides what here, from now on."""
    return answer(matrix.set_matrix(served.book, caller.actor, sent.given()))
