"""What the Water page says of each pool: saturation, what it rests on, what comes first."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from lanewater.chemistry.saturation import (
    MODEL_SPREAD,
    Banded,
    banded_index,
    hocl_range,
    parting,
)
from lanewater.chemistry.water import low_hocl
from lanewater.dosing.balance import (
    FAILS,
    Balance,
    Ends,
    Judged,
    Step,
    may_be_called_balanced,
    tendency,
    what_first,
    worst_rows,
)
from lanewater.kernel.deciding.decimals import decimal_text
from lanewater.kernel.deciding.duenow import why_repeated
from lanewater.kernel.deciding.steps import band_of, target_known
from lanewater.kernel.deciding.tries import number_of
from lanewater.kernel.water import saturation as figure
from lanewater.kernel.water.slots import R_CYANURIC_ACID, R_SALT
from lanewater.kernel.water.spread import index_of_reading, with_reading
from lanewater.service.actor import Actor
from lanewater.service.additions import competent_for
from lanewater.service.book import Book
from lanewater.service.clock import instant_text
from lanewater.service.constants import load_constants
from lanewater.service.schedule import out_of_date
from lanewater.service.state import SiteState
from lanewater.service.water_known import (
    NUMBERS,
    Known,
    known_water,
    limits_now,
    significant,
)
from lanewater.terms.errors import LanewaterError

LOW_SET = "WA2019"
LEVERS = ("ph", "total_alkalinity", "calcium_hardness")
SALT_SHOWN_MG_L = 1000.0
DRIVERS_SHOWN = 3
LEAST_SHARE = 0.05


def water_page(book: Book, actor: Actor, now_ms: int) -> dict[str, Any]:
    """Give what the Water page shows of every pool; no amount of anything is in it.

    Parameters
    ----------
    book : Book
        The site's book.
    actor : Actor
        Who looks: the water is the same for all, a plan is offered to recorded competence.
    now_ms : int
        UTC milliseconds.
    """
    state = book.state
    return {
        "now": instant_text(now_ms),
        "may_plan": bool(competent_for(state, actor, now_ms)),
        "pools": [pool_water(book, state, pool, now_ms) for pool in state.pools],
    }


def pool_water(book: Book, state: SiteState, pool: str, now_ms: int) -> dict[str, Any]:
    """Give one pool's lane.

    Returns
    -------
    dict
        "state" is known, missing (something is to be tested first), impossible or no-end (the
        readings cannot all be right, or are within test error of that), not-solved, or sea (not
        covered); index, drivers, first, handbook, more, hocl are None or empty unless it is known.
    """
    known = known_water(state, pool, now_ms)
    judged = judged_now(book, state, pool, now_ms, known)
    answer: dict[str, Any] = {
        "pool": pool,
        "name": state.pools[pool].name,
        "same_filter": [mate for mate in state.same_filter(pool) if mate != pool],
        "state": known.state,
        "missing": [dict(row) for row in known.missing],
        "inputs": [dict(row) for row in known.inputs],
        "taken_as_none": list(known.taken_as_none),
        "overall": judged.overall,
        "fails": [name for name, row in judged.rows.items() if row in FAILS],
        "balanced": False,
        "index": None,
        "drivers": [],
        "first": [],
        "handbook": None,
        "more": None,
        "hocl": None,
    }
    if known.state != "known":
        return answer
    found = banded_index(load_constants(), known.reading, known.errors)
    if isinstance(found, str):
        return answer | {"state": found}
    return answer | told(book, state, pool, known, judged, found)


def told(
    book: Book, state: SiteState, pool: str, known: Known, judged: Judged, found: Banded
) -> dict[str, Any]:
    """Give everything that follows from an index."""
    drivers = drivers_of(found)
    balance = Balance(
        value=found.value,
        low=found.low,
        high=found.high,
        driver=drivers[0]["parameter"] if drivers else "ph",
        readings={name: round(known.reading[NUMBERS.index(name)] * 1000) for name in LEVERS},
        bands=bands_of(book, state, pool, known),
    )
    return {
        "index": {
            "value": tenths(found.value, round),
            "low": tenths(found.low, math.floor),
            "high": tenths(found.high, math.ceil),
            "tendency": tendency(found.value, found.low, found.high),
            "model": decimal_text(round(MODEL_SPREAD * 1000)),
        },
        "balanced": may_be_called_balanced(balance, judged),
        "drivers": drivers,
        "first": [step_told(step) for step in what_first(balance, judged)],
        "handbook": handbook_told(known, found),
        "more": more_told(known, found),
        "hocl": hocl_told(known),
    }


def tenths(value: float, rounding: Any) -> str:
    """Write a number to one decimal; the ends of a band are rounded away from its middle."""
    number = int(rounding(value * 10))
    sign = "-" if number < 0 else ""
    return f"{sign}{abs(number) // 10}.{abs(number) % 10}"


def hundredths(value: float) -> str:
    """Write a number to two decimals, never as minus nothing."""
    text = f"{value:.2f}"
    return "0.00" if text == "-0.00" else text


def drivers_of(found: Banded) -> list[dict[str, Any]]:
    """Give the readings that widen the band, the most first."""
    rows = [
        {"parameter": name, "share_percent": round(share * 100)}
        for name, share in zip(NUMBERS, found.shares, strict=True)
        if share >= LEAST_SHARE
    ]
    rows.sort(key=lambda row: -int(str(row["share_percent"])))
    return rows[:DRIVERS_SHOWN]


def step_told(step: Step) -> dict[str, str]:
    """Give a step; the ends of its band as text, "" for an end that nobody set."""
    ends = {"low": step.low, "high": step.high}
    return {"id": step.id, "parameter": step.parameter} | {
        name: "" if end is None else decimal_text(end) for name, end in ends.items()
    }


def handbook_told(known: Known, found: Banded) -> dict[str, Any] | None:
    """Give the table beside the index, and how much each cause parts them."""
    parted = parting(load_constants(), known.reading)
    if parted.table is None:
        return None
    causes = [
        {"id": name, "by": hundredths(getattr(parted, name))}
        for name in ("stabiliser", "salt", "temperature", "rest")
    ]
    return {
        "value": tenths(parted.table, round),
        "corrected": None if parted.corrected is None else tenths(parted.corrected, round),
        "above_by": hundredths(parted.table - found.value),
        "causes": causes,
    }


def more_told(known: Known, found: Banded) -> dict[str, Any]:
    """Give what only some want to know: CCPP, buffer, where air leads the pH, salt not read."""
    _, figures = figure.figures_of_reading(load_constants(), known.reading)
    salted = None
    if "salt" in known.taken_as_none:
        water = with_reading(known.reading, R_SALT, SALT_SHOWN_MG_L)
        salted = hundredths(index_of_reading(load_constants(), water)[1] - found.value)
    return {
        "ccpp_mg_l": f"{figures[figure.F_CCPP]:.1f}",
        "buffer_meq_l_ph": hundredths(figures[figure.F_BUFFER]),
        "co2_ceiling_ph": f"{figures[figure.F_CEILING_PH]:.1f}",
        "salt_1000_moves_by": salted,
    }


def hocl_told(known: Known) -> dict[str, Any] | None:
    """Give HOCl as a range, and what each of the two published constant sets says."""
    if not known.chlorine:
        return None
    k, k_low = load_constants(), load_constants(LOW_SET)
    span = hocl_range(k, k_low, known.reading, known.errors)
    solved = figure.figures_of_reading(k, known.reading)
    low = low_hocl(solved, figure.hocl_of_reading(k_low, known.reading))
    if span is None or low is None:
        return None
    return {
        "low_mg_l": significant(span[0]),
        "high_mg_l": significant(span[1]),
        "stabilised": known.reading[R_CYANURIC_ACID] > 0,
        "default_mg_l": significant(solved[1][figure.F_HOCL]),
        "lower_mg_l": significant(low),
    }


def bands_of(book: Book, state: SiteState, pool: str, known: Known) -> dict[str, Ends]:
    """Give where the site's targets and the rules want each lever, in thousandths."""
    limits = limits_now(book, state, pool, known.case)
    request = known.request | {"limits": limits}
    found: dict[str, Ends] = {}
    for name in LEVERS:
        limit = limits.get(name, {})
        if target_known(request, name):
            band = band_of(request, name)
            if band["low"] < band["high"]:
                found[name] = (band["low"], band["high"])
        elif limit:
            found[name] = (whole(limit.get("low")), whole(limit.get("high")))
    return found


def whole(text: str | None) -> int | None:
    """Give a limit in thousandths, None where there is none."""
    return None if not text else number_of({"value": text, "dilution": 1})


def judged_now(book: Book, state: SiteState, pool: str, now_ms: int, known: Known) -> Judged:
    """Give what stands of the rules; an old, doubted or changed round is not judged."""
    stopped = bool(state.stops.get(pool))
    last = state.last_round(pool)
    verdict = state.verdicts.get(last.id) if last else None
    if verdict is None:
        return Judged(stopped=stopped)
    body: Mapping[str, Any] = verdict.body
    rows = worst_rows(list(body.get("results", ())))
    doubts = (*known.doubtful, *known.apart)
    again = why_repeated({**body, "overall": verdict.overall}) not in ("", "fails")
    gaps = bool(body.get("not_judged")) or bool(doubts) or again
    overall = verdict.overall
    if (gaps or stale(book, pool, now_ms)) and overall.startswith("meets"):
        overall = "not-judged"
    return Judged(overall, rows, gaps, stopped)


def stale(book: Book, pool: str, now_ms: int) -> bool:
    """Tell whether the last round no longer says how the pool is, also where that is unknown."""
    try:
        return out_of_date(book, pool, now_ms)
    except LanewaterError:
        return True
