"""Additions with what the retest found, and what they teach of the water and its demand."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Mapping
from itertools import pairwise
from typing import Any

from lanewater.basin.learning import Estimate, Interval, Trial, learn_drift, learn_volume
from lanewater.chemistry.products import PRODUCTS
from lanewater.chemistry.strengths import grams_active
from lanewater.kernel.deciding.bleaching import CHLORINE_PRODUCTS
from lanewater.kernel.deciding.doubt import doubtful_parameters
from lanewater.kernel.deciding.readingerror import reading_error
from lanewater.kernel.deciding.steps import exact_tries, points_agree
from lanewater.kernel.deciding.tries import number_of
from lanewater.measurement.kits import Kit
from lanewater.service.book import Book
from lanewater.service.clock import DAY_MS, MINUTE_MS, instant_text
from lanewater.service.judging import kernel_readings, kits_of
from lanewater.service.past import with_past
from lanewater.service.pool_facts import in_same_water
from lanewater.service.retests import tested_at_points, wait_ends
from lanewater.service.state import Addition, Advice, Round, SiteState
from lanewater.terms.errors import InputError, MissingError

HOUR_MS = 60 * MINUTE_MS
# How far back the record is asked, and how near a round must stand to an addition. JUDG.
LOOKED_BACK_MS = 120 * DAY_MS
BEFORE_MS = 2 * HOUR_MS
AFTER_MS = 6 * HOUR_MS
LONGEST_INTERVAL_MS = 14 * HOUR_MS
MOST_SHOWN = 50
STRENGTH_KEYS = {
    "percent-w-w": "strength_percent_w_w",
    "percent-w-v": "strength_percent_w_v",
    "g-l": "strength_g_l",
}
FREE = "free_chlorine"


def additions_of(book: Book, pool: str, now_ms: int) -> dict[str, Any]:
    """Give a pool's additions, newest first, and what the record suggests of its water.

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
        {"additions": list, "volume": estimate beside what was stated, "drift": how fast free
        chlorine moves with nothing added by hand}.

    Raises
    ------
    MissingError
        Where there is no such pool.
    """
    state = book.state
    if pool not in state.pools:
        raise MissingError("there is no such pool here")
    since = now_ms - LOOKED_BACK_MS
    state = with_past(book, pool, since)
    seen = sorted(
        (
            row
            for row in state.additions.values()
            if in_same_water(state, pool, row)
            and row.answer != "not-added"
            and since <= row.started_ms <= now_ms
        ),
        key=lambda row: row.started_ms,
        reverse=True,
    )
    drift = learn_drift(list(intervals(state, pool, since, now_ms)))
    return {
        "additions": [addition_row(state, row) for row in seen[:MOST_SHOWN]],
        "volume": volume_of(state, pool, [row for row in seen if row.pool == pool], drift),
        "drift": told(drift) | {"unit": "mg/L/h"},
    }


def addition_row(state: SiteState, row: Addition) -> dict[str, Any]:
    """Give one addition: what, by whom, what was foreseen, and what the retest found."""
    advice = state.advices.get(row.advice)
    found = retest_of(state, row)
    return {
        "addition": row.id,
        "pool": row.pool,
        "product": row.product,
        "amount": row.amount,
        "unit": row.unit,
        "lot": row.lot,
        "scope": row.scope,
        "place": "" if advice is None else str(advice.body.get("place", "")),
        "started": instant_text(row.started_ms),
        "by": row.by,
        "answer": row.answer,
        "answered": instant_text(row.answered_ms) if row.answered_ms else None,
        "predicted": predicted_of(advice),
        "wait_until": instant_text(wait_ends(row)) if row.answer == "added" else None,
        "retest": None if found is None else retest_row(state, found),
    }


def predicted_of(advice: Advice | None) -> dict[str, str]:
    """Give the water that the advice foresaw, empty where nothing was foreseen."""
    return {} if advice is None else dict(advice.body.get("predicted", {}))


def retest_row(state: SiteState, found: Round) -> dict[str, Any]:
    """Give what a retest found: each point's readings, and whether they agree."""
    free = exact_tries(kernel_readings(found, kits_of(state)), FREE)
    return {
        "round": found.id,
        "at": instant_text(found.at_ms),
        "readings": [
            {"parameter": row.parameter, "value": row.value, "point": row.point}
            for row in found.readings
            if row.parameter in (FREE, "ph")
        ],
        "agree": len(free) > 1 and points_agree(free),
    }


def retest_of(state: SiteState, row: Addition) -> Round | None:
    """Find the first round of the pool at two points, sampled once the wait was over."""
    if row.answer != "added":
        return None
    until = wait_ends(row)
    rounds = state.rounds.get(row.pool, ())
    start = bisect_left(rounds, until, key=lambda found: found.at_ms)
    for index in range(start, len(rounds)):
        if rounds[index].purpose == "round" and tested_at_points(rounds[index], until):
            return rounds[index]
    return None


