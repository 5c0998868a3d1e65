"""What a caller asks about a contact time, as JSON, and the answer in the units it is told in."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, timezone
from typing import Any

from lanewater.kernel.deciding.contactneeds import GERM_LOGS, GERMS
from lanewater.kernel.deciding.contacttime import (
    contact_for_germ,
    contact_for_procedure,
    contact_for_target,
)
from lanewater.kernel.deciding.decimals import reading_thousandths, thousandths
from lanewater.rules.case import (
    dilution_from,
    instant_from,
    number_text,
    plain_text,
    refuse_unknown,
)
from lanewater.terms.errors import InputError, shown

MOST_READINGS = 500
LARGEST_TARGET = 10**6
LARGEST_READING = 10**7
EDITIONS = ("2001", "2008")
VALUES = ("free_chlorine", "ph", "temperature_c", "cyanuric_acid")
READING_KEYS = {"at", "point", "dilution", *VALUES}
WAYS = ("target_ct_mg_min_l", "pathogen", "procedure")
QUESTION_KEYS = {
    *WAYS,
    "readings",
    "rules",
    "route",
    "edition",
    "log_inactivation",
    "cyanuric_acid",
}
BARE_TARGET = "a bare target: no limit of pH, temperature or stabiliser stands with it"

Pack = Callable[[str], dict[str, Any]]
Readings = list[dict[str, Any]]


@dataclass(frozen=True, slots=True)
class Asked:
    """A question about a contact time.

    Attributes
    ----------
    way : str
        One of WAYS.
    readings : list of dict
        Normal form, each with its time.
    stabiliser : int or None
        Cyanuric acid said of the water as a whole. [thousandths of mg/L]
    zone : timezone
        In which the answer tells times: that of the latest reading.
    given : dict
        The question as it came.
    """

    way: str
    readings: Readings
    stabiliser: int | None
    zone: timezone
    given: dict[str, Any]


def answer_contact(k: tuple[float, ...], pack: Pack, given: Any) -> dict[str, Any]:
    """Answer one question about a contact time.

    Parameters
    ----------
    k : tuple of float
        Contact times.
    pack : callable
        Gives a compiled pack by its id.
    given : object
        Parsed JSON; see docs/reference/questions.md.

    Returns
    -------
    dict
        What docs/reference/questions.md describes, in mg min/L and RFC 3339 times.

    Raises
    ------
    InputError
        Naming the field that cannot be read.
    """
    asked = asked_from(given)
    if asked.way == "target_ct_mg_min_l":
        target = target_from(asked.given["target_ct_mg_min_l"])
        return {
            **told_state(contact_for_target(asked.readings, asked.stabiliser, target), asked.zone),
            "assumed": [BARE_TARGET],
        }
    if asked.way == "pathogen":
        germ = germ_from(asked.given)
        state = contact_for_germ(k, asked.readings, asked.stabiliser, germ)
        return {"pathogen": germ["germ"], **told_state(state, asked.zone), "assumed": []}
    return procedure_answer(asked, procedure_from(asked.given, pack))


def asked_from(given: Any) -> Asked:
    """Turn a question's JSON into what is asked."""
    if not isinstance(given, dict):
        raise InputError("", 'an object is wanted, such as {"readings": [...], "pathogen": "..."}')
    refuse_unknown(given, QUESTION_KEYS, "")
    ways = [key for key in WAYS if given.get(key) is not None]
    if len(ways) != 1:
        raise InputError("", f"exactly one of {', '.join(WAYS)} is wanted")
    entries = given.get("readings")
    if not isinstance(entries, list) or not 0 < len(entries) <= MOST_READINGS:
        raise InputError("readings", f"a list of 1 to {MOST_READINGS} readings is wanted")
    readings: Readings = []
    for index, entry in enumerate(entries):
        readings += readings_of(entry, f"readings[{index}]")
    said = given.get("cyanuric_acid")
    stabiliser = None
    if said is not None:
        stabiliser = thousandths(whole_text(said, "cyanuric_acid"))
    latest = max(entries, key=lambda entry: instant_from(entry["at"], "readings.at"))
    offset = datetime.fromisoformat(latest["at"]).utcoffset() or timedelta(0)
    return Asked(ways[0], readings, stabiliser, timezone(offset) if offset else UTC, given)


def whole_text(said: Any, where: str) -> str:
    """Give a stabiliser that was said of the whole water; one out of range is no such thing."""
    text = number_text(said, where)
    if text[0] in "<>":
        raise InputError(where, "a plain number is wanted here; put a range on a reading")
    return text


def readings_of(entry: Any, where: str) -> Readings:
    """Turn one reading of several values into the normal form."""
    if not isinstance(entry, dict):
        raise InputError(where, 'an object is wanted, such as {"at": "...", "free_chlorine": "20"}')
    refuse_unknown(entry, READING_KEYS, f"{where}.")
    if "at" not in entry:
        raise InputError(f"{where}.at", "is missing")
    at = instant_from(entry["at"], f"{where}.at")
    point = entry.get("point")
    shared = {
        "point": plain_text("" if point is None else point, f"{where}.point"),
        "at": at,
        "uncertainty": None,
        "kit": "",
    }
    dilution = dilution_from(entry.get("dilution", 1), where)
    found: Readings = []
    for name in VALUES:
        if entry.get(name) is None:
            continue
        reading = {
            "parameter": name,
            "value": number_text(entry[name], f"{where}.{name}", signed=name == "temperature_c"),
            "dilution": dilution if name == "free_chlorine" else 1,
            **shared,
        }
        if reading_thousandths(reading) > LARGEST_READING:
            raise InputError(f"{where}.{name}", f"{shown(entry[name])} is beyond any reading")
        found.append(reading)
    if not found:
        raise InputError(where, f"at least one of {', '.join(VALUES)} is wanted")
    return found


