"""What the state holds no more, read again from the record: older rounds and amounts by period."""

from __future__ import annotations

from dataclasses import replace

from lanewater.records.store import finding, log
from lanewater.service.book import Book
from lanewater.service.fold.reading_back import Rounds, amounts_between, rounds_at
from lanewater.service.judging import EVENTS_MS, MOST_LOOKED_AT
from lanewater.service.state import Round, SiteState

ROUND = "round-recorded"


def with_past(book: Book, pool: str, since_ms: int) -> SiteState:
    """Give the state with all of a pool's rounds since an instant, and all amounts since then.

    Parameters
    ----------
    book : Book
        The site's book.
    pool : str
        The pool whose rounds are asked for.
    since_ms : int
        UTC milliseconds.
    """
    with book.reading() as connection:
        state = book.state
        whole_from = state.whole_from.get(pool, 0)
        if since_ms < whole_from:
            places = finding.between(
                connection,
                book.site,
                since_ms=since_ms,
                until_ms=whole_from,
                pool=pool,
                types=(ROUND,),
                by="stands_ms",
            )
            state = with_rounds(state, pool, rounds_at(connection, book.site, places))
        return with_amounts(book, state, since_ms, state.additions_from)


def with_rounds(state: SiteState, pool: str, past: Rounds) -> SiteState:
    """Put older rounds before those that a state holds of a pool."""
    held = {row.id: row for row in (*past.rounds, *state.rounds.get(pool, ()))}
    rounds = tuple(sorted(held.values(), key=lambda row: (row.at_ms, row.index)))
    return replace(
        state,
        rounds={**state.rounds, pool: rounds},
        verdicts={**past.verdicts, **state.verdicts},
    )


def with_amounts(book: Book, state: SiteState, since_ms: int, until_ms: int) -> SiteState:
    """Put what was advised and added between two instants to what a state holds."""
    if since_ms >= state.additions_from:
        return state
    until_ms = min(until_ms, state.additions_from)
    with book.reading() as connection:
        advices, additions = amounts_between(connection, book.site, since_ms, until_ms)
    return replace(
        state,
        advices={**advices, **state.advices},
        additions={**additions, **state.additions},
    )


def with_round(book: Book, identity: str) -> SiteState:
    """Give the state with one round in it, however old; as it is where there is no such round."""
    with book.reading() as connection:
        state = book.state
        if state.round_by_id(identity) is not None:
            return state
        row = log.row_by_id(connection, identity)
        past = rounds_at(connection, book.site, [] if row is None else [row.log_index])
        for found in past.rounds:
            state = with_rounds(state, found.pool, past)
        return state


def as_of(book: Book, state: SiteState, found: Round) -> SiteState:
    """Give the state with the rounds and amounts before an older round, as judging looks at them.

    Parameters
    ----------
    book : Book
        The site's book.
    state : SiteState
        That holds the round.
    found : Round
        The round; for one of the latest the state is given as it is.
    """
    latest = state.rounds[found.pool][-MOST_LOOKED_AT:]
    looked_at = (latest[0].at_ms, latest[0].index) <= (found.at_ms, found.index)
    if looked_at and found.at_ms >= state.whole_from.get(found.pool, 0):
        return state
    with book.reading() as connection:
        places = finding.last_of(
            connection, book.site, found.pool, ROUND, MOST_LOOKED_AT, at_ms=found.at_ms
        )
        past = rounds_at(connection, book.site, places)
        rounds = {row.id: row for row in past.rounds} | {found.id: found}
        state = replace(
            state,
            rounds={**state.rounds, found.pool: tuple(rounds.values())},
            verdicts={**past.verdicts, **state.verdicts},
        )
        return with_amounts(book, state, found.at_ms - EVENTS_MS, found.at_ms + 1)


def last_rounds(book: Book, pool: str, limit: int, until_ms: int) -> SiteState:
    """Give the state with a pool's last rounds before an instant, so many at least."""
    with book.reading() as connection:
        state = book.state
        whole_from = state.whole_from.get(pool, 0)
        held = [row for row in state.rounds.get(pool, ()) if whole_from <= row.at_ms < until_ms]
        if not whole_from or len(held) >= limit:
            return state
        places = finding.last_of(connection, book.site, pool, ROUND, limit, at_ms=until_ms - 1)
        return with_rounds(state, pool, rounds_at(connection, book.site, places))
