"""When a rule applies: facts of a pool and other readings; what is unknown counts as stricter."""

from typing import Any

from lanewater.kernel.deciding.comparing import decided, satisfied, value_of
from lanewater.kernel.deciding.standing import readable

# No reading is as young as this: nothing is borrowed where nobody said when a round was taken.
NEVER = 9007199254740991


def oldest_borrowed(at: int | None, borrow_seconds: int) -> int:
    """Give the instant before which a borrowed reading no longer counts. [UTC s]"""
    if at is None:
        return NEVER
    return at - borrow_seconds


def readings_among(readings: list[dict[str, Any]], parameter: str) -> list[dict[str, Any]]:
    """Give every readable reading of a parameter, at whatever point."""
    found = []
    for reading in readings:
        if reading["parameter"] == parameter and readable(reading):
            found.append(reading)
    return found


def latest_readings(case: dict[str, Any], parameter: str, oldest: int) -> list[dict[str, Any]]:
    """Find this case's readings of a parameter, or else those of its newest young enough round.

    Parameters
    ----------
    case : dict
        Case with readings and history in normal form.
    parameter : str
        Parameter id.
    oldest : int
        UTC seconds before which a borrowed reading no longer counts.

    Returns
    -------
    list of dict
        Readings in normal form, one or more for each sample point; empty where there is none.
    """
    found = readings_among(case["readings"], parameter)
    if len(found) > 0:
        return found
    found_at = oldest
    for earlier in case["history"]:
        if earlier["at"] >= found_at:
            borrowed = readings_among(earlier["readings"], parameter)
            if len(borrowed) > 0:
                found = borrowed
                found_at = earlier["at"]
    return found


def values_lately(case: dict[str, Any], parameter: str, oldest: int) -> list[dict[str, Any]]:
    """Give the values of `latest_readings`; combined chlorine counts only where it was given."""
    known: dict[str, Any] | None = case.get("values")
    if known is not None and parameter in known and parameter != "combined_chlorine":
        held: list[dict[str, Any]] = known[parameter]
        return held
    found = []
    for reading in latest_readings(case, parameter, oldest):
        found.append(value_of(reading))
    return found


def stabiliser_of(case: dict[str, Any], oldest: int) -> str | None:
    """Tell whether stabiliser is used: what was measured counts before what was set up.

    Found, it counts at any age, for it does not go away by itself. None found shows that none is
    used only while the reading is young and nothing else was stated.
    """
    for reading in latest_readings(case, "cyanuric_acid", 0):
        value = value_of(reading)
        if value["number"] > 0 and value["relation"] != "below":
            return "used"
    stated = case["pool"].get("stabiliser")
    if stated is not None:
        return stated
    none_found = latest_readings(case, "cyanuric_acid", oldest)
    if len(none_found) == 0:
        return None
    for reading in none_found:
        if value_of(reading)["relation"] != "exact":
            return None
    return "not-used"


def fact_of(case: dict[str, Any], fact: str, oldest: int) -> str | None:
    """Give a pool fact, or None where it is not known."""
    found = case["pool"].get(fact)
    if fact == "stabiliser":
        found = stabiliser_of(case, oldest)
    if found == "unknown":
        return None
    return found


def fact_number(case: dict[str, Any], fact: str) -> int | None:
    """Give a number of the pool in thousandths, or None where it is not known."""
    numbers: dict[str, int] = case["pool"].get("numbers", {})
    return numbers.get(fact)


def number_condition_holds(case: dict[str, Any], condition: dict[str, Any]) -> str:
    """Tell whether a condition on a number of the pool holds."""
    number = fact_number(case, condition["name"])
    if number is None:
        return "unknown"
    if satisfied(number, condition["comparison"], condition["limit_thousandths"]):
        return "yes"
    return "no"


def fact_condition_holds(case: dict[str, Any], condition: dict[str, Any], oldest: int) -> str:
    """Tell whether a condition on a pool fact holds; an unknown fact may be made to count as no."""
    fact = fact_of(case, condition["name"], oldest)
    if fact is None:
        if condition["known"] is True:
            return "no"
        return "unknown"
    if (fact in condition["values"]) == condition["wanted"]:
        return "yes"
    return "no"


def condition_holds(case: dict[str, Any], condition: dict[str, Any], oldest: int) -> str:
    """Tell whether one condition of a rule holds: "yes", "no" or "unknown".

    A condition on a reading holds where it holds at any sample point.
    """
    if condition["of"] == "fact":
        return fact_condition_holds(case, condition, oldest)
    if condition["of"] == "number":
        return number_condition_holds(case, condition)
    values = values_lately(case, condition["name"], oldest)
    doubted = condition["name"] in case["doubted"] or condition["name"] in case["disbelieved"]
    if len(values) == 0 or doubted:
        for fact_condition in condition["if_not_read"]:
            if fact_condition_holds(case, fact_condition, oldest) == "no":
                return "no"
        return "unknown"
    answer = "no"
    for value in values:
        held = decided(
            value["number"],
            value["relation"],
            condition["comparison"],
            condition["limit_thousandths"],
        )
        if held == "yes":
            return "yes"
        if held == "undecided":
            answer = "unknown"
    return answer


def applies(case: dict[str, Any], conditions: list[dict[str, Any]], oldest: int) -> dict[str, Any]:
    """Tell whether all conditions hold, and which of them had to be assumed.

    Parameters
    ----------
    case : dict
        {"pool", "readings", "history", "doubted", "disbelieved"}.
    conditions : list of dict
        Compiled conditions.
    oldest : int
        UTC seconds before which a borrowed reading no longer counts.

    Returns
    -------
    dict
        {"holds": bool, "assumed": names of facts and readings that are not known}. What is not
        known is taken to hold: every rule limits, so applying one more is the stricter branch.
    """
    assumed: list[str] = []
    for condition in conditions:
        answer = condition_holds(case, condition, oldest)
        if answer == "no":
            return {"holds": False, "assumed": []}
        if answer == "unknown" and condition["name"] not in assumed:
            assumed.append(condition["name"])
    return {"holds": True, "assumed": assumed}
