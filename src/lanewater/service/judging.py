"""Hold a round against the rules chosen for its pool, with what the site knows beside it."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache
from typing import Any

from lanewater import __version__
from lanewater.kernel.deciding.heldverdict import answer_held, doubted_in, verdict_told
from lanewater.measurement.kits import Kit, kit_from
from lanewater.measurement.reading import Reading, reading_from
from lanewater.measurement.uncertainty import case_extras, for_kernel
from lanewater.rules.case import with_numbers
from lanewater.rules.judging import utc_text
from lanewater.service import state as facts
from lanewater.service.clock import DAY_MS, MINUTE_MS, instant_text, offset_minutes
from lanewater.service.state import (
    Registered,
    Round,
    Rules,
    SiteState,
    Verdict,
    current_readings,
)
from lanewater.terms.errors import LanewaterError

ENGINE = f"lanewater {__version__}"
RECENT_ROUNDS = 3
OLDEST_BORROWED_MS = 400 * DAY_MS
MOST_LOOKED_AT = 400
EVENTS_MS = DAY_MS
# What judging may raise on a round that is saved; the answer then says that it is not judged.
JUDGING_ERRORS = (LanewaterError, ValueError, KeyError, TypeError, IndexError, ArithmeticError)


def measured(reading: facts.Reading) -> Reading:
    """Give a reading on record as measurement knows it."""
    given: dict[str, Any] = {
        "parameter": reading.parameter,
        "unit": reading.unit,
        "dilution": reading.dilution,
        "point": reading.point,
        "kit": reading.kit,
        "lot": reading.lot,
        "taken": None if reading.at_ms is None else reading.at_ms // 1000,
    }
    if reading.between is not None:
        given["between"] = {"low": reading.between[0], "high": reading.between[1]}
    else:
        given["value"] = reading.value
    return reading_from(given)


@lru_cache(maxsize=4096)
def readings_of(given: Round) -> tuple[Reading, ...]:
    """Give a round's readings as they stand, corrections applied."""
    return tuple(measured(reading) for reading in current_readings(given))


def kernel_readings(given: Round, kits: Mapping[str, Kit]) -> list[dict[str, Any]]:
    """Give a round's readings as they stand in the kernel's normal form."""
    return [for_kernel(row, kits.get(row.kit)) for row in readings_of(given)]


@lru_cache(maxsize=4096)
def parameters_of(given: Round) -> frozenset[str]:
    """Give what was read in a round."""
    return frozenset(reading.parameter for reading in given.readings)


@lru_cache(maxsize=256)
def kit_of(known: Registered) -> Kit:
    """Give a test kit as it was registered."""
    return kit_from({key: value for key, value in known.body.items() if key != "name"})


def kits_of(state: SiteState) -> dict[str, Kit]:
    """Give the site's test kits."""
    return {identity: kit_of(known) for identity, known in state.kits.items()}


def pool_facts(state: SiteState, pool: str) -> dict[str, Any]:
    """Give a pool's facts as rules ask for them; what was not stated is not there."""
    known = state.pools[pool]
    circuit = state.circuits.get(known.circuit)
    given = dict(known.facts)
    found: dict[str, Any] = {**given.pop("facts", {}), **given}
    for key, text in (
        ("volume_m3", known.volume_m3),
        ("surface_m2", known.surface_m2),
        ("circuit_volume_m3", circuit.volume_m3 if circuit else ""),
    ):
        if text:
            found[key] = float(text)
    if known.circuit:
        found["circuit"] = known.circuit
    return with_numbers(found)


def local_date(state: SiteState, instant_ms: int) -> str:
    """Give the site's date at an instant."""
    shifted = instant_ms + offset_minutes(state.site.timezone, instant_ms) * MINUTE_MS
    return instant_text(shifted)[:10]


def borrowed(
    state: SiteState, pool: str, before_ms: int, kits: Mapping[str, Kit], without: str = ""
) -> list[dict[str, Any]]:
    """Give earlier rounds, newest last: the latest ones, and the latest of each parameter.

    Parameters
    ----------
    state : SiteState
        The site.
    pool : str
        Its pool.
    before_ms : int
        Rounds taken later are left out.
    kits : mapping
        The site's kits.
    without : str
        A round's id to leave out.
    """
    known: set[str] = set()
    chosen: list[Round] = []
    rounds = state.rounds.get(pool, ())
    for found in reversed(rounds[-MOST_LOOKED_AT:]):
        if found.at_ms > before_ms or found.id == without:
            continue
        if before_ms - found.at_ms > OLDEST_BORROWED_MS:
            break
        parameters = parameters_of(found)
        if len(chosen) < RECENT_ROUNDS or parameters - known:
            chosen.append(found)
            known |= parameters
    return [
        {
            "at": found.at_ms // 1000,
            "readings": kernel_readings(found, kits),
        }
        for found in reversed(chosen)
    ]


