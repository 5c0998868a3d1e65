"""Numbers that look like a slip of the hand: a tenfold slip, Fahrenheit as Celsius, a comma.

The bands of what pool water can read are poolside judgement (JUDG); outside them a number is
only asked about. Only where no water can read it (a pH over 14, less than nothing) is it not
judged.
"""

from typing import Any

from lanewater.kernel.deciding.bleaching import SUSPECT_FREE
from lanewater.kernel.deciding.decimals import decimal_text
from lanewater.kernel.deciding.tries import (
    WORDED,
    at_point,
    comma_is_ambiguous,
    last_in,
    last_tries,
    legible,
    newest_round,
    number_of,
    relation_in,
    shown_text,
    word_of,
)

USUAL = {
    "free_chlorine": (200, 10000),
    "total_chlorine": (200, 12000),
    "total_bromine": (500, 12000),
    "ph": (6500, 9000),
    "total_alkalinity": (20000, 400000),
    "calcium_hardness": (20000, 1500000),
    "orp_mv": (200000, 950000),
}
HIGHEST_PH = 14000
FAHRENHEIT_FROM = 45000
FAHRENHEIT_TO = 120000
LIKELY_FROM = 60000
LIKELY_FROM_HOT = 80000
LIKELY_TO = 104000
HOT_KINDS = ("spa", "hydrotherapy")
BLEACHED = ("free_chlorine", "total_chlorine")
BELOW_ZERO = ("temperature_c", "orp_mv")


def slip_finding(
    identity: str, reading: dict[str, Any], effect: str, why: str, do: str
) -> dict[str, Any]:
    """Write a finding about one reading."""
    return {
        "id": identity,
        "about": reading["parameter"],
        "parameters": [reading["parameter"]],
        "effect": effect,
        "why": why,
        "do": do,
    }


def unreadable_findings(case: dict[str, Any]) -> list[dict[str, Any]]:
    """Give a finding for each value that is no single number, or is less than nothing."""
    found = []
    for reading in case["readings"]:
        parameter = reading["parameter"]
        name = word_of(parameter) + at_point(reading)
        if parameter not in WORDED and not legible(reading):
            if comma_is_ambiguous(reading["value"]):
                why = name + " " + reading["value"] + " can be read two ways: decimal or thousands."
                found.append(
                    slip_finding(
                        "decimal-comma", reading, "not-judged", why, "Type it again with a point."
                    )
                )
            else:
                why = name + " " + reading["value"] + " is not a number we can read."
                found.append(
                    slip_finding(
                        "unreadable", reading, "not-judged", why, "Look again, type it again."
                    )
                )
        elif parameter not in WORDED and parameter not in BELOW_ZERO:
            if number_of(reading) < 0:
                why = name + " " + reading["value"] + " is less than nothing."
                do = "Zero the instrument on this sample and read again."
                found.append(slip_finding("unreadable", reading, "not-judged", why, do))
    return found


def beside_last(number: int, last: int) -> int:
    """Give ten times (10), a tenth (-10) or neither (0) of the last reading, within 40 %."""
    if last > 0 and number * 10 >= last * 60 and number * 10 <= last * 140:
        return 10
    if number > 0 and number * 100 >= last * 6 and number * 100 <= last * 14:
        return -10
    return 0


def outside_usual(parameter: str, number: int) -> int:
    """Give 10 or 100 where a number divided by it falls into the usual band, -10 where times 10.

    0 is given where the number is usual, or no such slip explains it.
    """
    band = USUAL[parameter]
    if number > band[1]:
        if number >= band[0] * 10 and number <= band[1] * 10:
            return 10
        if number >= band[0] * 100 and number <= band[1] * 100:
            return 100
    elif number < band[0] and number > 0:
        if number * 10 >= band[0] and number * 10 <= band[1]:
            return -10
    return 0


def meant_text(number: int, factor: int) -> str:
    """Write what may have been meant, where a number is factor times too large."""
    if factor < 0:
        return decimal_text(number * 10)
    return decimal_text(number // factor)


def slip_factor(case: dict[str, Any], parameter: str, number: int) -> int:
    """Give the factor by which a number seems to have slipped, 0 where it does not.

    A chlorine reading near none is never taken for a slip: it may be true, or bleached. A pH moves
    too little for a comparison with the last one to say more.
    """
    factor = outside_usual(parameter, number)
    if factor < 0 and parameter != "ph":
        factor = 0
    if factor == 0 and parameter != "ph":
        earlier = newest_round(case, parameter)
        if earlier is not None:
            for last in last_tries(earlier["readings"], parameter):
                if factor == 0:
                    factor = beside_last(number, number_of(last))
    if factor < 0 and parameter in BLEACHED and number <= SUSPECT_FREE:
        return 0
    return factor


def tenfold_findings(case: dict[str, Any]) -> list[dict[str, Any]]:
    """Give a finding for each exact reading that seems a decimal place away from the truth."""
    found = []
    for parameter in USUAL:
        for reading in last_in(case, parameter):
            factor = 0
            number = number_of(reading)
            if number > 0 and relation_in(reading) == "exact":
                factor = slip_factor(case, parameter, number)
            impossible = parameter == "ph" and number > HIGHEST_PH
            if factor != 0 or impossible:
                effect = "note"
                if impossible:
                    effect = "not-judged"
                why = word_of(parameter) + at_point(reading) + " " + shown_text(reading)
                if factor != 0:
                    why = why + ": was " + meant_text(number, factor) + " meant?"
                else:
                    why = why + ": no water reads that."
                do = "Look at the display. If it stands, repeat the test once."
                found.append(slip_finding("tenfold-slip", reading, effect, why, do))
    return found


def fahrenheit_range(case: dict[str, Any], number: int) -> bool:
    """Tell whether a temperature in the Celsius field lies where Fahrenheit readings lie."""
    if case["pool"].get("kind") == "cold-plunge":
        return False
    return number >= FAHRENHEIT_FROM and number <= FAHRENHEIT_TO


def likely_fahrenheit(case: dict[str, Any], number: int) -> bool:
    """Tell whether Fahrenheit explains a temperature so well that it is no reason for a stop.

    104 F is 40 C: above it the water is too hot either way. Below 60 F (hot pools: 80 F) a
    failed heater is the more dangerous reading, so the stop stands.
    """
    lowest = LIKELY_FROM
    if case["pool"].get("kind") in HOT_KINDS:
        lowest = LIKELY_FROM_HOT
    return fahrenheit_range(case, number) and number >= lowest and number <= LIKELY_TO


def fahrenheit_findings(case: dict[str, Any]) -> list[dict[str, Any]]:
    """Give a finding for each temperature that looks like Fahrenheit typed as Celsius."""
    found = []
    for reading in last_in(case, "temperature_c"):
        if fahrenheit_range(case, number_of(reading)):
            celsius = (number_of(reading) - 32000) * 5 // 9 // 100 * 100
            why = shown_text(reading) + " C" + at_point(reading) + " is too hot to be a pool; "
            why = why + shown_text(reading) + " F is " + decimal_text(celsius) + " C."
            do = "Read the thermometer again and say which unit it shows."
            found.append(slip_finding("fahrenheit", reading, "not-judged", why, do))
    return found
