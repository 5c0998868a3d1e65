"""Possible bleaching: a reading of none that may be far too much, not too little.

Lines at which it is suspected are poolside judgement without a source (JUDG): free at or under
0.2 mg/L, last round over 0.5 mg/L, ORP from 650 mV, a repeat diluted at least 1 part to 10.
"""

from typing import Any

from lanewater.kernel.deciding.decimals import decimal_text
from lanewater.kernel.deciding.tries import (
    at_point,
    last_in,
    newest_round,
    number_of,
    relation_in,
    shown_text,
    tries_of,
)

SUSPECT_FREE = 200
SURPRISE_FROM = 500
HIGH_ORP = 650000
REPEAT_DILUTION = 10
STILL_NONE = 500
ADDITION_SECONDS = 86400
CHLORINE_PRODUCTS = (
    "sodium-hypochlorite",
    "calcium-hypochlorite",
    "chlorine",
    "sodium-dichloroisocyanurate",
    "trichloroisocyanuric-acid",
)
REPEAT = (
    "Add nothing. Repeat it diluted: 1 part pool water made up to 10 with chlorine-free water, x10."
)


def low_free(reading: dict[str, Any]) -> bool:
    """Tell whether a free chlorine reading is so low that bleaching could explain it."""
    relation = relation_in(reading)
    return relation == "below" or (relation == "exact" and number_of(reading) <= SUSPECT_FREE)


def lowest_free(readings: list[dict[str, Any]]) -> int:
    """Give the lowest free chlorine of a round, in thousandths; there must be one."""
    numbers: list[int] = []
    for reading in tries_of(readings, "free_chlorine"):
        numbers.append(number_of(reading))
    return min(numbers)


def event_since(case: dict[str, Any], kind: str, since: int | None) -> bool:
    """Tell whether an event of a kind is logged since a time; an event without a time counts.

    An addition counts only where its product is a chlorine.
    """
    for event in case.get("events", []):
        if event["kind"] == kind:
            fits = kind != "addition" or event.get("product", "") in CHLORINE_PRODUCTS
            at = event.get("at")
            if fits and (at is None or since is None or at >= since):
                return True
    return False


def addition_logged(case: dict[str, Any]) -> bool:
    """Tell whether a chlorine addition is logged in the day before the case."""
    since = None
    if case["at"] is not None:
        since = case["at"] - ADDITION_SECONDS
    return event_since(case, "addition", since)


def surprise_reason(case: dict[str, Any]) -> str:
    """Say why a reading of none is a surprise, or "" where it is none."""
    earlier = newest_round(case, "free_chlorine")
    if earlier is None:
        return ""
    last = lowest_free(earlier["readings"])
    if last <= SURPRISE_FROM or event_since(case, "cause", earlier["at"]):
        return ""
    return "the last round read " + decimal_text(last) + " and no cause is logged"


def bleaching_reason(case: dict[str, Any], free: dict[str, Any]) -> str:
    """Say why a low free reading may be bleached, or "" where nothing speaks for it."""
    if addition_logged(case):
        return "chlorine was added"
    for orp in tries_of(case["readings"], "orp_mv"):
        if number_of(orp) >= HIGH_ORP:
            return "ORP is " + shown_text(orp) + " mV"
    surprise = surprise_reason(case)
    if surprise != "":
        return surprise
    for total in last_in(case, "total_chlorine"):
        if total["point"] == free["point"] and low_free(total):
            return "total is as low, " + shown_text(total)
    return ""


def diluted_finding(free: dict[str, Any]) -> list[dict[str, Any]]:
    """Give what a repeat diluted at least 1 part to 10 shows, where it reads none too."""
    if number_of(free) > STILL_NONE:
        return []
    return [
        {
            "id": "real-none",
            "about": "free_chlorine",
            "parameters": ["free_chlorine"],
            "effect": "note",
            "why": "The diluted repeat is near none too" + at_point(free) + ": it is real.",
            "do": "Find the stopped feed first: pump, feeder, tank, controller.",
        }
    ]


def bleaching_findings(case: dict[str, Any]) -> list[dict[str, Any]]:
    """Give "possible-bleaching" or "real-none" for the last free reading at each point."""
    found = []
    for free in last_in(case, "free_chlorine"):
        if free["dilution"] >= REPEAT_DILUTION:
            for finding in diluted_finding(free):
                found.append(finding)
        elif low_free(free):
            reason = bleaching_reason(case, free)
            if reason != "":
                found.append(
                    {
                        "id": "possible-bleaching",
                        "about": "free_chlorine",
                        "parameters": ["free_chlorine", "combined_chlorine", "ph"],
                        "effect": "not-believable",
                        "why": "Free reads "
                        + shown_text(free)
                        + at_point(free)
                        + ", but "
                        + reason
                        + ". Very much chlorine can bleach the test to none.",
                        "do": REPEAT,
                    }
                )
    return found
