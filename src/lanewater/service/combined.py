"""What can be done about combined chlorine that is over its limit; never how much of anything."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lanewater.kernel.deciding.superchlorination import superchlorination_of
from lanewater.service.advice_request import case_of_round
from lanewater.service.book import Book
from lanewater.service.causes import LOOKED_BACK_DAYS, case_for
from lanewater.service.clock import DAY_MS, MINUTE_MS
from lanewater.service.judging import kernel_readings, kits_of
from lanewater.service.past import with_past
from lanewater.service.state import SiteState
from lanewater.service.water_known import limits_now
from lanewater.terms.errors import MissingError

LISTS = ("removes", "leaves", "instead", "ask", "then")
# A round so soon after another is its repeat. JUDG
REPEATED_WITHIN_MS = 30 * MINUTE_MS
PAIR = ("free_chlorine", "total_chlorine")
# What a reason may say aloud; how much free chlorine it would take is not among it.
SAID = ("parameter", "error_mg_l", "kind", "stop", "location", "maximum_mg_l")


def combined_for(
    book: Book, pool: str, now_ms: int, answers: Mapping[str, str | None]
) -> dict[str, Any]:
    """Tell whether more chlorine can take a pool's combined chlorine away, and what else can.

    Parameters
    ----------
    book : Book
        The site's book.
    pool : str
        The pool's id.
    now_ms : int
        UTC milliseconds.
    answers : mapping
        "monopersulfate" and "heavy_load", each yes, no or None where nobody was asked.

    Returns
    -------
    dict
        {"state", "reasons", "removes", "leaves", "instead", "ask", "then", "combined_mg_l",
        "limit_mg_l"} as `superchlorination_of` gives them, without what it would take.

    Raises
    ------
    MissingError
        Where there is no such pool.
    """
    state = book.state
    if pool not in state.pools:
        raise MissingError("there is no such pool here")
    state = with_past(book, pool, now_ms - LOOKED_BACK_DAYS * DAY_MS)
    case = with_repeat(state, pool, case_of_round(state, pool, now_ms))
    limits = limits_now(book, state, pool, case)
    most = {
        "maximum_free_mg_l": limits.get("free_chlorine", {}).get("high", ""),
        "maximum_combined_mg_l": limits.get("combined_chlorine", {}).get("high", ""),
    }
    asked = {name: said for name, said in answers.items() if said is not None}
    found = superchlorination_of(
        {**case_for(state, pool, None, now_ms), "case": case, **most, **asked}
    )
    return {
        "state": found["state"],
        "reasons": [
            {"id": row["id"], "said": {key: row["said"][key] for key in SAID if key in row["said"]}}
            for row in found["reasons"]
        ],
        **{name: list(found[name]) for name in LISTS},
        "combined_mg_l": found["figures"].get("combined_mg_l", ""),
        "limit_mg_l": most["maximum_combined_mg_l"],
    }


def with_repeat(state: SiteState, pool: str, case: dict[str, Any]) -> dict[str, Any]:
    """Give a case with the pairs of a round shortly before it as first tries, which it repeats."""
    last = state.last_round(pool)
    if last is None:
        return case
    kits = kits_of(state)
    tries = [
        row
        for given in state.rounds.get(pool, ())
        if given.purpose == "round" and 0 < last.at_ms - given.at_ms <= REPEATED_WITHIN_MS
        for row in kernel_readings(given, kits)
        if row["parameter"] in PAIR
    ]
    return case | {"readings": [*tries, *case["readings"]]}
