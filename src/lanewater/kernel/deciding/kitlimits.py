"""What a kit can and cannot tell: its range, its steps, its pH test, its reagents.

The ends of the pH indicator's scale, 6.8 and 8.4, are those of three instrument sheets; they
stand in where a kit's own range is not known.
"""

from typing import Any

from lanewater.kernel.deciding.decimals import thousandths
from lanewater.kernel.deciding.slips import slip_finding
from lanewater.kernel.deciding.tries import (
    at_point,
    last_in,
    legible,
    legible_text,
    number_of,
    relation_in,
    shown_text,
    word_of,
)

PH_LOW = "6.8"
PH_HIGH = "8.4"
RANGED = (
    "free_chlorine",
    "total_chlorine",
    "total_bromine",
    "cyanuric_acid",
    "total_alkalinity",
    "calcium_hardness",
)
DILUTE = "Repeat it diluted: 1 part pool water made up to 5 with chlorine-free water, x5."


def kit_of(case: dict[str, Any], reading: dict[str, Any]) -> dict[str, Any]:
    """Give what the case says of a reading's kit, empty where it says nothing."""
    kits: dict[str, Any] = case.get("kits", {})
    kit: dict[str, Any] = kits.get(reading["kit"], {})
    return kit


def range_end(case: dict[str, Any], reading: dict[str, Any], end: str) -> str:
    """Give the "low" or "high" end of the kit's range for a reading, "" where it is not known."""
    ranges: dict[str, Any] = kit_of(case, reading).get("ranges", {})
    span: dict[str, Any] = ranges.get(reading["parameter"], {})
    text: str = span.get(end, "")
    if text == "" or not legible_text(text):
        return ""
    return text


def range_findings(case: dict[str, Any]) -> list[dict[str, Any]]:
    """Give findings for readings over the kit's range, at its top, or over it with no dilution."""
    found = []
    for parameter in RANGED:
        for reading in last_in(case, parameter):
            name = word_of(parameter) + at_point(reading) + " " + reading["value"]
            top = range_end(case, reading, "high")
            if relation_in(reading) == "above":
                why = name + " is over the range; the water holds more."
                found.append(slip_finding("over-range", reading, "note", why, DILUTE))
            elif top != "" and relation_in(reading) == "exact":
                shown = thousandths(reading["value"])
                if shown > thousandths(top):
                    why = name + " is over the kit's range, which ends at " + top + "."
                    do = "Was it diluted? Say so with the reading. If not, repeat it diluted."
                    found.append(slip_finding("forgotten-dilution", reading, "note", why, do))
                elif shown == thousandths(top):
                    why = name + " is the very top of the kit's range; the water may hold more."
                    found.append(slip_finding("at-range-top", reading, "note", why, DILUTE))
    return found


def ph_range_findings(case: dict[str, Any]) -> list[dict[str, Any]]:
    """Give a finding for each pH at or beyond the ends of the indicator's scale."""
    found = []
    for reading in last_in(case, "ph"):
        low = range_end(case, reading, "low")
        high = range_end(case, reading, "high")
        if low == "":
            low = PH_LOW
        if high == "":
            high = PH_HIGH
        if (
            relation_in(reading) != "exact"
            or number_of(reading) <= thousandths(low)
            or number_of(reading) >= thousandths(high)
        ):
            why = "pH" + at_point(reading) + " " + reading["value"]
            why = why + " is at the end of the test's scale, " + low + " to " + high
            why = why + "; the true pH may lie further out."
            do = "Repeat with a test that reaches further. Add no acid or alkali on this number."
            found.append(slip_finding("ph-outside-indicator", reading, "note", why, do))
    return found


def ph_chlorine_findings(case: dict[str, Any]) -> list[dict[str, Any]]:
    """Give a finding for each pH whose kit does not work at this much chlorine."""
    found = []
    for reading in last_in(case, "ph"):
        limit: str = kit_of(case, reading).get("ph_free_chlorine_limit", "")
        if legible_text(limit):
            highest = ""
            for free in last_in(case, "free_chlorine"):
                if relation_in(free) == "above" or number_of(free) > thousandths(limit):
                    highest = shown_text(free)
            if highest != "":
                why = "Free is " + highest + "; above " + limit
                why = why + " this kit's pH test turns a false colour."
                do = "Add no acid. Bring chlorine down first, or use a pH meter."
                found.append(
                    slip_finding("ph-at-high-chlorine", reading, "not-believable", why, do)
                )
    return found


def expired_findings(case: dict[str, Any]) -> list[dict[str, Any]]:
    """Give a finding for each parameter of this round that was tested with an expired reagent."""
    found = []
    for lot in case.get("expired", []):
        parameter = lot["parameter"]
        parameters = [parameter]
        if parameter == "free_chlorine" or parameter == "total_chlorine":
            parameters.append("combined_chlorine")
        found.append(
            {
                "id": "expired-reagent",
                "about": parameter,
                "parameters": parameters,
                "effect": "not-believable",
                "why": word_of(parameter)
                + " was tested with reagent lot "
                + lot.get("lot", "")
                + ", expired "
                + lot.get("expired", "")
                + ".",
                "do": "Repeat with a reagent in date, or with a second kit.",
            }
        )
    return found


def between_findings(case: dict[str, Any]) -> list[dict[str, Any]]:
    """Give a finding for each comparator reading that lay between two colours."""
    found = []
    for pair in case.get("between", []):
        parameter = pair["parameter"]
        found.append(
            {
                "id": "between-colours",
                "about": parameter,
                "parameters": [parameter],
                "effect": "note",
                "why": word_of(parameter)
                + " lies between the colours "
                + pair["low"]
                + " and "
                + pair["high"]
                + "; the middle is judged.",
                "do": "Where it matters, repeat on a kit with finer steps.",
            }
        )
    return found


def accepted_findings(case: dict[str, Any]) -> list[dict[str, Any]]:
    """Give a finding for each reading whose kit is not accepted for compliance."""
    found = []
    for reading in case["readings"]:
        accepted = kit_of(case, reading).get("accepted", True)
        if legible(reading) and accepted is not True:
            why = word_of(reading["parameter"]) + at_point(reading)
            why = why + " was read with a kit that is not accepted as proof."
            do = "Repeat with the kit your rules accept."
            found.append(slip_finding("kit-not-accepted", reading, "not-believable", why, do))
    return found