def events_of(state: SiteState, pool: str, at_ms: int) -> list[dict[str, Any]]:
    """Give what was added to a pool's circuit in the day before, as findings ask for it."""
    mates = state.same_filter(pool)
    found = []
    for addition in state.additions.values():
        age = at_ms - addition.started_ms
        if addition.pool in mates and addition.answer != "not-added" and 0 <= age <= EVENTS_MS:
            product = state.products.get(addition.product)
            substance = product.body["substance"] if product else addition.product
            found.append(
                {"kind": "addition", "product": substance, "at": addition.started_ms // 1000}
            )
    return found


def expired_reagents(
    state: SiteState, readings: Iterable[Reading], at_ms: int
) -> list[dict[str, str]]:
    """Give the readings that were made with a reagent lot past its date."""
    today = local_date(state, at_ms)
    dates = {
        (reagent.body["parameter"], reagent.body["lot"]): reagent.body["expires_on"]
        for reagent in state.reagents.values()
    }
    found = []
    for reading in readings:
        lot = lot_of(state, reading)
        expires = dates.get((reading.parameter, lot), today)
        if expires < today:
            found.append({"parameter": reading.parameter, "lot": lot, "expired": expires})
    return found


def lot_of(state: SiteState, reading: Reading) -> str:
    """Give a reading's reagent lot: as stated, or the only one that its kit has; "" if unknown."""
    if reading.lot or not reading.kit:
        return reading.lot
    lots = [
        reagent.body["lot"]
        for reagent in state.reagents.values()
        if reagent.body["parameter"] == reading.parameter
        and reagent.body.get("kit", reading.kit) == reading.kit
    ]
    return str(lots[0]) if len(lots) == 1 else ""


def judging_case(
    state: SiteState,
    pool: str,
    readings: Sequence[Reading],
    at_ms: int,
    *,
    purpose: str = "round",
    without: str = "",
) -> dict[str, Any]:
    """Put together what the kernel judges.

    Parameters
    ----------
    state : SiteState
        The site.
    pool : str
        The pool's id.
    readings : sequence of measurement.Reading
        As they stand.
    at_ms : int
        When they were taken. [UTC ms]
    purpose : str
        round or sample.
    without : str
        The id of the round itself, which is not its own history.
    """
    kits = kits_of(state)
    return {
        "purpose": purpose,
        "pool": pool_facts(state, pool),
        "readings": [for_kernel(reading, kits.get(reading.kit)) for reading in readings],
        "history": borrowed(state, pool, at_ms, kits, without),
        "at": at_ms // 1000,
        "offset_seconds": offset_minutes(state.site.timezone, at_ms) * MINUTE_MS // 1000,
        **case_extras(readings, kits),
        "events": events_of(state, pool, at_ms),
        "expired": expired_reagents(state, readings, at_ms),
    }


def judged(pack: dict[str, Any] | None, case: dict[str, Any]) -> dict[str, Any]:
    """Judge a case and give the answer as it goes on record and on the wire.

    Returns
    -------
    dict
        The answer of `judge` without rules and edition; next_due with every_seconds.
    """
    return recordable(answer_held(pack, case))


def recordable(body: dict[str, Any]) -> dict[str, Any]:
    """Give a judgement of the kernel's in the record's profile, its instant as text."""
    due = body["next_due"]
    found: dict[str, Any] = storable({**body, "next_due": {**due, "at": utc_text(due["at"])}})
    return found


def doubted(state: SiteState, given: Round) -> list[str]:
    """Give the numbers of a round that were in doubt as it was taken."""
    return doubted_in(
        judging_case(state, given.pool, readings_of(given), given.at_ms, without=given.id)
    )


def storable(value: Any) -> Any:
    """Give a value in the record's profile: no null, no float, text in normal form C."""
    if isinstance(value, Mapping):
        return {key: storable(item) for key, item in value.items() if item is not None}
    if isinstance(value, list | tuple):
        return [storable(item) for item in value]
    if isinstance(value, float):
        return repr(value)
    return unicodedata.normalize("NFC", value) if isinstance(value, str) else value


def on_the_wire(rules: Rules, body: Mapping[str, Any]) -> dict[str, Any]:
    """Give a judgement as pages and commands get it."""
    return verdict_told({"id": rules.id, "edition": rules.edition}, dict(body))


def verdict_on_the_wire(verdict: Verdict | None) -> dict[str, Any] | None:
    """Give a judgement on record as pages and commands get it, None where there is none."""
    return None if verdict is None else on_the_wire(verdict.rules, verdict.body)
