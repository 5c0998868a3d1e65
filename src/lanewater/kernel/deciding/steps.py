"""What a round asks for against the site's own targets: one step at a time, in a fixed order.

Too little disinfectant comes first, then a pH that is too high or too low (low alkalinity before
low pH, which it causes), then alkalinity, then calcium; too much chlorine is waited for.
"""

from typing import Any

from lanewater.kernel.deciding.asking import UNKNOWN, items_in, number_in, part
from lanewater.kernel.deciding.readingerror import pair_error
from lanewater.kernel.deciding.tries import (
    last_tries,
    legible,
    number_of,
    relation_in,
    tries_of,
)

CORE_READINGS = ("free_chlorine", "ph")
TARGETED = ("free_chlorine", "ph", "total_alkalinity", "calcium_hardness")


def target_known(request: dict[str, Any], parameter: str) -> bool:
    """Tell whether the site has set a low and a high for a parameter, in that order.

    Parameters
    ----------
    request : dict
        Request with the site's targets.
    parameter : str
        Parameter id.
    """
    target = part(part(request, "targets"), parameter)
    low = number_in(target, "low")
    return low != UNKNOWN and number_in(target, "high") > low


def band_of(request: dict[str, Any], parameter: str) -> dict[str, int]:
    """Give the site's target as far as the rules allow it; "low" is not under "high" if nowhere.

    What lies inside the target and outside the rules is not where a pool should be.

    Parameters
    ----------
    request : dict
        Request with targets and limits.
    parameter : str
        Parameter id with a target.
    """
    target = part(part(request, "targets"), parameter)
    limit = part(part(request, "limits"), parameter)
    low = max(number_in(target, "low"), number_in(limit, "low"))
    high = number_in(target, "high")
    highest = number_in(limit, "high")
    if highest != UNKNOWN:
        high = min(high, highest)
    return {"low": low, "high": high}


def exact_tries(readings: list[dict[str, Any]], parameter: str) -> list[dict[str, Any]]:
    """Give the last reading at each point, leaving out what is over or under range.

    Parameters
    ----------
    readings : list of dict
        In normal form.
    parameter : str
        Parameter id.
    """
    found = []
    for reading in last_tries(readings, parameter):
        if relation_in(reading) == "exact":
            found.append(reading)
    return found


def lowest_reading(readings: list[dict[str, Any]]) -> dict[str, Any]:
    """Give the lowest of one or more readings."""
    found = readings[0]
    for reading in readings:
        if number_of(reading) < number_of(found):
            found = reading
    return found


def highest_reading(readings: list[dict[str, Any]]) -> dict[str, Any]:
    """Give the highest of one or more readings."""
    found = readings[0]
    for reading in readings:
        if number_of(reading) > number_of(found):
            found = reading
    return found


def points_agree(readings: list[dict[str, Any]]) -> bool:
    """Tell whether the readings of several points agree within their test error."""
    low = lowest_reading(readings)
    high = highest_reading(readings)
    return number_of(high) - number_of(low) <= pair_error(low, high)


def known_value(case: dict[str, Any], parameter: str, taken_at: int) -> dict[str, Any]:
    """Find a parameter in this round, or else the newest in its history.

    Parameters
    ----------
    case : dict
        Case with readings and history in normal form.
    parameter : str
        Parameter id.
    taken_at : int
        When this round was taken. [UTC s]

    Returns
    -------
    dict
        {"found": bool, "reading": dict, "at": UTC s}; an over or under range value is not found,
        nor is one of an earlier round that names the parameter as "doubtful".
    """
    here = exact_tries(case["readings"], parameter)
    if len(here) > 0:
        return {"found": True, "reading": here[len(here) - 1], "at": taken_at}
    found: dict[str, Any] = {"found": False, "reading": {}, "at": 0}
    if len(tries_of(case["readings"], parameter)) > 0:
        return found
    for earlier in case["history"]:
        for reading in earlier["readings"]:
            if reading["parameter"] == parameter and legible(reading):
                if not found["found"] or earlier["at"] >= found["at"]:
                    exact = relation_in(reading) == "exact"
                    believed = parameter not in items_in(earlier, "doubtful")
                    found = {
                        "found": exact and believed,
                        "reading": reading,
                        "at": earlier["at"],
                    }
    return found


def side_of_target(request: dict[str, Any], case: dict[str, Any], parameter: str) -> str:
    """Tell whether a round's worst point is "low", "high" or inside ("") the band to be in."""
    readings = exact_tries(case["readings"], parameter)
    if len(readings) == 0 or not target_known(request, parameter):
        return ""
    band = band_of(request, parameter)
    if number_of(lowest_reading(readings)) < band["low"]:
        return "low"
    if number_of(highest_reading(readings)) > band["high"]:
        return "high"
    return ""


def step_to(purpose: str, parameter: str) -> dict[str, Any]:
    """Write one step."""
    return {"purpose": purpose, "parameter": parameter}


def wanted_steps(request: dict[str, Any], case: dict[str, Any]) -> list[dict[str, Any]]:
    """Give every step that the round asks for, the first to be done first.

    Returns
    -------
    list of dict
        {"purpose", "parameter"}; purpose is raise-chlorine, lower-ph, raise-alkalinity,
        raise-ph, raise-calcium or let-chlorine-fall.
    """
    found = []
    chlorine = side_of_target(request, case, "free_chlorine")
    acidity = side_of_target(request, case, "ph")
    alkalinity = side_of_target(request, case, "total_alkalinity")
    if chlorine == "low":
        found.append(step_to("raise-chlorine", "free_chlorine"))
    if acidity == "high":
        found.append(step_to("lower-ph", "ph"))
    if alkalinity == "low":
        found.append(step_to("raise-alkalinity", "total_alkalinity"))
    if acidity == "low":
        found.append(step_to("raise-ph", "ph"))
    if side_of_target(request, case, "calcium_hardness") == "low":
        found.append(step_to("raise-calcium", "calcium_hardness"))
    if chlorine == "high":
        found.append(step_to("let-chlorine-fall", "free_chlorine"))
    return found
