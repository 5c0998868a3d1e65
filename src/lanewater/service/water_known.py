"""The water of a pool as far as it is known: its last round, borrowed values with their age."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from lanewater.dosing.request import AdviceRequest, AgeLimits
from lanewater.kernel.deciding.askbase import narrowest_limits
from lanewater.kernel.deciding.asking import case_of
from lanewater.kernel.deciding.doubt import doubtful_parameters, surprising
from lanewater.kernel.deciding.plausibility import findings_of
from lanewater.kernel.deciding.steps import exact_tries, known_value, points_agree
from lanewater.kernel.deciding.tries import number_of, shown_text, tries_of
from lanewater.kernel.deciding.waterknown import (
    TESTED_HIGH,
    TESTED_LOW,
    WATER_ORDER,
    aged_error,
    stabiliser_matters,
)
from lanewater.service.advice_request import case_of_round
from lanewater.service.book import Book
from lanewater.service.clock import DAY_MS, MINUTE_MS, instant_text
from lanewater.service.pool_facts import oldest_reading
from lanewater.service.rules_held import pack_of
from lanewater.service.state import SiteState
from lanewater.terms.errors import LanewaterError

NUMBERS = WATER_ORDER
# pH moves by the hour; past a day it no longer says how the water is. JUDG
PH_OLDEST_S = DAY_MS // 1000
# A pool may well be warmer at one end.
WARMTH = "temperature_c"
SURPRISING = ("ph", "total_alkalinity", "cyanuric_acid")
# Taken as none where they were never read: their part in the index is small, or named.
MAY_BE_NONE = ("salt", "boron", "sulfate", "magnesium")


@dataclass(frozen=True, slots=True)
class Known:
    """What is known of a pool's water.

    Attributes
    ----------
    state : str
        known, missing or sea.
    case, request : mapping
        The judging case of the last round, and the request it stands in, as the kernel takes them.
    reading, errors : tuple of float
        The water in the kernel's order and each reading's half width at 95 %.
    inputs : tuple
        What was read, each with its time and age; borrowed where it is of an earlier round.
    missing : tuple
        What is to be tested first, and why.
    taken_as_none : tuple of str
        What was never read and counts as none.
    doubtful : tuple of str
        Numbers of the last round that are in doubt.
    apart : tuple of str
        Numbers of the last round whose points differ by more than test error.
    chlorine : bool
        Whether HOCl can be told: free chlorine of the last round, not in doubt.
    """

    state: str
    case: Mapping[str, Any]
    request: dict[str, Any]
    reading: tuple[float, ...]
    errors: tuple[float, ...]
    inputs: tuple[Mapping[str, Any], ...]
    missing: tuple[Mapping[str, Any], ...]
    taken_as_none: tuple[str, ...]
    doubtful: tuple[str, ...]
    apart: tuple[str, ...]
    chlorine: bool


def known_water(state: SiteState, pool: str, now_ms: int) -> Known:
    """Gather a pool's water.

    Parameters
    ----------
    state : SiteState
        The site.
    pool : str
        Its pool.
    now_ms : int
        UTC milliseconds.
    """
    last = state.last_round(pool)
    given = AdviceRequest(
        at=now_ms // 1000,
        case=case_of_round(state, pool, now_ms),
        taken_at=None if last is None else oldest_reading(last) // 1000,
        targets=state.pools[pool].targets,
    )
    request = given.for_kernel()
    case = case_of(request)
    doubtful = doubted(case)
    apart = points_apart(case)
    unsure = (*doubtful, *apart)
    wanted = wanted_of(case["pool"])
    values = {name: known_value(case, name, given.taken_at or 0) for name in NUMBERS}
    found = {name: row for name, row in values.items() if row["found"] and name not in unsure}
    missing = [
        row
        for name in wanted
        if (row := why_missing(case, name, values[name], (doubtful, apart), now_ms)) is not None
    ]
    bromine = case["pool"].get("disinfectant") not in (None, "chlorine")
    chlorine = found.get("free_chlorine", {}).get("at") == given.taken_at and not bromine
    counted = [name for name in found if name != "free_chlorine" or chlorine]
    return Known(
        state="sea" if case["pool"].get("water") == "sea" else "missing" if missing else "known",
        case=given.case,
        request=request,
        reading=tuple(
            max(number_of(found[name]["reading"]), 0) / 1000 if name in counted else 0.0
            for name in NUMBERS
        ),
        errors=tuple(
            aged_error(request, case, name) / 1000 if name in counted else 0.0 for name in NUMBERS
        ),
        inputs=tuple(
            input_told(request, case, name, found[name], given.taken_at, now_ms) for name in counted
        ),
        missing=tuple(missing),
        taken_as_none=tuple(name for name in MAY_BE_NONE if name not in found),
        doubtful=tuple(doubtful),
        apart=tuple(apart),
        chlorine=chlorine,
    )


def doubted(case: dict[str, Any]) -> list[str]:
    """Give the numbers of a round that nothing may be built on until they are repeated."""
    far = [name for name in SURPRISING if surprising(case, name)]
    return [*doubtful_parameters(findings_of(case)), *far]


def points_apart(case: dict[str, Any]) -> list[str]:
    """Give the numbers of a round that differ between its points by more than test error."""
    tries = {name: exact_tries(case["readings"], name) for name in NUMBERS if name != WARMTH}
    return [name for name, rows in tries.items() if rows and not points_agree(rows)]


def wanted_of(pool: Mapping[str, Any]) -> list[str]:
    """Give what an index cannot do without in a pool, in the order to test it."""
    found = ["ph", "temperature_c", "total_alkalinity", "calcium_hardness"]
    if stabiliser_matters(dict(pool)):
        found.append("cyanuric_acid")
    if pool.get("water") == "salt":
        found.append("salt")
    return found


def oldest_allowed() -> dict[str, int]:
    """Give how old each value may be, in seconds; older is missing."""
    limits = AgeLimits()
    found = dict.fromkeys(NUMBERS, limits.stabiliser_s)
    found |= dict.fromkeys(("total_alkalinity", "temperature_c"), limits.alkalinity_s)
    return found | {"ph": PH_OLDEST_S}


def why_missing(
    case: Mapping[str, Any],
    name: str,
    row: Mapping[str, Any],
    unsure: tuple[list[str], list[str]],
    now_ms: int,
) -> dict[str, Any] | None:
    """Tell why a value cannot be used, None where it can.

    Returns
    -------
    dict or None
        "why" is in-doubt (in the last round), points-apart (its points differ), never-read,
        not-usable (its newest reading was in doubt or off the kit's range), too-old or outside
        (what the figures are tested for).
    """
    for names, why in zip(unsure, ("in-doubt", "points-apart"), strict=True):
        if name in names:
            return {"parameter": name, "why": why}
    if not row["found"]:
        return {"parameter": name, "why": "not-usable" if was_read(case, name) else "never-read"}
    age_s = now_ms // 1000 - row["at"]
    if age_s > oldest_allowed()[name]:
        known = {"value": shown_text(row["reading"]), "at": instant_text(row["at"] * 1000)}
        return {"parameter": name, "why": "too-old", **known}
    place, number = NUMBERS.index(name), number_of(row["reading"])
    none_of_it = name == "calcium_hardness" and number <= 0
    if not TESTED_LOW[place] <= number <= TESTED_HIGH[place] or none_of_it:
        return {"parameter": name, "why": "outside", "value": shown_text(row["reading"])}
    return None


def was_read(case: Mapping[str, Any], name: str) -> bool:
    """Tell whether a value was ever read, usable or not."""
    rounds = [case["readings"], *(row["readings"] for row in case["history"])]
    return any(tries_of(readings, name) for readings in rounds)


def input_told(
    request: dict[str, Any],
    case: dict[str, Any],
    name: str,
    row: Mapping[str, Any],
    taken_at: int | None,
    now_ms: int,
) -> dict[str, Any]:
    """Give one value as the page shows it, with its age."""
    error = aged_error(request, case, name)
    return {
        "parameter": name,
        "value": shown_text(row["reading"]),
        "error": error_text(error, shown_text(row["reading"])),
        "at": instant_text(row["at"] * 1000),
        "age_minutes": max(0, now_ms - row["at"] * 1000) // MINUTE_MS,
        "borrowed": row["at"] != taken_at,
    }


def error_text(error: int, value: str) -> str:
    """Write an error, in thousandths, with the decimals of its value; rounded up, never to none."""
    decimals = min(len(value.partition(".")[2]), 3)
    steps = 10**decimals
    return f"{math.ceil(error * steps / 1000) / steps:.{decimals}f}"


def significant(value: float) -> str:
    """Write an estimate to two digits, without an exponent."""
    if value <= 0:
        return "0"
    decimals = max(0, 1 - math.floor(math.log10(value)))
    return f"{value:.{decimals}f}"


def limits_now(
    book: Book, state: SiteState, pool: str, case: Mapping[str, Any]
) -> dict[str, dict[str, str]]:
    """Give the narrowest limits of a pool's rules by parameter, none where there are no rules."""
    try:
        pack = pack_of(book, state, pool)
        return narrowest_limits(pack, dict(case)) if pack else {}
    except LanewaterError:
        return {}