def target_from(value: Any) -> int:
    """Give a target in thousandths of mg min/L."""
    number = thousandths(whole_text(value, "target_ct_mg_min_l"))
    if not 0 < number <= LARGEST_TARGET * 1000:
        raise InputError(
            "target_ct_mg_min_l", f"above 0 and at most {LARGEST_TARGET:,} mg min/L is wanted"
        )
    return number


def germ_from(given: dict[str, Any]) -> dict[str, Any]:
    """Give the germ, the edition and the log inactivation that are asked for."""
    germ = given["pathogen"]
    if germ not in GERMS:
        raise InputError("pathogen", f"{shown(germ)} is not one of {', '.join(GERMS)}")
    edition = given.get("edition", EDITIONS[-1])
    if edition not in EDITIONS:
        raise InputError("edition", f"{shown(edition)} is not one of {', '.join(EDITIONS)}")
    if "edition" in given and germ != "cryptosporidium":
        raise InputError("edition", "goes with cryptosporidium")
    logs = GERM_LOGS[germ]
    if given.get("log_inactivation") is not None:
        logs = thousandths(whole_text(given["log_inactivation"], "log_inactivation"))
    allowed = {"giardia": (500, 3000), "virus": (2000, 4000), "cryptosporidium": (3000, 3000)}
    low, high = allowed[germ]
    if not low <= logs <= high or (germ == "virus" and logs % 1000):
        raise InputError(
            "log_inactivation",
            "Giardia takes 0.5 to 3, viruses 2, 3 or 4, Cryptosporidium only 3",
        )
    return {"germ": germ, "edition": edition, "logs": logs}


def procedure_from(given: dict[str, Any], pack: Pack) -> dict[str, Any]:
    """Give the procedure that is asked for, by its id or by what happened, with its pack."""
    if not isinstance(given.get("rules"), str):
        raise InputError("rules", "the id of the rules pack that holds the procedure is wanted")
    found = pack(given["rules"])
    name = given["procedure"]
    fitting = [one for one in found["procedures"] if name == one["id"] or name in one["for"]]
    if len(fitting) != 1:
        known = ", ".join(one["id"] for one in found["procedures"]) or "none"
        raise InputError("procedure", f"{shown(name)} is not held by {found['id']}; held: {known}")
    procedure: dict[str, Any] = fitting[0]
    routes = [route["id"] for route in procedure["routes"]]
    if given.get("route") is not None and given["route"] not in routes:
        raise InputError("route", f"{shown(given['route'])} is not one of {', '.join(routes)}")
    return {**procedure, "pack": found}


def procedure_answer(asked: Asked, procedure: dict[str, Any]) -> dict[str, Any]:
    """Answer for every route in the rules' order; the first figures are those of one of them."""
    states = contact_for_procedure(asked.readings, asked.stabiliser, procedure)
    routes = [
        {
            "route": route["id"],
            "words": route["words"],
            **told_state(state, asked.zone),
        }
        for route, state in zip(procedure["routes"], states, strict=True)
    ]
    chosen = routes[place_of(procedure["routes"], asked.given.get("route"))]
    kept = {key: value for key, value in chosen.items() if key != "words"}
    pack = procedure["pack"]
    return {
        "rules": pack["id"],
        "edition": pack["edition"],
        "status": pack["status"],
        "procedure": procedure["id"],
        "clause": procedure["clause"],
        "evidence": procedure["evidence"],
        "words": procedure["words"],
        "reopen": procedure["reopen"],
        "scope": procedure["scope"],
        **kept,
        "routes": routes,
        "assumed": [],
    }


def place_of(routes: list[dict[str, Any]], named: str | None) -> int:
    """Tell of which route the first figures are.

    The named one, else the one that is a contact time and no more (every other comes to it as
    well), else the rules' first.
    """
    for place, route in enumerate(routes):
        if route["id"] == named:
            return place
    for place, route in enumerate(routes):
        if route["free_least"] is None and not route["seconds"]:
            return place
    return 0


def told_state(state: dict[str, Any], zone: timezone) -> dict[str, Any]:
    """Tell a state in mg min/L, minutes and RFC 3339."""
    return {
        "target_ct_mg_min_l": per_thousand(state["target_ct"]),
        "ct_conservative_mg_min_l": state["ct_conservative"] / 1000,
        "ct_trapezoid_mg_min_l": state["ct_trapezoid"] / 1000,
        "remaining_mg_min_l": per_thousand(state["remaining"]),
        "least_minutes": state["least_seconds"] / 60,
        "held_minutes": state["held_seconds"] / 60,
        "started_at": told_time(state["started"], zone),
        "reached_at": told_time(state["reached"], zone),
        "not_before": told_time(state["not_before"], zone),
        "reachable": state["reachable"],
        "attainable_mg_min_l": per_thousand(state["most_ct"]),
        "findings": [
            {**one, "at": [told_time(at, zone) for at in one["at"]]} if "at" in one else one
            for one in state["findings"]
        ],
    }


def per_thousand(number: int | None) -> float | None:
    """Give thousandths as units."""
    return None if number is None else number / 1000


def told_time(instant: int | None, zone: timezone) -> str | None:
    """Write UTC seconds as RFC 3339 with the offset of the latest reading."""
    if instant is None:
        return None
    return datetime.fromtimestamp(instant, zone).isoformat().replace("+00:00", "Z")
