"""Rounds, corrections, and the record."""

from __future__ import annotations

from typing import Annotated

from fastapi import Path
from fastapi.responses import JSONResponse

from lanewater.interfaces.api.caller import Who
from lanewater.interfaces.api.routes.amounts import without_amounts
from lanewater.interfaces.api.routes.answering import (
    From,
    LimitWanted,
    PoolWanted,
    To,
    answer,
    span,
)
from lanewater.interfaces.api.schemas.base import FactId
from lanewater.interfaces.api.schemas.rounds import CorrectionSent, RoundSent
from lanewater.interfaces.api.served import Site
from lanewater.service import past_rounds, record, rounds

RoundId = Annotated[FactId, Path(description="The round's id.")]


def record_round(sent: RoundSent, served: Site, caller: Who) -> JSONResponse:
    """Save a round, then judge it; answered once it is on disk. Anybody may."""
    return answer(rounds.record_round(served.book, caller.actor, sent.given()))


def correct(round_id: RoundId, sent: CorrectionSent, served: Site, caller: Who) -> JSONResponse:
    """Put a correction beside a reading; both stay, and the round is judged again."""
    past_rounds.one_round(served.book, round_id)
    given = {"round": round_id, **sent.given()}
    return answer(rounds.correct_reading(served.book, caller.actor, given))


def list_rounds(
    served: Site,
    pool: PoolWanted = None,
    since: From = None,
    until: To = None,
    limit: LimitWanted = 100,
) -> JSONResponse:
    """List rounds with their verdicts, oldest first."""
    found = past_rounds.rounds(served.book, pool=pool, limit=limit, **span(since, until))
    return answer(found)


def one_round(round_id: RoundId, served: Site) -> JSONResponse:
    """Give one round."""
    return answer(past_rounds.one_round(served.book, round_id))


def list_record(
    served: Site,
    caller: Who,
    pool: PoolWanted = None,
    since: From = None,
    until: To = None,
    limit: LimitWanted = 200,
) -> JSONResponse:
    """List the lines of the record, oldest first; advised amounts only for the competent."""
    found = record.lines(served.book, pool=pool, limit=limit, **span(since, until))
    return answer(without_amounts(served.book, caller.actor, found))
