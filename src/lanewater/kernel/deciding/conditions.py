"""When a rule applies: pool facts and other readings, with the stricter branch where unknown."""

from typing import Any

from lanewater.kernel.deciding.comparing import decided, value_of
from lanewater.kernel.deciding.standing import readable


def latest_reading(case: dict[str, Any], parameter: str, oldest: int) -> dict[str, Any] | None:
    """Find a reading in this case, or else the newest one in its history that is young enough.

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
    dict or None
        The reading in normal form.
    """
    for reading in case["readings"]:
        if reading["parameter"] == parameter:
            return reading
    found = None
    found_at = oldest
    for earlier in case["history"]:
        if earlier["at"] >= found_at:
            for reading in earlier["readings"]:
                if reading["parameter"] == parameter and readable(reading):
                    found = reading
                    found_at = earlier["at"]
    return found


def fact_of(case: dict[str, Any], fact: str) -> str | None:
    """Give a pool fact, or None where it is not known.

    A cyanuric acid reading above zero shows that stabiliser is used, whatever was set up.
    """
    if fact == "stabiliser":
        measured = latest_reading(case, "cyanuric_acid", 0)
        if measured is not None:
            value = value_of(measured)
            if value["number"] > 0 and value["relation"] != "below":
                return "used"
            if case["pool"].get("stabiliser") is None and value["relation"] == "exact":
                return "not-used"
    found = case["pool"].get(fact)
    if found == "unknown":
        return None
    return found


def condition_holds(case: dict[str, Any], condition: dict[str, Any], oldest: int) -> str:
    """Tell whether one condition of a rule holds: "yes", "no" or "unknown"."""
    if condition["of"] == "fact":
        fact = fact_of(case, condition["name"])
        if fact is None:
            return "unknown"
        if (fact in condition["values"]) == condition["wanted"]:
            return "yes"
        return "no"
    reading = latest_reading(case, condition["name"], oldest)
    if reading is None or condition["name"] in case["doubted"]:
        for fact_condition in condition["if_not_read"]:
            if condition_holds(case, fact_condition, oldest) == "no":
                return "no"
        return "unknown"
    value = value_of(reading)
    answer = decided(
        value["number"], value["relation"], condition["comparison"], condition["limit_thousandths"]
    )
    if answer == "undecided":
        return "unknown"
    return answer


def applies(case: dict[str, Any], conditions: list[dict[str, Any]], oldest: int) -> dict[str, Any]:
    """Tell whether all conditions hold, and which of them had to be assumed.

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
