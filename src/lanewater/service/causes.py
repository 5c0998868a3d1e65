"""Why a pool's water behaves as it does: its own history put before the four questions."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise
from typing import Any

from lanewater.chemistry.water import describe, water_from
from lanewater.kernel.deciding.askbase import narrowest_limits
from lanewater.kernel.deciding.bleaching import CHLORINE_PRODUCTS
from lanewater.kernel.deciding.causes import causes_of
from lanewater.kernel.deciding.decimals import thousandths, thousandths_of_float
from lanewater.kernel.deciding.doubt import doubtful_parameters
from lanewater.kernel.deciding.due import openings_between
from lanewater.kernel.deciding.trends import series_of
from lanewater.measurement.kits import Kit
from lanewater.service.advice_request import day_s
from lanewater.service.book import Book
from lanewater.service.clock import DAY_MS, offsets_ahead
from lanewater.service.constants import load_constants
from lanewater.service.judging import judging_case, kernel_readings, kits_of, pool_facts
from lanewater.service.past import with_past
from lanewater.service.pool_facts import hours_of, in_same_water
from lanewater.service.rules_held import pack_of
from lanewater.service.state import Round, SiteState
from lanewater.terms.errors import InputError, MissingError

LOOKED_BACK_DAYS = 14
WATER_KEYS = {
    "ph": "ph",
    "temperature_c": "temperature_c",
    "total_alkalinity": "total_alkalinity_mg_l",
    "cyanuric_acid": "cyanuric_acid_mg_l",
    "calcium_hardness": "calcium_hardness_mg_l",
    "salt": "salt_mg_l",
}
NEEDED = ("ph", "temperature_c", "total_alkalinity")


def causes_for(book: Book, pool: str, now_ms: int) -> list[dict[str, Any]]:
    """Answer the four questions for a pool from its last two weeks.

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
    list of dict
        As `kernel.deciding.causes.causes_of` gives them; no amounts, and nothing to add.

    Raises
    ------
    MissingError
        Where there is no such pool.
    """
    state = book.state
    if pool not in state.pools:
        raise MissingError("there is no such pool here")
    pack = pack_of(book, state, pool)
    state = with_past(book, pool, now_ms - LOOKED_BACK_DAYS * DAY_MS)
    return causes_of(case_for(state, pool, pack, now_ms))


def case_for(
    state: SiteState, pool: str, pack: dict[str, Any] | None, now_ms: int
) -> dict[str, Any]:
    """Put together what the kernel asks for; what is not on record is not there."""
    kits = kits_of(state)
    since_ms = now_ms - LOOKED_BACK_DAYS * DAY_MS
    rounds = [
        given
        for given in state.rounds.get(pool, ())
        if given.purpose == "round" and since_ms <= given.at_ms <= now_ms
    ]
    told = rounds_told(state, pool, rounds, kits)
    circuit = state.circuits.get(state.pools[pool].circuit)
    found: dict[str, Any] = {
        "at": now_ms // 1000,
        "pool": pool_facts(state, pool),
        "feeder": "" if circuit is None else str(circuit.body.get("feeder", "")),
        "rounds": told,
        "events": events_since(state, pool, since_ms),
        "ceiling": ceiling_of(told),
        "verified": verified(state),
        "strength_at": strength_day(state, pool),
        "limit_combined": None,
    }
    if pack is not None and rounds:
        case = judging_case(state, pool, [], now_ms)
        most = narrowest_limits(pack, case).get("combined_chlorine", {}).get("high", "")
        found["limit_combined"] = thousandths(most) if most else None
    return found


def rounds_told(
    state: SiteState, pool: str, rounds: list[Round], kits: Mapping[str, Kit]
) -> list[dict[str, Any]]:
    """Give rounds, oldest first, each with whether nobody was let in since the one before."""
    hours = hours_of(state.pools[pool])
    shut = [False] * len(rounds)
    if hours is not None and rounds:
        days = LOOKED_BACK_DAYS + 1
        offsets = offsets_ahead(state.site.timezone, rounds[0].at_ms, days=days)
        case = {"hours": hours, "offsets": offsets}
        shut[1:] = [
            not openings_between(case, earlier.at_ms // 1000, later.at_ms // 1000)
            for earlier, later in pairwise(rounds)
        ]
    return [
        {
            "at": given.at_ms // 1000,
            "readings": with_lots(given, kernel_readings(given, kits)),
            "doubtful": doubts(state, given),
            "bathers": given.bathers,
            "shut": alone,
        }
        for given, alone in zip(rounds, shut, strict=True)
    ]


def with_lots(given: Round, rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Give readings with the reagent lot beside each."""
    lots = [reading.lot for reading in given.readings]
    return [row | {"lot": lot} for row, lot in zip(rows, lots, strict=True)]


def doubts(state: SiteState, given: Round) -> list[str]:
    """Give what was in doubt of a round as it was judged."""
    verdict = state.verdicts.get(given.id)
    findings = [] if verdict is None else list(verdict.body.get("findings", ()))
    return doubtful_parameters(findings)


def events_since(state: SiteState, pool: str, since_ms: int) -> list[dict[str, Any]]:
    """Give what was added to a pool's filter since an instant."""
    return [
        {
            "kind": "addition",
            "product": substance_of(state, row.product),
            "at": row.started_ms // 1000,
        }
        for row in state.additions.values()
        if row.answer != "not-added"
        and row.started_ms >= since_ms
        and in_same_water(state, pool, row)
    ]


def substance_of(state: SiteState, product: str) -> str:
    """Give what a product on the list is, or its id where it is not there."""
    known = state.products.get(product)
    return str(known.body["substance"]) if known else product


def ceiling_of(rounds: list[dict[str, Any]]) -> int | None:
    """Give the pH that outdoor air leads to, by the last known water; None where too little is."""
    known = {
        key: series[-1]["number"] / 1000
        for parameter, key in WATER_KEYS.items()
        if (series := series_of(rounds, parameter))
    }
    if not all(WATER_KEYS[parameter] in known for parameter in NEEDED):
        return None
    try:
        water = describe(load_constants(), load_constants("WA2019"), water_from(known))
    except InputError:
        return None
    ceiling = water["co2_ceiling_ph"]
    return None if ceiling is None else thousandths_of_float(ceiling)


def verified(state: SiteState) -> dict[str, int]:
    """Give when each kit was last held to its standard."""
    days = {kit: day_s(known.body.get("verified_on", "")) for kit, known in state.kits.items()}
    return {kit: day for kit, day in days.items() if day is not None}


def strength_day(state: SiteState, pool: str) -> int | None:
    """Give the newest day on which the strength of a chlorine for this pool was stated."""
    days = [
        day_s(known.body.get("strength", {}).get("on", ""))
        for known in state.products.values()
        if known.body["substance"] in CHLORINE_PRODUCTS
        and any(row["pool"] == pool for row in known.body.get("approved", ()))
    ]
    return max((day for day in days if day is not None), default=None)
