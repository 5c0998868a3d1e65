"""The earlier rounds that rules look back at: what must last, or be broken more than once."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lanewater.kernel.deciding.lookback import lookback_of, looked_back, window_of_history
from lanewater.measurement.kits import Kit
from lanewater.service.book import Book
from lanewater.service.judging import (
    MOST_LOOKED_AT,
    OLDEST_BORROWED_MS,
    kernel_readings,
    kits_of,
    parameters_of,
)
from lanewater.service.rules_held import pack_or_why
from lanewater.service.state import SiteState


def with_lookback(
    state: SiteState, pack: Mapping[str, Any] | None, pool: str, case: dict[str, Any], without: str
) -> dict[str, Any]:
    """Give a case with the rounds that its rules look back at; itself where they do not.

    Parameters
    ----------
    state : SiteState
        The site.
    pack : mapping or None
        The compiled rules.
    pool : str
        The pool's id.
    case : dict
        As `judging_case` gives it.
    without : str
        The id of the round itself.
    """
    asked = lookback_of(None if pack is None else dict(pack))
    if not asked["parameters"]:
        return case
    at_ms = case["at"] * 1000
    rows = rounds_back(state, pool, asked, at_ms, kits_of(state))
    return {
        **case,
        "window": window_of_history(case["history"], looked_back(rows, asked, at_ms, without)),
    }


def rounds_back(
    state: SiteState, pool: str, asked: Mapping[str, Any], at_ms: int, kits: Mapping[str, Kit]
) -> list[dict[str, Any]]:
    """Give the rounds that rules may look back at, oldest first, with what they ask for only."""
    wanted = frozenset(asked["parameters"])
    found = []
    counts = dict.fromkeys(wanted, 0)
    for row in reversed(state.rounds.get(pool, ())[-MOST_LOOKED_AT:]):
        if row.at_ms > at_ms:
            continue
        read = parameters_of(row) & wanted
        age = at_ms - row.at_ms
        old = age > asked["seconds"] * 1000
        # One sample more than is asked for: a round that is corrected does not look at itself.
        few = any(counts[name] <= asked["samples"] for name in read) and asked["samples"] > 0
        if age > OLDEST_BORROWED_MS:
            break
        if read and (few or not old):
            held = [one for one in kernel_readings(row, kits) if one["parameter"] in wanted]
            known = sorted({one["parameter"] for one in held})
            found.append({"id": row.id, "at": row.at_ms, "parameters": known, "readings": held})
        for name in read:
            counts[name] += 1
    return found[::-1]


def lookback_facts(book: Book, state: SiteState, pool: str, now_ms: int) -> dict[str, Any]:
    """Give what a tablet needs to look back: nothing where the rules do not."""
    asked = lookback_of(pack_or_why(book, state, pool)[0])
    if not asked["parameters"]:
        return {}
    return {"lookback": {**asked, "rows": rounds_back(state, pool, asked, now_ms, kits_of(state))}}
