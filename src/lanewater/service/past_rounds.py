"""Rounds that are on record: as recorded, as corrected, and what the rules said."""

from __future__ import annotations

from typing import Any

from lanewater.service.book import Book
from lanewater.service.clock import LATEST_MS, instant_text
from lanewater.service.judging import verdict_on_the_wire
from lanewater.service.past import last_rounds, with_round
from lanewater.service.record import readings_with_corrections
from lanewater.service.state import Round, SiteState
from lanewater.terms.errors import MissingError


def rounds(
    book: Book,
    *,
    pool: str | None = None,
    since_ms: int | None = None,
    until_ms: int | None = None,
    limit: int = 100,
) -> list[dict[str, Any]]:
    """Give rounds and samples, oldest first.

    Parameters
    ----------
    book : Book
        The site's book.
    pool : str, optional
        Only of this pool.
    since_ms, until_ms : int, optional
        Only those taken between; until is not included. [UTC ms]
    limit : int
        Only so many, the latest ones.
    """
    before_ms = LATEST_MS if until_ms is None else until_ms
    rows: list[tuple[Round, SiteState]] = []
    for name in book.state.pools if pool is None else [pool]:
        state = last_rounds(book, name, limit, before_ms)
        rows += [
            (known, state)
            for known in state.rounds.get(name, ())
            if (since_ms is None or known.at_ms >= since_ms) and known.at_ms < before_ms
        ]
    rows.sort(key=lambda row: (row[0].at_ms, row[0].index))
    return [round_row(state, known) for known, state in rows[-limit:]]


def one_round(book: Book, identity: str) -> dict[str, Any]:
    """Give one round.

    Raises
    ------
    MissingError
        Where it is not on record.
    """
    state = with_round(book, identity)
    found = state.round_by_id(identity)
    if found is None:
        raise MissingError("there is no such round on record")
    return round_row(state, found)


def round_row(state: SiteState, known: Round) -> dict[str, Any]:
    """Give a round with each reading as typed, its corrections beside it, and its verdict."""
    return {
        "id": known.id,
        "pool": known.pool,
        "at": instant_text(known.at_ms),
        "recorded_at": instant_text(known.recorded_ms),
        "source": known.source,
        "purpose": known.purpose,
        "by": known.by,
        "verified": known.verified,
        "through": known.through,
        "readings": readings_with_corrections(known),
        "changed_after_result": [dict(row) for row in known.changed_after_result],
        "bathers": known.bathers,
        "note": known.note,
        "reason": known.reason,
        "verdict": verdict_on_the_wire(state.verdicts.get(known.id)),
    }
