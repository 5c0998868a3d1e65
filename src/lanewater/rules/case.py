"""What a caller hands in to be judged, as JSON, turned into the case that the kernel judges."""

from __future__ import annotations

import re
from datetime import datetime
from typing import Any

from lanewater.kernel.deciding.decimals import thousandths
from lanewater.kernel.deciding.normal import FAHRENHEIT, own_unit_text
from lanewater.terms.errors import InputError, shown
from lanewater.terms.parameters import PARAMETERS, units_of
from lanewater.terms.words import POOL_FACTS, POOL_NUMBERS, PURPOSES

CASE_KEYS = {"rules", "purpose", "pool", "readings", "history", "at"}
READING_KEYS = {
    "parameter",
    "value",
    "unit",
    "point",
    "at",
    "instrument",
    "dilution",
    "uncertainty",
    "method",
}
POOL_KEYS = {*POOL_FACTS, *POOL_NUMBERS, "circuit", "risk_class", "facts"}
NUMBER = re.compile(r"-?[0-9]{1,9}(\.[0-9]{1,3})?", re.ASCII)
LARGEST_THOUSANDTHS = 10**12
BELOW_ZERO = ("temperature_c", "orp_mv")
CONVERTED = (*FAHRENHEIT, "g/L")


def case_from(given: Any) -> dict[str, Any]:
    """Turn one `judge` question into a case.

    Parameters
    ----------
    given : object
        Parsed JSON: {"rules", "purpose", "pool", "readings", "history", "at"}; all but readings
        may be left out. See docs/reference/cli.md.

    Returns
    -------
    dict
        {"purpose", "pool", "readings": normal form, "history", "at"}.

    Raises
    ------
    InputError
        Naming the field that cannot be read.
    """
    if not isinstance(given, dict):
        raise InputError("", 'an object is wanted, such as {"readings": {"ph": "7.4"}}')
    refuse_unknown(given, CASE_KEYS, "")
    purpose = given.get("purpose", "round")
    if purpose not in PURPOSES:
        raise InputError("purpose", "round or sample is wanted")
    if "readings" not in given:
        raise InputError("readings", "is missing")
    readings = readings_from(given["readings"], "readings")
    at = instant_from(given["at"], "at") if given.get("at") is not None else None
    if at is None:
        times = [reading["at"] for reading in readings if reading["at"] is not None]
        at = max(times) if times else None
    return {
        "purpose": purpose,
        "pool": pool_from(given.get("pool", {})),
        "readings": readings,
        "history": history_from(given.get("history", [])),
        "at": at,
        **offset_of(given),
    }


def offset_of(given: dict[str, Any]) -> dict[str, int]:
    """Give the offset of the place from UTC, as its times are written; nothing where it is none.

    Days of a rule are counted by it.
    """
    times = [given.get("at")]
    if isinstance(given["readings"], list):
        times += [entry.get("at") for entry in given["readings"] if isinstance(entry, dict)]
    for time in times:
        moment = datetime.fromisoformat(time).utcoffset() if isinstance(time, str) else None
        if moment is not None:
            seconds = int(moment.total_seconds())
            return {"offset_seconds": seconds} if seconds else {}
    return {}


def refuse_unknown(given: dict[str, Any], known: set[str], where: str) -> None:
    """Refuse an object with a key that is not known."""
    for key in given:
        if key not in known:
            raise InputError(f"{where}{key[:60]}", f"is not one of {', '.join(sorted(known))}")


def instant_from(value: Any, where: str) -> int:
    """Turn an RFC 3339 time with its offset into UTC seconds."""
    if isinstance(value, str):
        try:
            moment = datetime.fromisoformat(value)
        except ValueError:
            moment = None
        if moment is not None and moment.tzinfo is not None and 1 < moment.year < 9999:
            return int(moment.timestamp())
    raise InputError(where, "a time with its offset is wanted, such as 2026-07-01T05:51:00+02:00")


def pool_from(given: Any) -> dict[str, Any]:
    """Check the pool's facts; a fact that is left out is not known."""
    if given is None:
        return {}
    if not isinstance(given, dict):
        raise InputError("pool", "an object of facts is wanted")
    refuse_unknown(given, POOL_KEYS, "pool.")
    known = {key: value for key, value in given.items() if value is not None}
    for key, value in known.items():
        where = f"pool.{key}"
        if key in POOL_FACTS and value not in (*POOL_FACTS[key], "unknown"):
            raise InputError(where, f"{shown(value)} is not one of {', '.join(POOL_FACTS[key])}")
        if key in POOL_NUMBERS and (
            isinstance(value, bool) or not isinstance(value, (int, float)) or not 0 < value < 1e7
        ):
            raise InputError(where, "a number above zero is wanted")
        if key == "facts":
            refuse_own_names(value)
    return with_numbers({**known.pop("facts", {}), **known})


def refuse_own_names(facts: Any) -> None:
    """Refuse facts of other names that are none: what has a place and a list of its own."""
    if not isinstance(facts, dict):
        raise InputError("pool.facts", "an object is wanted")
    for key in facts:
        if key in POOL_KEYS or key == "numbers":
            raise InputError(f"pool.facts.{key}", f"is no other fact; write it as pool.{key}")


