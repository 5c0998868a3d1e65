"""Where a plan is to end: the site's targets inside the rules, less test error, and the caps.

What cannot be reached, as no product serves it, is not asked for; it is only not made worse.
A margin of test error is kept to either end, but never more than a quarter of the band; water
that lies inside its band counts as there.
"""

from typing import Any

from lanewater.kernel.deciding.asking import said_yes
from lanewater.kernel.deciding.planwater import (
    PLANNED,
    QUANTITIES,
    ends_in,
    highest_of,
    lowest_of,
    shown_error,
)
from lanewater.kernel.deciding.portion import (
    ALKALINITY_STEP,
    CALCIUM_STEP,
    CHLORINE_STEP,
    PH_STEP,
)
from lanewater.kernel.deciding.readingerror import typical_error
from lanewater.kernel.water.planningslots import Q_SATURATION

BIG = 1000000000.0
LOOSEST = 2
STEP_CAPS = {
    "free_chlorine": CHLORINE_STEP,
    "ph": PH_STEP,
    "total_alkalinity": ALKALINITY_STEP,
    "calcium_hardness": CALCIUM_STEP,
}
# Caps that a stateless question without limits takes from its targets.
STRICT_WITHOUT_RULES = ("free_chlorine", "ph")
# What side effects may add to a figure that cannot be brought down, in thousandths. JUDG.
SIDE_EFFECTS = {"total_alkalinity": 5000, "calcium_hardness": 5000, "ph": 200}
SIDES = {
    "free_chlorine": ("raise-chlorine", "lower-chlorine"),
    "ph": ("raise-ph", "lower-ph"),
    "total_alkalinity": ("raise-alkalinity", "dilute"),
    "calcium_hardness": ("raise-calcium", "dilute"),
    "cyanuric_acid": ("raise-stabiliser", "dilute"),
    "saturation_index": ("raise-calcium", "lower-ph"),
}


def planned_band(
    request: dict[str, Any],
    water: dict[str, Any],
    errors: dict[str, Any],
    untested: list[str],
    parameter: str,
) -> dict[str, Any]:
    """Give the band of one figure, and on which side of it the water is.

    Returns
    -------
    dict
        {"parameter", "now", "asked": whether the site has a target, "set": whether it has one and
        the figure was tested, "low", "high": the target
        inside the rules, None for no end, "least", "most": the rules' own ends, "side": low, high
        or "", "margin"}. Numbers in thousandths.
    """
    target = ends_in(request, "targets", parameter)
    limit = ends_in(request, "limits", parameter)
    now: int | None = water[parameter]
    entry: dict[str, Any] = {"parameter": parameter, "now": now}
    entry["asked"] = target["low"] is not None or target["high"] is not None
    entry["set"] = entry["asked"] and parameter not in untested
    entry["low"] = highest_of(target["low"], limit["low"])
    entry["high"] = lowest_of(target["high"], limit["high"])
    entry["least"] = limit["low"]
    entry["most"] = limit["high"]
    if targets_stand_in(request, parameter):
        entry["least"] = target["low"]
        entry["most"] = target["high"]
    if parameter == "cyanuric_acid":
        entry["most"] = entry["high"]
    entry["side"] = ""
    if entry["set"] and now is not None:
        if entry["low"] is not None and now < entry["low"]:
            entry["side"] = "low"
        elif entry["high"] is not None and now > entry["high"]:
            entry["side"] = "high"
    entry["margin"] = margin_of(entry, shown_error(water, errors, parameter))
    return entry


def targets_stand_in(request: dict[str, Any], parameter: str) -> bool:
    """Tell whether a question that stands alone gives no limit of free or pH: its target is one."""
    if not said_yes(request, "stateless") or parameter not in STRICT_WITHOUT_RULES:
        return False
    limit = ends_in(request, "limits", parameter)
    return limit["low"] is None and limit["high"] is None


