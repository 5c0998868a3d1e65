"""What is known of a pool without any "now" in it: the kernel tells from it how the pool stands.

The same facts go to a tablet, which adds its own lines to them. Instants are UTC milliseconds, None
where there is none. Of amounts they say that something was added, and when; never what or how much.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lanewater.kernel.deciding.applying import next_due_by_pack
from lanewater.kernel.deciding.bleaching import CHLORINE_PRODUCTS
from lanewater.kernel.deciding.retesting import additions_carried
from lanewater.kernel.deciding.roundskept import rounds_kept
from lanewater.measurement.uncertainty import case_extras
from lanewater.service.book import Book
from lanewater.service.clock import DAY_MS, offsets_ahead
from lanewater.service.closing_facts import closing_facts
from lanewater.service.duty_facts import duty_facts, known_of
from lanewater.service.incident_facts import incident_facts
from lanewater.service.judging import (
    MOST_LOOKED_AT,
    doubted,
    expired_reagents,
    kernel_readings,
    kits_of,
    parameters_of,
    pool_facts,
    readings_of,
    verdict_on_the_wire,
)
from lanewater.service.rules_held import pack_or_why
from lanewater.service.state import (
    Addition,
    Advice,
    Opening,
    Pool,
    Round,
    SiteState,
    Stop,
    current_readings,
)

MINUTE = 60
LANE_ROUNDS = 4
OFFSET_DAYS = 460
# Offsets are carried from the start of such a stretch on, so that what is carried stays the same.
OFFSET_STRETCH_MS = 32 * DAY_MS


def facts_of(book: Book, state: SiteState, pool: str, now_ms: int) -> dict[str, Any]:
    """Give what is known of a pool.

    Parameters
    ----------
    book : Book
        The site's book, which has the rules.
    state : SiteState
        What its record says.
    pool : str
        The pool's id.
    now_ms : int
        Only to choose which changes of the site's offset from UTC lie ahead. [UTC ms]

    Returns
    -------
    dict
        {"pool", "name", "mates", "circuit", "offsets", "hours", "plan", "pack", "last", "rounds",
        "tested", "stops", "opening", "also_closed", "disputes", "advices", "additions",
        "chlorines": products on the list that are a chlorine, "unauthorised"}.
    """
    return lane_facts(book, state, pool, now_ms) | water_facts(state, pool, now_ms)


def lane_facts(book: Book, state: SiteState, pool: str, now_ms: int) -> dict[str, Any]:
    """Give the part of a pool's facts by which its lane and its opening are told.

    Its rounds are named only: what a round is held against is not looked at here.
    """
    set_up = state.pools[pool]
    pack, missing = pack_or_why(book, state, pool)
    rules = pack or {}
    known = known_of(state, pool, rules)
    return {
        "name": set_up.name,
        "last": last_of(state, pool),
        "rounds": [
            {"id": row.id, "at": row.at_ms, "purpose": row.purpose}
            for row in state.rounds.get(pool, ())[-LANE_ROUNDS:]
        ],
        **words_of(state, pool),
        **amounts_of(state, pool),
        **closing_facts(state, pool, rules, known),
        **duty_facts(state, pool, rules, known, now_ms),
        "offsets": offsets_carried(state.site.timezone, now_ms),
        "hours": hours_of(set_up),
        "plan": {
            "every_seconds": set_up.interval_minutes * MINUTE,
            "before_opening_seconds": set_up.before_opening_minutes * MINUTE,
        },
        "pack": pack_interval(state, pool, pack, missing),
        "unauthorised": [
            {"entry": row.entry, "kind": row.kind, "by": row.by, "at": row.at_ms}
            for row in state.unauthorised
            if row.pool == pool
        ],
    }


def offsets_carried(zone: str, now_ms: int) -> list[dict[str, int]]:
    """Give a zone's offset and its changes, from eight days before a stretch of days on."""
    return offsets_ahead(zone, now_ms // OFFSET_STRETCH_MS * OFFSET_STRETCH_MS, OFFSET_DAYS)


def hours_of(pool: Pool) -> list[dict[str, int]] | None:
    """Give a pool's hours as the kernel asks for them."""
    if pool.hours is None:
        return None
    return [{"day": row.day, "opens": row.opens, "closes": row.closes} for row in pool.hours]


def pack_interval(
    state: SiteState, pool: str, pack: dict[str, Any] | None, missing: str
) -> dict[str, Any]:
    """Give the interval that the pool's rules set, 0 where they set none or are not to be had.

    Returns
    -------
    dict
        {"every_seconds", "detail": its clause, or why there is none, "missing": why the rules that
        are chosen are not to be had, "" where they are}.
    """
    if pack is None:
        detail = missing or "no local rules chosen"
        return {"every_seconds": 0, "detail": detail, "missing": missing}
    case = {"purpose": "round", "pool": pool_facts(state, pool), "readings": []}
    found = next_due_by_pack(pack, case | {"history": [], "at": None})
    return {"every_seconds": found["every_seconds"], "detail": found["why"], "missing": ""}


def last_of(state: SiteState, pool: str) -> dict[str, Any] | None:
    """Give a pool's latest round as it stands, None where there is none; samples do not count."""
    last = state.last_round(pool)
    if last is None:
        return None
    return {
        "id": last.id,
        "at": last.at_ms,
        "recorded": last.recorded_ms,
        "source": last.source,
        "by": last.by,
        "verified": last.verified,
        "through": last.through,
        "device": device_name(state, last.through),
        "corrected": bool(last.corrections),
        "changed_after_result": bool(last.changed_after_result),
        "told": last.id in told_about(state),
        "oldest": oldest_reading(last),
        **case_parts(state, last),
        "readings": readings_told(last),
        "verdict": verdict_on_the_wire(state.verdicts.get(last.id)),
    }


def case_parts(state: SiteState, given: Round) -> dict[str, Any]:
    """Give what a round's own readings bring to its judging case."""
    readings = readings_of(given)
    kits = kits_of(state)
    return {
        "normal": kernel_readings(given, kits),
        "between": case_extras(readings, kits)["between"],
        "expired": expired_reagents(state, readings, given.at_ms),
    }


def case_base(state: SiteState, pool: str) -> dict[str, Any]:
    """Give the pool and the kits of a judging case. Which kit it will be is not known yet."""
    kits = {identity: kit.for_kernel() for identity, kit in kits_of(state).items()}
    return {"pool": pool_facts(state, pool), "kits": kits}


def water_facts(state: SiteState, pool: str, now_ms: int) -> dict[str, Any]:
    """Give the part of a pool's facts that advice on its water asks for."""
    return {
        "name": state.pools[pool].name,
        "last": last_of(state, pool),
        "rounds": rounds_of(state, pool),
        "offsets": offsets_carried(state.site.timezone, now_ms),
        **words_of(state, pool),
        **amounts_of(state, pool),
    }


def readings_told(given: Round) -> list[dict[str, Any]]:
    """Give a round's readings as they stand, as typed, each with its time."""
    return [
        {
            "parameter": row.parameter,
            "value": row.value,
            "unit": row.unit,
            "point": row.point,
            "dilution": row.dilution,
            "at": given.at_ms if row.at_ms is None else row.at_ms,
        }
        for row in current_readings(given)
    ]


def device_name(state: SiteState, device: str) -> str:
    """Give a device's name, "" for one that is not on record."""
    known = state.devices.get(device)
    return known.name if known else ""


def told_about(state: SiteState) -> set[str]:
    """Give the lines that somebody was told about."""
    return {row.about for row in state.told}


def rounds_of(state: SiteState, pool: str) -> list[dict[str, Any]]:
    """Give the rounds that judging and advice may look back at, oldest first."""
    kept = rounds_kept(
        [
            {"at": row.at_ms, "parameters": sorted(parameters_of(row)), "round": row}
            for row in state.rounds.get(pool, ())[-MOST_LOOKED_AT:]
        ]
    )
    kits = kits_of(state)
    return [
        {
            "id": row["round"].id,
            "at": row["at"],
            "purpose": row["round"].purpose,
            "source": row["round"].source,
            "oldest": oldest_reading(row["round"]),
            "parameters": row["parameters"],
            "readings": kernel_readings(row["round"], kits),
            "doubtful": doubted(state, row["round"]),
        }
        for row in kept
    ]


def oldest_reading(given: Round) -> int:
    """Give when the oldest reading of a round was taken, in UTC milliseconds."""
    times = [reading.at_ms for reading in given.readings if reading.at_ms is not None]
    return min([given.at_ms, *times])


def words_of(state: SiteState, pool: str) -> dict[str, Any]:
    """Give how a pool stands by what people said of it."""
    told = told_about(state)
    opening = state.openings.get(pool)
    return {
        "stops": [stop_told(stop, told) for stop in state.stops.get(pool, ())],
        "opening": None if opening is None else word_told(state, opening),
        "also_closed": [word_told(state, row) for row in state.also_closed.get(pool, ())],
        "disputes": [
            {"opened": word_told(state, row.opened), "closed": word_told(state, row.closed)}
            for row in state.disputes.get(pool, ())
        ],
        **incident_facts(state, pool),
    }


def stop_told(stop: Stop, told: set[str]) -> dict[str, Any]:
    """Give a house stop that stands."""
    return {
        "id": stop.id,
        "entry": stop.entry,
        "since": stop.since_ms,
        "by": stop.by,
        "words": stop.words,
        "round": stop.round,
        "told": stop.entry in told,
    }


def word_told(state: SiteState, word: Opening) -> dict[str, Any]:
    """Give a word on a pool."""
    return {
        "status": word.status,
        "since": word.since_ms,
        "by": word.by,
        "reason": word.reason,
        "entry": word.entry,
        "marked": list(word.marked),
        "round": word.round,
        "through": word.through,
        "device": device_name(state, word.through) or word.through,
        "stop": word.stop,
        "word_of": word.word_of,
        "standing": word.standing,
        "confirmed": word.confirmed_ms or None,
        "confirmed_by": word.confirmed_by,
        "on_device": word.on_device,
        "without_authority": word.without_authority,
    }


def amounts_of(state: SiteState, pool: str) -> dict[str, Any]:
    """Give what was advised and added to a pool's filter, and when its pools were tested since."""
    mates = state.same_filter(pool)
    found: dict[str, Any] = {
        "pool": pool,
        "mates": list(mates),
        "circuit": state.pools[pool].circuit,
        "tested": {mate: state.tested[mate] for mate in mates if mate in state.tested},
        "chlorines": [
            identity
            for identity, product in state.products.items()
            if product.body["substance"] in CHLORINE_PRODUCTS
        ],
        "advices": [
            {"id": row.id, "pool": row.pool, "circuit": row.circuit}
            for row in state.advices.values()
            if in_same_water(state, pool, row) and not row.answer
        ],
    }
    rows = [
        addition_told(state.products, row)
        for row in state.additions.values()
        if in_same_water(state, pool, row)
    ]
    return found | {"additions": additions_carried(found, rows)}


def in_same_water(state: SiteState, pool: str, given: Advice | Addition) -> bool:
    """Tell whether an addition is to a pool's filter, as set up now or as it was set up then."""
    then = given.circuit != "" and given.circuit == state.pools[pool].circuit
    return then or given.pool in state.same_filter(pool)


def addition_told(products: Mapping[str, Any], row: Addition) -> dict[str, Any]:
    """Give that something was added, and whether it was a chlorine; not what, nor how much."""
    known = products.get(row.product)
    substance = str(known.body["substance"]) if known else row.product
    return {
        "id": row.id,
        "pool": row.pool,
        "circuit": row.circuit,
        "started": row.started_ms,
        "answer": row.answer,
        "answered": row.answered_ms,
        "wait_minutes": row.wait_minutes,
        "chlorine": substance in CHLORINE_PRODUCTS,
    }