def with_numbers(facts: dict[str, Any]) -> dict[str, Any]:
    """Give a pool's facts with its "numbers" beside them, in thousandths, as rules ask for them.

    Parameters
    ----------
    facts : dict
        As stated; a number may stand as text, as the record holds it.
    """
    numbers: dict[str, int] = {}
    for name, value in facts.items():
        if isinstance(value, (int, float)) and not isinstance(value, bool):
            numbers[name] = round(value * 1000)
        elif isinstance(value, str) and NUMBER.fullmatch(value):
            numbers[name] = thousandths(value)
    return {**facts, "numbers": numbers} if numbers else facts


def history_from(given: Any) -> list[dict[str, Any]]:
    """Check earlier rounds: a list of {"at", "readings"} or of {"at", parameter: value}."""
    if not isinstance(given, list):
        raise InputError("history", "a list is wanted")
    rounds = []
    for index, entry in enumerate(given):
        where = f"history[{index}]"
        if not isinstance(entry, dict) or "at" not in entry:
            raise InputError(where, 'an object with "at" is wanted')
        readings = entry.get("readings")
        if readings is None:
            readings = {key: value for key, value in entry.items() if key != "at"}
        rounds.append(
            {
                "at": instant_from(entry["at"], f"{where}.at"),
                "readings": readings_from(readings, where),
            }
        )
    return rounds


def readings_from(given: Any, where: str) -> list[dict[str, Any]]:
    """Turn readings in short or long form into the normal form.

    Returns
    -------
    list of dict
        {"parameter", "value", "dilution", "point", "at", "uncertainty", "kit"}, and "method"
        where it was said.
    """
    if isinstance(given, dict):
        entries = [
            ({"parameter": name, "value": value}, f"{where}.{name[:60]}")
            for name, value in given.items()
            if value is not None and value != ""
        ]
    elif isinstance(given, list):
        entries = [(entry, f"{where}[{index}]") for index, entry in enumerate(given)]
    else:
        raise InputError(where, "an object or a list of readings is wanted")
    return [reading_from(entry, place) for entry, place in entries]


def reading_from(entry: Any, where: str) -> dict[str, Any]:
    """Turn one reading into the normal form."""
    if not isinstance(entry, dict):
        raise InputError(where, "an object is wanted")
    refuse_unknown(entry, READING_KEYS, f"{where}.")
    name = entry.get("parameter")
    if not isinstance(name, str) or name not in PARAMETERS:
        raise InputError(where, f"{shown(name)} is not a parameter (docs/reference/parameters.md)")
    parameter = PARAMETERS[name]
    value = entry.get("value")
    unit = unit_from(entry.get("unit"), name, where)
    if parameter.words:
        if value not in parameter.words:
            raise InputError(where, f"{shown(value)} is not one of {', '.join(parameter.words)}")
        text = str(value)
    else:
        text = own_unit_text(name, number_text(value, where, signed=name in BELOW_ZERO), unit)
    at = entry.get("at")
    method = plain_text(entry.get("method", ""), f"{where}.method")
    return {
        **({"method": method} if method else {}),
        "parameter": parameter.id,
        "value": text,
        "dilution": dilution_from(entry.get("dilution", 1), where),
        "point": plain_text(entry.get("point", ""), f"{where}.point"),
        "at": None if at is None else instant_from(at, f"{where}.at"),
        "uncertainty": uncertainty_from(entry.get("uncertainty"), unit, f"{where}.uncertainty"),
        "kit": plain_text(entry.get("instrument", ""), f"{where}.instrument"),
    }


def uncertainty_from(value: Any, unit: str, where: str) -> str | None:
    """Give a reading's error; it is not turned from one unit into another."""
    if value is None:
        return None
    if unit in CONVERTED:
        raise InputError(where, f"is not read in {unit}; give the reading in its own unit")
    return number_text(value, where)


def unit_from(given: Any, name: str, where: str) -> str:
    """Give the unit that a reading was typed in; refuse one that its parameter is not typed in."""
    unit = "" if given is None else given
    accepted = units_of(name)
    if unit not in accepted:
        wanted = ", ".join(accepted[1:]) or "no unit"
        raise InputError(f"{where}.unit", f"{shown(unit)} is not read here; {wanted} is wanted")
    return str(unit)


def plain_text(value: Any, where: str) -> str:
    """Refuse anything but short text."""
    if not isinstance(value, str) or len(value) > 200:
        raise InputError(where, "short text is wanted")
    return value


def dilution_from(value: Any, where: str) -> int:
    """Give the factor of a dilution, 1 part made up to so many."""
    if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= 100:
        raise InputError(f"{where}.dilution", "a whole factor from 1 to 100 is wanted")
    return value


def number_text(value: Any, where: str, *, signed: bool = False) -> str:
    """Give a reading as decimal text; a JSON number is taken as it was written."""
    if isinstance(value, bool) or not isinstance(value, (str, int, float)):
        raise InputError(where, 'a decimal text is wanted, such as "1.52" or ">5.00"')
    text = value.strip() if isinstance(value, str) else repr(value)
    try:
        number = thousandths(text)
    except ValueError as error:
        raise InputError(
            where, f"{shown(value)}: {error}; write it as 1.52, >5.00 or <6.8"
        ) from error
    if not -LARGEST_THOUSANDTHS < number < LARGEST_THOUSANDTHS:
        raise InputError(where, f"{shown(value)} is beyond any reading")
    if number < 0 and not signed:
        raise InputError(where, f"{shown(value)} is below zero")
    return text