def margin_of(entry: dict[str, Any], error: int) -> int:
    """Give the distance to keep from either end: test error, at most a quarter of the band."""
    if entry["low"] is None or entry["high"] is None:
        return error
    width: int = max(entry["high"] - entry["low"], 0)
    return min(error, width // 4)


def planned_bands(
    request: dict[str, Any], water: dict[str, Any], errors: dict[str, Any], untested: list[str]
) -> list[dict[str, Any]]:
    """Give the band of every figure that a plan looks at, in the order of PLANNED.

    Parameters
    ----------
    request, water, errors : dict
        What was asked, the water as `water_shown` gives it, and the errors of its readings.
    untested : list of str
        Figures that nobody has tested lately: nothing is added for what they are taken to be.
    """
    found = []
    for parameter in PLANNED:
        found.append(planned_band(request, water, errors, untested, parameter))
    return found


def wanted_of(entry: dict[str, Any]) -> str:
    """Name the purpose that a figure on the wrong side of its band asks for, "" for none."""
    if entry["side"] == "low":
        purpose: str = SIDES[entry["parameter"]][0]
        return purpose
    if entry["side"] == "high":
        return high_purpose(entry["parameter"])
    return ""


def high_purpose(parameter: str) -> str:
    """Name the purpose that brings a figure down."""
    purpose: str = SIDES[parameter][1]
    return purpose


def served(entry: dict[str, Any], purposes: list[str]) -> bool:
    """Tell whether products for what a figure asks for are at hand; true where it asks nothing."""
    wanted = wanted_of(entry)
    return wanted == "" or wanted in purposes


def aim_low(entry: dict[str, Any], purposes: list[str], tier: int) -> int | None:
    """Give the least that a figure is to end at, None where nothing is asked."""
    if not entry["set"] or entry["low"] is None or entry["now"] is None:
        return None
    if entry["side"] == "low" and not served(entry, purposes):
        least: int | None = entry["least"]
        if least is not None and entry["now"] >= least:
            return least
        return None
    low: int = entry["low"]
    if tier == 0:
        low = low + entry["margin"]
        if entry["side"] == "":
            low = min(low, entry["now"])
    elif tier == LOOSEST and entry["side"] == "":
        low = low - entry["margin"]
    if tier > 0 and entry["least"] is not None:
        low = max(low, entry["least"])
    return low


def aim_high(entry: dict[str, Any], purposes: list[str], tier: int) -> int | None:
    """Give the most that a figure may end at, None where nothing is asked."""
    if not entry["set"] or entry["high"] is None or entry["now"] is None:
        return None
    if entry["side"] == "high" and not served(entry, purposes):
        worse: int = entry["now"] + SIDE_EFFECTS.get(entry["parameter"], 0)
        if entry["most"] is not None and entry["now"] <= entry["most"]:
            worse = min(worse, entry["most"])
        return worse
    high: int = entry["high"]
    if tier == 0:
        high = high - entry["margin"]
        if entry["side"] == "":
            high = max(high, entry["now"])
    elif tier == LOOSEST and entry["side"] == "":
        high = high + entry["margin"]
    if tier > 0 and entry["most"] is not None:
        high = min(high, entry["most"])
    return high


def hard_high(entry: dict[str, Any], error_at_most: int, tier: int) -> int | None:
    """Give what no step may take a figure past; for free it is the rules' maximum less test error.

    Parameters
    ----------
    entry : dict
        As `planned_band` gives it.
    error_at_most : int
        The test error of free chlorine at that maximum, in thousandths.
    tier : int
        0 where no step may break the rules' pH for a while.
    """
    most: int | None = entry["most"]
    if most is None or (tier > 0 and entry["parameter"] == "ph"):
        return None
    if entry["parameter"] == "free_chlorine":
        return max(most - error_at_most - 1, 0)
    return most


def hard_low(entry: dict[str, Any], tier: int) -> int | None:
    """Give what no step may take a figure under, None for no such limit."""
    if entry["parameter"] == "free_chlorine" or (tier > 0 and entry["parameter"] == "ph"):
        return None
    least: int | None = entry["least"]
    return least


def free_error(request: dict[str, Any], errors: dict[str, Any]) -> int:
    """Give the test error of free chlorine at the most that the rules allow, in thousandths."""
    most = ends_in(request, "limits", "free_chlorine")["high"]
    error: int = errors.get("free_chlorine", 0)
    if most is None:
        return 0
    return max(error, typical_error("free_chlorine", most))


def units_or(number: int | None, otherwise: float) -> float:
    """Give thousandths in units, or what stands for a missing number."""
    if number is None:
        return otherwise
    return number / 1000


def band_rows(
    request: dict[str, Any],
    bands: list[dict[str, Any]],
    errors: dict[str, Any],
    purposes: list[str],
    tier: int,
) -> list[float]:
    """Write the bands as the numeric planner takes them.

    Parameters
    ----------
    request, bands, errors : dict, list, dict
        As `planned_bands` takes and gives them.
    purposes : list of str
        What the products at hand serve.
    tier : int
        0: inside every target by test error, no limit broken on the way. 1: inside the targets,
        and a step may take pH out of the rules for a while. LOOSEST: a side effect may also take a
        figure that was inside past its target by less than test error. The rules' limits hold at
        the end in any case.
    """
    rows: list[float] = []
    error = free_error(request, errors)
    for entry in bands:
        parameter = entry["parameter"]
        summed = parameter in QUANTITIES
        if summed or (entry["set"] and entry["now"] is not None):
            top = hard_high(entry, error, tier)
            rows.append(0.0 + QUANTITIES.get(parameter, Q_SATURATION))
            rows.append(units_or(aim_low(entry, purposes, tier), -BIG))
            rows.append(units_or(end_high(entry, purposes, top, tier), BIG))
            rows.append(units_or(hard_low(entry, tier), -BIG))
            rows.append(units_or(top, BIG))
            rows.append(units_or(STEP_CAPS.get(parameter), BIG))
    return rows


def end_high(entry: dict[str, Any], purposes: list[str], top: int | None, tier: int) -> int | None:
    """Give the most that a figure may end at, no step's own limit passed on the way there."""
    high = aim_high(entry, purposes, tier)
    if high is None or top is None or not served(entry, purposes):
        return high
    if entry["side"] == "":
        return max(min(high, top), entry["now"])
    return min(high, top)