def free_of(state: SiteState, given: Round, kits: Mapping[str, Kit]) -> tuple[float, float] | None:
    """Give a round's free chlorine and its 95 % error in mg/L, None where it cannot be built on.

    Of several points that agree the mean counts.
    """
    verdict = state.verdicts.get(given.id)
    if verdict is not None and FREE in doubtful_parameters(list(verdict.body.get("findings", ()))):
        return None
    rows = exact_tries(kernel_readings(given, kits), FREE)
    if not rows or not points_agree(rows):
        return None
    mean = sum(number_of(row) for row in rows) / len(rows)
    error = sum(reading_error(row) ** 2 for row in rows) ** 0.5 / len(rows)
    return mean / 1000, max(error, 1.0) / 1000


def between(
    state: SiteState, earlier: Round, later: Round, kits: Mapping[str, Kit]
) -> Interval | None:
    """Give free chlorine over the time between two rounds, None where one cannot be built on."""
    first, last = free_of(state, earlier, kits), free_of(state, later, kits)
    hours = (later.at_ms - earlier.at_ms) / HOUR_MS
    if first is None or last is None or hours <= 0:
        return None
    return Interval(hours, last[0] - first[0], (first[1] ** 2 + last[1] ** 2) ** 0.5)


def intervals(state: SiteState, pool: str, since_ms: int, now_ms: int) -> Iterator[Interval]:
    """Give a pool's times between rounds with nothing added to its filter between them."""
    rounds = [
        row
        for row in state.rounds.get(pool, ())
        if row.purpose == "round" and since_ms <= row.at_ms <= now_ms
    ]
    times = sorted(
        row.started_ms
        for row in state.additions.values()
        if row.answer != "not-added" and in_same_water(state, pool, row)
    )
    kits = kits_of(state)
    for earlier, later in pairwise(rounds):
        place = bisect_left(times, earlier.at_ms - BEFORE_MS)
        quiet = place == len(times) or times[place] > later.at_ms
        if quiet and later.at_ms - earlier.at_ms <= LONGEST_INTERVAL_MS:
            found = between(state, earlier, later, kits)
            if found is not None:
                yield found


def volume_of(state: SiteState, pool: str, seen: list[Addition], drift: Estimate) -> dict[str, Any]:
    """Give the volume that additions suggest, beside the one that was stated.

    Where several pools share a filter, an addition by hand into one of them leaves it within the
    mixing time, and one to all of them would have to be seen in each: neither is learned from.
    """
    known = state.pools[pool]
    circuit = state.circuits.get(known.circuit)
    alone = len(state.same_filter(pool)) == 1
    stated = circuit.volume_m3 if circuit is not None and circuit.volume_m3 else known.volume_m3
    if not alone:
        return told(Estimate(reason="shared-filter")) | {"unit": "m3", "stated": stated}
    trials = [trial for row in seen if (trial := trial_of(state, row)) is not None]
    return told(learn_volume(trials, drift)) | {"unit": "m3", "stated": stated}


def trial_of(state: SiteState, row: Addition) -> Trial | None:
    """Give an addition with its rounds before and after, None where it teaches nothing."""
    grams, after = chlorine_of(state, row), retest_of(state, row)
    if grams is None or after is None or after.at_ms - wait_ends(row) > AFTER_MS:
        return None
    rounds = [given for given in state.rounds.get(row.pool, ()) if given.purpose == "round"]
    place = bisect_left(rounds, row.started_ms, key=lambda given: given.at_ms)
    if place == 0 or row.started_ms - rounds[place - 1].at_ms > BEFORE_MS:
        return None
    before = rounds[place - 1]
    if any(disturbs(state, row, other, before, after) for other in state.additions.values()):
        return None
    over = between(state, before, after, kits_of(state))
    return None if over is None else Trial(grams, over)


def disturbs(state: SiteState, row: Addition, other: Addition, before: Round, after: Round) -> bool:
    """Tell whether another addition reached the water between an addition's two rounds."""
    near = before.at_ms - BEFORE_MS <= other.started_ms <= after.at_ms
    another = other.id != row.id and other.answer != "not-added"
    return near and another and in_same_water(state, row.pool, other)


def chlorine_of(state: SiteState, row: Addition) -> float | None:
    """Give the available chlorine of an addition in g, by the strength that was stated then."""
    product = state.products.get(row.product)
    substance = str(product.body["substance"]) if product else ""
    if row.answer != "added" or substance not in CHLORINE_PRODUCTS or substance not in PRODUCTS:
        return None
    if not row.amount or not row.strength:
        return None
    given: dict[str, Any] = {
        "amount": float(row.amount),
        "unit": row.unit,
        STRENGTH_KEYS[row.strength["unit"]]: float(row.strength["value"]),
    }
    if row.density_kg_l:
        given["density_kg_l"] = float(row.density_kg_l)
    try:
        return grams_active(PRODUCTS[substance], given) or None
    except InputError:
        return None


def told(found: Estimate) -> dict[str, Any]:
    """Give an estimate for the wire: three figures, or why there is none."""
    if found.reason:
        return {
            "value": None,
            "low": None,
            "high": None,
            "count": found.count,
            "why_not": found.reason,
        }
    figures = {name: float(f"{getattr(found, name):.3g}") for name in ("value", "low", "high")}
    return {**figures, "count": found.count, "why_not": ""}
