"""One reading against one limit, in thousandths, with what over and under range can decide."""

from typing import Any

from lanewater.kernel.deciding.decimals import decimal_text, thousandths
from lanewater.kernel.deciding.tries import number_of, relation_in

# Found by a laboratory alone, as a count; one list for whoever asks.
OF_THE_LABORATORY = (
    "e_coli",
    "coliforms",
    "faecal_coliforms",
    "enterococci",
    "pseudomonas_aeruginosa",
    "staphylococci",
    "colony_count",
    "legionella",
)
# More than any number of a water; its square is still exact.
LARGEST_UNCERTAINTY = 30000000


def value_of(reading: dict[str, Any]) -> dict[str, Any]:
    """Give a numeric reading as {number, relation, uncertainty, text, point}, in thousandths.

    An uncertainty of -1 means that none is declared. Of a count, "fewer than one" is none.
    """
    number = number_of(reading)
    relation = relation_in(reading)
    if relation == "below" and number <= 1000 and reading["parameter"] in OF_THE_LABORATORY:
        number = 0
        relation = "exact"
    uncertainty = -1
    if reading["uncertainty"] is not None:
        uncertainty = min(thousandths(reading["uncertainty"]), LARGEST_UNCERTAINTY)
    text = reading["value"]
    if reading["dilution"] != 1:
        text = decimal_text(number)
        if relation == "above":
            text = ">" + text
        elif relation == "below":
            text = "<" + text
    return {
        "number": number,
        "relation": relation,
        "uncertainty": uncertainty,
        "text": text,
        "point": reading["point"],
    }


def whole_root(number: int) -> int:
    """Give the whole square root of a whole number of zero or more, rounded up."""
    root = 0
    step = 1
    while step * step <= number:
        step = step * 2
    while step > 0:
        if (root + step) * (root + step) <= number:
            root = root + step
        step = step // 2
    if root * root < number:
        root = root + 1
    return root


def combined_value(free: dict[str, Any], total: dict[str, Any]) -> dict[str, Any]:
    """Give total minus free; within test error of zero it is zero.

    An over-range free reading leaves combined undecided (relation "unknown").
    """
    number = total["number"] - free["number"]
    relation = total["relation"]
    if free["relation"] == "above":
        relation = "unknown"
    elif free["relation"] == "below" and total["relation"] == "exact":
        relation = "above"
    elif free["relation"] == "below" and total["relation"] == "below":
        relation = "unknown"
    uncertainty = -1
    if free["uncertainty"] >= 0 and total["uncertainty"] >= 0:
        uncertainty = whole_root(
            free["uncertainty"] * free["uncertainty"] + total["uncertainty"] * total["uncertainty"]
        )
    if relation == "exact" and number < 0:
        number = 0
    text = "not known"
    if relation != "unknown":
        text = decimal_text(number)
    if relation == "above":
        text = ">" + text
    elif relation == "below":
        text = "<" + text
    return {
        "number": number,
        "relation": relation,
        "uncertainty": uncertainty,
        "text": text,
        "point": total["point"],
    }


def satisfied(number: int, comparison: str, limit: int) -> bool:
    """Compare two whole numbers as a rule says."""
    if comparison == "at-least":
        return number >= limit
    if comparison == "at-most":
        return number <= limit
    if comparison == "above":
        return number > limit
    if comparison == "below":
        return number < limit
    if comparison == "equals":
        return number == limit
    raise ValueError("unknown comparison")


def decided(number: int, relation: str, comparison: str, limit: int) -> str:
    """Tell what a reading decides about a limit: "yes", "no" or "undecided".

    Parameters
    ----------
    number, limit : int
        In the same scaled unit.
    relation : str
        "exact", "above" (the water holds more than number), "below" (less) or "unknown".
    comparison : str
        What the rule asks for: at-least, at-most, above, below or equals.
    """
    if relation == "exact":
        if satisfied(number, comparison, limit):
            return "yes"
        return "no"
    if relation == "above" and number >= limit:
        if comparison == "at-least" or comparison == "above":
            return "yes"
        return "no"
    if relation == "below" and number <= limit:
        if comparison == "at-most" or comparison == "below":
            return "yes"
        return "no"
    return "undecided"
