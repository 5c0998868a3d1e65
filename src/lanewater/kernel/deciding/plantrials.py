"""How often the numeric planner is asked, and with what: from the strictest bands to looser ones.

First inside every target by test error with no limit broken on the way; then inside the targets,
where a step may take pH out of the rules for a while; last, where a side effect may pass a target
by less than its test can tell. What is found is looked at again: a product that nothing needs goes
out, and a step that no jug or scale can measure makes its unit coarser.
"""

from typing import Any

from lanewater.kernel.deciding.asking import UNKNOWN
from lanewater.kernel.deciding.planproblem import flat_rows, written_rows
from lanewater.kernel.deciding.planrows import increment_of, portion_in
from lanewater.kernel.deciding.plansteps import ordered_steps, totals_after
from lanewater.kernel.deciding.planwater import with_item
from lanewater.kernel.water.planningslots import PLAN_FOUND, PLAN_NO_PLAN
from lanewater.kernel.water.slots import T_ALKALINITY, T_CALCIUM
from lanewater.kernel.water.units import CACO3, MILLI

TIERS = ("bands", "open_bands", "loose_bands")
MOST_LOOKS = 3
# Thousandths of mg/L as CaCO3 in a mol/L of the total.
SUMS = {
    "raise-alkalinity": ("total_alkalinity", T_ALKALINITY, 2),
    "raise-calcium": ("calcium_hardness", T_CALCIUM, 1),
}


def first_trial(prepared: dict[str, Any]) -> dict[str, Any]:
    """Begin to ask: the strictest bands, every product.

    Parameters
    ----------
    prepared : dict
        As `prepared_plan` gives it.

    Returns
    -------
    dict
        {"prepared", "bands": the name of the bands to search with, "done", "status", "flat",
        "figures": what was found in the end}, and what `next_trial` keeps for itself.
    """
    return {
        "prepared": prepared,
        "bands": TIERS[0],
        "tier": 0,
        "looks": 0,
        "held": {},
        "done": False,
        "status": PLAN_NO_PLAN,
        "flat": [],
        "figures": [],
    }


def next_trial(
    trial: dict[str, Any], status: int, flat: list[float], figures: list[float]
) -> dict[str, Any]:
    """Take in what a search found, and say what to ask next, or that it is done.

    Parameters
    ----------
    trial : dict
        As `first_trial` or this gave it.
    status, flat, figures : int, list, list
        As `plan_search` gives them.
    """
    if status == PLAN_NO_PLAN:
        return after_nothing(trial, figures)
    found = ended_trial(trial, trial["prepared"], status, flat, figures)
    if status != PLAN_FOUND or trial["looks"] >= MOST_LOOKS:
        return found
    look = looked_at_again(trial["prepared"], flat)
    if look["same"]:
        return found
    again = first_trial(look["prepared"])
    again["looks"] = trial["looks"] + 1
    if look["only_coarser"]:
        again["held"] = found
    return again


def after_nothing(trial: dict[str, Any], figures: list[float]) -> dict[str, Any]:
    """Go on to looser bands; after the last, back to what held before its units were coarser."""
    if trial["tier"] + 1 < len(TIERS):
        tier = trial["tier"] + 1
        return with_item(with_item(trial, "tier", tier), "bands", TIERS[tier])
    if "prepared" in trial["held"]:
        held: dict[str, Any] = trial["held"]
        return held
    return ended_trial(trial, trial["prepared"], PLAN_NO_PLAN, [], figures)


def ended_trial(
    trial: dict[str, Any],
    prepared: dict[str, Any],
    status: int,
    flat: list[float],
    figures: list[float],
) -> dict[str, Any]:
    """Write that the asking is done."""
    return {
        "prepared": prepared,
        "bands": trial["bands"],
        "tier": trial["tier"],
        "looks": trial["looks"],
        "held": {},
        "done": True,
        "status": status,
        "flat": flat,
        "figures": figures,
    }


def looked_at_again(prepared: dict[str, Any], flat: list[float]) -> dict[str, Any]:
    """Look at what was found: is each product needed, and can each step be measured out?

    Returns
    -------
    dict
        {"same": nothing to change, "only_coarser": nothing but units changed, "prepared": with
        the changes}.
    """
    problem = prepared["problem"]
    steps = ordered_steps(problem["table"], flat)
    same = True
    coarser = True
    kept = []
    fresh = []
    for index in range(len(problem["table"])):
        row = problem["table"][index]
        size = measurable_size(row, steps, index)
        if row["purpose"] == "dilute":
            fresh.append(row)
        elif needless(problem, steps, index):
            same = False
            coarser = False
        else:
            if size > row["size"]:
                same = False
            product = {"product": row["product"], "purpose": row["purpose"], "size": size}
            product["late"] = row["late"]
            kept.append(product)
    if same:
        return {"same": True, "only_coarser": True, "prepared": prepared}
    table = written_rows(prepared["request"], kept, prepared["first"])
    for row in fresh:
        table.append(row)
    changed = with_item(with_item(problem, "table", table), "rows", flat_rows(table))
    changed_all = with_item(prepared, "problem", changed)
    return {"same": False, "only_coarser": coarser, "prepared": changed_all}


def measurable_size(row: dict[str, Any], steps: list[dict[str, Any]], index: int) -> int:
    """Give the unit in which the largest step of a row can be measured out; a scoop stays one."""
    size: int = row["size"]
    if portion_in(row["product"], "scoop") != UNKNOWN:
        return size
    largest = size
    for step in steps:
        if step["row"] == index:
            largest = max(largest, increment_of(step["units"] * row["size"]))
    return largest


def needless(problem: dict[str, Any], steps: list[dict[str, Any]], index: int) -> bool:
    """Tell whether alkalinity or calcium ends inside its band without what a row brings of it.

    Such a product would serve only what it does to pH, for which nobody approved it. Calcium and
    alkalinity for a saturation index that is too low are needed by that.
    """
    row = problem["table"][index]
    if row["purpose"] not in SUMS:
        return False
    parameter, place, charges = SUMS[row["purpose"]]
    used = False
    totals: tuple[float, ...] = problem["totals"]
    for step in steps:
        if step["row"] == index:
            used = True
        else:
            other = problem["table"][step["row"]]
            totals = totals_after(problem, totals, other, step["units"])
    if not used:
        return False
    without = totals[place] * CACO3 * MILLI * MILLI / charges
    for entry in problem["targets"]:
        if entry["parameter"] == "saturation_index" and entry["side"] == "low":
            return False
        if entry["parameter"] == parameter and entry["set"] and entry["low"] is not None:
            if without < entry["low"] + entry["margin"]:
                return False
    return True
