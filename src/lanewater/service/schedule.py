"""When a pool is due, from its rules, the site's plan, retests asked for and opening hours."""

from __future__ import annotations

from typing import Any

from lanewater.kernel.deciding.due import next_due
from lanewater.kernel.deciding.judging import next_due_by_pack
from lanewater.service.additions import retest_instants
from lanewater.service.book import Book
from lanewater.service.clock import MINUTE_MS, instant_text, offsets_ahead
from lanewater.service.judging import local_date, pool_facts, why_repeat
from lanewater.service.state import Pool, SiteState
from lanewater.terms.errors import LanewaterError

REPEAT_MS = 15 * MINUTE_MS
MINUTE = 60


def due(book: Book, pool: str, now_ms: int) -> dict[str, Any]:
    """Give when a pool's next round is due and why, in words' ids.

    Parameters
    ----------
    book : Book
        The site's book.
    pool : str
        The pool's id.
    now_ms : int
        UTC milliseconds.

    Returns
    -------
    dict
        {"at": text or None, "at_ms": int or None, "why", "detail", "every_minutes", "late"};
        why as `kernel.deciding.due.next_due` gives it.
    """
    state = book.state
    found = next_due(due_case(book, state, pool, now_ms))
    at_ms = None if found["at"] is None else found["at"] * 1000
    return {
        "at": None if at_ms is None else instant_text(at_ms),
        "at_ms": at_ms,
        "why": found["why"],
        "detail": found["detail"],
        "every_minutes": found["every_seconds"] // MINUTE,
        "late": at_ms is not None and at_ms + grace_ms(found) < now_ms,
    }


def grace_ms(found: dict[str, Any]) -> int:
    """Give how long a repeat, which is due at once, may take before it counts as late."""
    return REPEAT_MS if (found["why"], found["detail"]) == ("retest", "repeat") else 0


def out_of_date(book: Book, pool: str, now_ms: int) -> bool:
    """Tell whether a pool's last round no longer says how it is.

    A round is good until the next is due, never longer than the shortest interval that rules or
    plan set, and never into the site's next day.

    Parameters
    ----------
    book : Book
        The site's book.
    pool : str
        The pool's id.
    now_ms : int
        UTC milliseconds.
    """
    state = book.state
    last = state.last_round(pool)
    if last is None or due(book, pool, now_ms)["late"]:
        return True
    case = due_case(book, state, pool, now_ms)
    intervals = [case[key]["every_seconds"] for key in ("pack", "plan")]
    shortest = min((every for every in intervals if every), default=0)
    if shortest and now_ms - last.at_ms > shortest * 1000:
        return True
    return local_date(state, last.at_ms) != local_date(state, now_ms)


def due_case(book: Book, state: SiteState, pool: str, now_ms: int) -> dict[str, Any]:
    """Put together what the kernel asks for."""
    known = state.pools[pool]
    last = state.last_round(pool)
    return {
        "now": now_ms // 1000,
        "last": None if last is None else last.at_ms // 1000,
        "pack": pack_interval(book, state, pool),
        "plan": {
            "every_seconds": known.interval_minutes * MINUTE,
            "before_opening_seconds": known.before_opening_minutes * MINUTE,
        },
        "retests": retests(state, pool),
        "events": [],
        "hours": hours_of(known),
        "offsets": offsets_ahead(state.site.timezone, now_ms, days=30),
    }


def hours_of(pool: Pool) -> list[dict[str, int]] | None:
    """Give a pool's hours as the kernel asks for them."""
    if pool.hours is None:
        return None
    return [{"day": row.day, "opens": row.opens, "closes": row.closes} for row in pool.hours]


def pack_interval(book: Book, state: SiteState, pool: str) -> dict[str, Any]:
    """Give the interval that the pool's rules set, 0 where they set none."""
    rules = state.rules_of(pool).id
    if not rules:
        return {"every_seconds": 0, "detail": "no local rules chosen"}
    case = {"purpose": "round", "pool": pool_facts(state, pool), "readings": []}
    try:
        pack = book.load(rules)
    except LanewaterError as error:
        return {"every_seconds": 0, "detail": str(error)}
    found = next_due_by_pack(pack, case | {"history": [], "at": None})
    return {"every_seconds": found["every_seconds"], "detail": found["why"]}


def retests(state: SiteState, pool: str) -> list[dict[str, Any]]:
    """Give the retests that are asked for and not done."""
    found = [
        {"at": instant // 1000, "detail": "addition"} for instant in retest_instants(state, pool)
    ]
    last = state.last_round(pool)
    if last is not None and why_test_again(state, pool):
        found.append({"at": last.at_ms // 1000, "detail": "repeat"})
    return found


def why_test_again(state: SiteState, pool: str) -> str:
    """Tell why a pool's last round is to be done again now, "" where it is not.

    Once something is being added after a round that fails, its own retest takes this one's place.

    Returns
    -------
    str
        changed, doubt, fails, surprise or "".
    """
    last = state.last_round(pool)
    verdict = state.verdicts.get(last.id) if last else None
    if last is None or verdict is None:
        return ""
    why = why_repeat({**verdict.body, "overall": verdict.overall})
    mates = state.same_filter(pool)
    added = any(
        row.pool in mates and row.answer != "not-added" and row.started_ms >= last.at_ms
        for row in state.additions.values()
    )
    return "" if added and why == "fails" else why
