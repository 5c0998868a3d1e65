"""A plan is followed once more before it is told: each promise that it breaks refuses it.

The steps come from a search that may run compiled, elsewhere; what is told is only what holds
here, by the exact solver, step by step.
"""

from typing import Any

from lanewater.kernel.deciding.planbands import STEP_CAPS, free_error, hard_high, served

# Where the search and this check round to another thousandth.
ROUNDING = 2


def cap_passed(row: dict[str, Any], before: dict[str, Any], after: dict[str, Any]) -> bool:
    """Tell whether a step moves a figure by more than one step may; fresh water only by its pH."""
    for parameter, cap in STEP_CAPS.items():
        if row["purpose"] != "dilute" or parameter == "ph":
            if abs(after[parameter] - before[parameter]) > cap + ROUNDING:
                if row["purpose"] != "lower-chlorine" or parameter == "ph":
                    return True
    return False


def limit_passed(
    request: dict[str, Any],
    problem: dict[str, Any],
    before: dict[str, Any],
    after: dict[str, Any],
) -> bool:
    """Tell whether a step takes a figure out of the rules; pH may pass them for a while, by name.

    A figure that is outside before is held by no limit on the way, but free never rises further.
    """
    error = free_error(request, problem["errors"])
    for entry in problem["targets"]:
        parameter = entry["parameter"]
        old = before[parameter]
        new = after[parameter]
        if old is not None and new is not None and parameter != "ph":
            top = hard_high(entry, error, 1)
            least: int | None = entry["least"]
            if parameter == "free_chlorine":
                if top is not None and new > max(top, old) + ROUNDING:
                    return True
            elif top is not None and old <= top and new > top + ROUNDING:
                return True
            elif least is not None and old >= least and new < least - ROUNDING:
                return True
    return False


def stock_passed(problem: dict[str, Any], steps: list[dict[str, Any]]) -> bool:
    """Tell whether a plan takes more of a product than there is."""
    for index in range(len(problem["table"])):
        units = 0
        for step in steps:
            if step["row"] == index:
                units = units + step["units"]
        if units > problem["table"][index]["most"]:
            return True
    return False


def chlorines_meet(problem: dict[str, Any], steps: list[dict[str, Any]]) -> bool:
    """Tell whether a plan holds two kinds of chlorine."""
    kind = ""
    for step in steps:
        row = problem["table"][step["row"]]
        if row["purpose"] == "raise-chlorine":
            substance = row["product"]["substance"]
            if kind != "" and substance != kind:
                return True
            kind = substance
    return False


def rules_left(problem: dict[str, Any], last: dict[str, Any]) -> bool:
    """Tell whether the water ends outside a limit that it was inside of before."""
    for entry in problem["targets"]:
        before: int | None = problem["water"][entry["parameter"]]
        after: int | None = last[entry["parameter"]]
        if before is not None and after is not None:
            most: int | None = entry["most"]
            least: int | None = entry["least"]
            if most is not None and before <= most and after > most + ROUNDING:
                return True
            if least is not None and before >= least and after < least - ROUNDING:
                return True
    return False


def after_use_left(problem: dict[str, Any], used: dict[str, Any]) -> bool:
    """Tell whether pH leaves the rules it was inside of once the added chlorine is used."""
    for entry in problem["targets"]:
        if entry["parameter"] == "ph" and entry["least"] is not None:
            least: int = entry["least"]
            return problem["water"]["ph"] >= least and used["ph"] < least - ROUNDING
    return False


def end_missed(problem: dict[str, Any], last: dict[str, Any]) -> bool:
    """Tell whether the water ends outside a band that it was meant to end in."""
    purposes: list[str] = []
    for row in problem["table"]:
        purposes.append(row["purpose"])
    for entry in problem["targets"]:
        number: int | None = last[entry["parameter"]]
        if entry["set"] and number is not None and served(entry, purposes):
            away = ROUNDING
            if entry["side"] == "":
                away = ROUNDING + entry["margin"]
            if entry["low"] is not None and number < entry["low"] - away:
                return True
            if entry["high"] is not None and number > entry["high"] + away:
                return True
    return False


def broken_promise(
    request: dict[str, Any],
    problem: dict[str, Any],
    steps: list[dict[str, Any]],
    followed: dict[str, Any],
) -> str:
    """Name the first promise that a plan breaks when it is followed, "" where it holds.

    Parameters
    ----------
    request, problem : dict
        What was asked, and as `problem_of` gives it.
    steps, followed : list, dict
        As `ordered_steps` and `followed_steps` give them.

    Returns
    -------
    str
        cap, limit, stock, unit, chlorines, rules, after-use, end or "".
    """
    if len(steps) == 0:
        return ""
    for index in range(len(steps)):
        row = problem["table"][steps[index]["row"]]
        before = followed["waters"][index]
        after = followed["waters"][index + 1]
        if steps[index]["units"] < 1:
            return "unit"
        if cap_passed(row, before, after):
            return "cap"
        if limit_passed(request, problem, before, after):
            return "limit"
    if stock_passed(problem, steps):
        return "stock"
    if chlorines_meet(problem, steps):
        return "chlorines"
    if rules_left(problem, followed["waters"][len(steps)]):
        return "rules"
    if after_use_left(problem, followed["after_use"]):
        return "after-use"
    if problem["table"][0]["purpose"] == "lower-chlorine":
        return ""
    if end_missed(problem, followed["waters"][len(steps)]):
        return "end"
    return ""
