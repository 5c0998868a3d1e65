"""Which readings of a round can be read as numbers, and the last try at each sample point."""

from typing import Any

from lanewater.kernel.deciding.decimals import (
    DIGIT_VALUES,
    decimal_text,
    digit_value,
    relation_of,
    thousandths,
)

WORDED = ("clarity", "circulation")
PARAMETER_WORDS = {
    "free_chlorine": "Free",
    "total_chlorine": "Total",
    "combined_chlorine": "Combined",
    "total_bromine": "Bromine",
    "cyanuric_acid": "Stabiliser",
    "total_alkalinity": "Alkalinity",
    "calcium_hardness": "Calcium",
    "salt": "Salt",
    "ph": "pH",
    "temperature_c": "Temperature",
    "orp_mv": "ORP",
}


def word_of(parameter: str) -> str:
    """Give the word the trade uses for a parameter, or its id where we hold none."""
    word: str = PARAMETER_WORDS.get(parameter, parameter)
    return word


def at_point(reading: dict[str, Any]) -> str:
    """Give " at POINT", or nothing where the point was not said."""
    point: str = reading["point"]
    if point == "":
        return ""
    return " at " + point


def number_of(reading: dict[str, Any]) -> int:
    """Give a legible reading in thousandths of its unit, its dilution applied."""
    known: int | None = reading.get("number")
    if known is not None:
        return known
    dilution: int = reading["dilution"]
    return thousandths(reading["value"]) * dilution


def relation_in(reading: dict[str, Any]) -> str:
    """Tell whether a reading is "exact", "above" its number or "below" it."""
    known: str | None = reading.get("relation")
    if known is not None:
        return known
    return relation_of(reading["value"])


def shown_text(reading: dict[str, Any]) -> str:
    """Write a legible reading with its dilution applied, over and under range kept."""
    text: str = reading["value"]
    if reading["dilution"] == 1:
        return text
    relation = relation_in(reading)
    if relation == "above":
        return ">" + decimal_text(number_of(reading))
    if relation == "below":
        return "<" + decimal_text(number_of(reading))
    return decimal_text(number_of(reading))


def text_shape(text: str) -> dict[str, Any]:
    """Walk a typed number and tell its parts, without ever refusing it.

    Returns
    -------
    dict
        {"clean": only digits, one mark, a sign; "whole": digits before the mark; "mark": "",
        "." or ","; "fraction": digits after it; "excess": a digit other than 0 beyond three}.
    """
    start = 0
    if relation_of(text) != "exact":
        start = 1
    if start < len(text) and text[start] == "-":
        start = start + 1
    shape: dict[str, Any] = {"clean": True, "whole": 0, "mark": "", "fraction": 0, "excess": False}
    for index in range(start, len(text)):
        digit = digit_value(text[index])
        if digit < 0:
            marked = text[index] == "." or text[index] == ","
            if not marked or shape["mark"] != "" or shape["whole"] == 0:
                shape["clean"] = False
            shape["mark"] = text[index]
        elif shape["mark"] == "":
            shape["whole"] = shape["whole"] + 1
        else:
            shape["fraction"] = shape["fraction"] + 1
            if shape["fraction"] > 3 and digit != 0:
                shape["excess"] = True
    return shape


def comma_is_ambiguous(text: str) -> bool:
    """Tell whether a comma stands before exactly three digits: a decimal mark, or thousands."""
    shape = text_shape(text)
    if not shape["clean"] or shape["mark"] != ",":
        return False
    fraction: int = shape["fraction"]
    return fraction == 3


def legible_text(text: str) -> bool:
    """Tell whether thousandths() can read a text; it raises exactly where this is False."""
    length = len(text)
    start = 0
    if length > 0 and (text[0] == ">" or text[0] == "<"):
        start = 1
    if start < length and text[start] == "-":
        start = start + 1
    mark = ""
    whole = 0
    fraction = 0
    for index in range(start, length):
        character = text[index]
        if character in DIGIT_VALUES:
            if mark == "":
                whole = whole + 1
            else:
                fraction = fraction + 1
                if fraction > 3 and character != "0":
                    return False
        elif mark != "" or whole == 0 or (character != "." and character != ","):
            return False
        else:
            mark = character
    if whole == 0 or whole > 9:
        return False
    return mark == "" or (fraction > 0 and not (mark == "," and fraction == 3))


def legible(reading: dict[str, Any]) -> bool:
    """Tell whether a reading holds a number that can be judged."""
    known: bool | None = reading.get("legible")
    if known is not None:
        return known
    return reading["parameter"] not in WORDED and legible_text(reading["value"])


def looked_at(readings: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Give readings with what they hold beside them, so that each is read as a number only once.

    Parameters
    ----------
    readings : list of dict
        In normal form.

    Returns
    -------
    list of dict
        Copies with "legible", and "number" in thousandths and "relation" where it is; what was
        looked at before stands as it is.
    """
    found = []
    for reading in readings:
        if "legible" in reading:
            found.append(reading)
        else:
            copied = {}
            for key, value in reading.items():
                copied[key] = value
            held = legible(reading)
            copied["legible"] = held
            if held:
                copied["number"] = number_of(reading)
                copied["relation"] = relation_in(reading)
            found.append(copied)
    return found


def tries_of(readings: list[dict[str, Any]], parameter: str) -> list[dict[str, Any]]:
    """Give the legible readings of a parameter, in the order they were made.

    Parameters
    ----------
    readings : list of dict
        Readings in normal form.
    parameter : str
        Parameter id.
    """
    found = []
    for reading in readings:
        if reading["parameter"] == parameter and legible(reading):
            found.append(reading)
    return found


def last_tries(readings: list[dict[str, Any]], parameter: str) -> list[dict[str, Any]]:
    """Give the last legible reading of a parameter at each sample point.

    A repeat stands later in the list than what it repeats.
    """
    by_point: dict[str, dict[str, Any]] = {}
    for reading in tries_of(readings, parameter):
        by_point[reading["point"]] = reading
    found = []
    for _point, reading in by_point.items():
        found.append(reading)
    return found


def last_by_parameter(readings: list[dict[str, Any]]) -> dict[str, Any]:
    """Give the last legible reading at each sample point, as `last_tries`, of every parameter.

    Parameters
    ----------
    readings : list of dict
        Readings in normal form.
    """
    points: dict[str, dict[str, Any]] = {}
    for reading in readings:
        if legible(reading):
            if reading["parameter"] not in points:
                points[reading["parameter"]] = {}
            points[reading["parameter"]][reading["point"]] = reading
    found: dict[str, Any] = {}
    for parameter, by_point in points.items():
        rows = []
        for _point, reading in by_point.items():
            rows.append(reading)
        found[parameter] = rows
    return found


def last_in(case: dict[str, Any], parameter: str) -> list[dict[str, Any]]:
    """Give `last_tries` of a case, as they were found once where they were."""
    known: dict[str, Any] | None = case.get("last_tries")
    if known is None:
        return last_tries(case["readings"], parameter)
    found: list[dict[str, Any]] = known.get(parameter, [])
    return found


def newest_round(case: dict[str, Any], parameter: str) -> dict[str, Any] | None:
    """Give the newest earlier round that read a parameter, or None where there is none."""
    found = None
    rounds = case["history"]
    for back in range(1, len(rounds) + 1):
        earlier = rounds[len(rounds) - back]
        if found is None or earlier["at"] > found["at"]:
            if len(tries_of(earlier["readings"], parameter)) > 0:
                found = earlier
    return found
