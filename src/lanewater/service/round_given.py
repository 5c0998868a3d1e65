"""A round as somebody hands it in, read and checked before anything is saved."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from lanewater.kernel.deciding.decimals import relation_of
from lanewater.measurement.reading import Reading, reading_from
from lanewater.records.entries import entry_id
from lanewater.records.kinds import SOURCES
from lanewater.service.clock import MINUTE_MS, instant_ms, instant_text
from lanewater.service.state import SiteState
from lanewater.terms.errors import InputError
from lanewater.terms.parameters import PARAMETERS
from lanewater.terms.shapes import Shape, anything, identity, list_of, one_of, text, whole, words

ROUND = Shape(
    {"pool": identity, "readings": anything},
    {
        "at": anything,
        "id": entry_id,
        "source": one_of(*SOURCES),
        "reason": words,
        "purpose": one_of("round", "sample"),
        "changed_after_result": list_of(anything, 60),
        "bathers": whole(0, 100_000),
        "note": words,
        "repeats": entry_id,
    },
)
CHANGED = Shape(
    {"parameter": one_of(*PARAMETERS), "value": text(20, shortest=1)},
    {"point": text(60), "at": anything},
)
READING_KEYS = {
    "parameter",
    "value",
    "unit",
    "point",
    "at",
    "kit",
    "instrument",
    "lot",
    "dilution",
    "between",
}
MOST_READINGS = 120
EARLY_MS = 5 * MINUTE_MS
LATE_MS = 60 * MINUTE_MS
MAY_BE_NEGATIVE = ("temperature_c", "orp_mv")


@dataclass(frozen=True, slots=True)
class Given:
    """A round that fits: what goes into its entry, and the readings as measurement knows them."""

    id: str | None
    at_ms: int
    at_stated: bool
    body: dict[str, Any]
    readings: tuple[Reading, ...]
    reason: str | None


def round_given(state: SiteState, given: Mapping[str, Any], now_ms: int) -> Given:
    """Read a round.

    A round that is handed in more than an hour after it was taken counts as late, whatever is
    said; one from the future is refused, as it would stand above every later one.

    Raises
    ------
    InputError
        Naming the first field that does not fit.
    """
    ROUND(given, "")
    pool = given["pool"]
    if pool not in state.pools:
        known = ", ".join(state.pools) or "none yet"
        raise InputError("pool", f"{pool!r} is not set up here; set up are {known}")
    stated = given.get("at") is not None
    at_ms = instant_ms(given["at"], "at") if stated else now_ms
    if at_ms > now_ms + EARLY_MS:
        raise InputError("at", "lies in the future")
    source = given.get("source", "direct")
    if source != "direct" and not stated:
        raise InputError("at", f"is missing: when was this {source} round taken?")
    if source == "direct" and now_ms - at_ms > LATE_MS:
        source = "late"
    readings = readings_given(given["readings"], state, now_ms)
    body: dict[str, Any] = {
        "pool": pool,
        "source": source,
        "readings": [reading_body(reading) for reading in readings],
    }
    body |= {key: given[key] for key in ("purpose", "bathers", "note", "repeats") if key in given}
    hold_to_pool(state, body)
    if given.get("changed_after_result"):
        body["changed_after_result"] = changes_given(given["changed_after_result"], readings)
    return Given(given.get("id"), at_ms, stated, body, readings, given.get("reason"))


def hold_to_pool(state: SiteState, body: Mapping[str, Any]) -> None:
    """Refuse a repeat of another pool's round; one that is not on record yet may come later."""
    first = state.round_by_id(body["repeats"]) if "repeats" in body else None
    if first is not None and first.pool != body["pool"]:
        raise InputError("repeats", f"is a round of {first.pool}")


def readings_given(value: Any, state: SiteState, now_ms: int) -> tuple[Reading, ...]:
    """Read the readings, in short or long form."""
    if isinstance(value, Mapping):
        rows = [
            ({"parameter": key, "value": item}, f"readings.{key}") for key, item in value.items()
        ]
    elif isinstance(value, list | tuple):
        rows = [(item, f"readings[{index}]") for index, item in enumerate(value)]
    else:
        raise InputError("readings", "must be an object or a list of readings")
    if not 1 <= len(rows) <= MOST_READINGS:
        raise InputError("readings", f"must hold 1 to {MOST_READINGS} readings, not {len(rows)}")
    return tuple(one_reading(item, where, state, now_ms) for item, where in rows)


def one_reading(item: Any, where: str, state: SiteState, now_ms: int) -> Reading:
    """Read one reading; a number that JSON gave as a number is taken as it was written."""
    if not isinstance(item, Mapping):
        raise InputError(where, "must be an object with named fields")
    for key in item:
        if key not in READING_KEYS:
            known = ", ".join(sorted(READING_KEYS))
            raise InputError(f"{where}.{key}", f"not a known field; known: {known}")
    given = {key: value for key, value in item.items() if key not in ("instrument", "at")}
    if "instrument" in item:
        given["kit"] = item["instrument"]
    if isinstance(given.get("value"), int | float) and not isinstance(given["value"], bool):
        given["value"] = repr(given["value"])
    if item.get("at") is not None:
        taken = instant_ms(item["at"], f"{where}.at")
        if taken > now_ms + EARLY_MS:
            raise InputError(f"{where}.at", "lies in the future")
        given["taken"] = taken // 1000
    found = reading_from(given, where)
    if found.kit and found.kit not in state.kits:
        raise InputError(f"{where}.kit", f"{found.kit!r} is not set up; add the kit first")
    if is_negative(found):
        raise InputError(f"{where}.value", f"{found.text!r} is below zero")
    return found


def is_negative(reading: Reading) -> bool:
    """Tell whether a reading lies below zero where nothing can."""
    start = 0 if relation_of(reading.text) == "exact" else 1
    return reading.text[start : start + 1] == "-" and reading.parameter not in MAY_BE_NEGATIVE


def reading_body(reading: Reading) -> dict[str, Any]:
    """Give a reading as its entry keeps it: as typed, and only what was said."""
    body: dict[str, Any] = {
        "parameter": reading.parameter,
        "value": reading.value if reading.between else reading.text,
    }
    stated: dict[str, Any] = {
        "unit": reading.typed_unit,
        "point": reading.point,
        "kit": reading.kit,
        "lot": reading.lot,
    }
    body |= {key: value for key, value in stated.items() if value}
    if reading.dilution != 1:
        body["dilution"] = reading.dilution
    if reading.taken is not None:
        body["at"] = instant_text(reading.taken * 1000)
    if reading.between is not None:
        body["between"] = {"low": reading.between.low, "high": reading.between.high}
    return body


def changes_given(value: Any, readings: tuple[Reading, ...]) -> list[dict[str, Any]]:
    """Read which numbers were changed after their result had been shown."""
    found = []
    known = {(reading.parameter, reading.point) for reading in readings}
    for index, item in enumerate(value):
        where = f"changed_after_result[{index}]"
        CHANGED(item, where)
        if (item["parameter"], item.get("point", "")) not in known:
            raise InputError(f"{where}.parameter", "has no reading in this round")
        earlier = reading_from({"parameter": item["parameter"], "value": item["value"]}, where)
        row: dict[str, Any] = {"parameter": item["parameter"], "value": earlier.text}
        if item.get("point"):
            row["point"] = item["point"]
        if item.get("at") is not None:
            row["at"] = instant_text(instant_ms(item["at"], f"{where}.at"))
        found.append(row)
    return found
