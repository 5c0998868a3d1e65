"""The steps of a plan as a person follows them: product, amount, water foreseen, wait, retest.

Every step is one product, and after every step the pool is tested at two points. Only the first
amount is for now; each later one is worked out again from that test.
"""

import math
from typing import Any

from lanewater.kernel.deciding.amounts import supply_error, unit_of
from lanewater.kernel.deciding.asking import items_in, part, whole_in, word_in
from lanewater.kernel.deciding.cautions import cautions_for
from lanewater.kernel.deciding.comparing import whole_root
from lanewater.kernel.deciding.decimals import decimal_text
from lanewater.kernel.deciding.planwater import PLANNED, shown_error, water_shown
from lanewater.kernel.water.additions import add_product, mixed_totals, use_up_chlorine
from lanewater.kernel.water.planningslots import P_FRESH_WATER
from lanewater.kernel.water.slots import T_HYPOCHLORITE

# Common practice, no source: retest at two points not less than 30 minutes after.
LEAST_WAIT = 1800
MOST_SPREAD = 30000000


def ordered_steps(table: list[dict[str, Any]], flat: list[float]) -> list[dict[str, Any]]:
    """Read the steps as the numeric planner gives them; two measures together are two steps.

    Parameters
    ----------
    table : list of dict
        The products, as `row_of` writes them.
    flat : list of float
        Row and units, again and again.

    Returns
    -------
    list of dict
        {"row", "units"}, both whole; the units are single measures.
    """
    found = []
    for index in range(len(flat) // 2):
        row = math.floor(flat[2 * index] + 0.5)
        units = math.floor(flat[2 * index + 1] + 0.5)
        for _ in range(table[row]["together"]):
            found.append({"row": row, "units": units})
    return found


def totals_after(
    problem: dict[str, Any], totals: tuple[float, ...], row: dict[str, Any], units: int
) -> tuple[float, ...]:
    """Give the totals of a water after one step of a plan."""
    numbers = row["numbers"]
    index = math.floor(numbers[0] + 0.5)
    amount = numbers[1] / row["together"] * units
    if index == P_FRESH_WATER:
        fill: tuple[float, ...] = problem["fill"]
        return mixed_totals(totals, fill, amount)
    return add_product(totals, index, amount, numbers[2])


def texts_of(water: dict[str, Any]) -> dict[str, Any]:
    """Write a water as decimal texts to a hundredth, leaving out what has no value."""
    texts: dict[str, Any] = {}
    for parameter in PLANNED:
        if water[parameter] is not None:
            texts[parameter] = decimal_text(rounded(water[parameter]))
    return texts


def rounded(number: int) -> int:
    """Round thousandths to hundredths."""
    return (number + 5) // 10 * 10


def band_texts(problem: dict[str, Any], water: dict[str, Any], supply: int) -> dict[str, Any]:
    """Write how far a foreseen water may err: test error of what it starts from, and supply.

    Parameters
    ----------
    problem, water : dict
        The problem, and the water after a step.
    supply : int
        The error of volume and strength together, per mille of every change.
    """
    before: dict[str, Any] = problem["water"]
    texts: dict[str, Any] = {}
    for parameter in PLANNED:
        if water[parameter] is not None and before[parameter] is not None:
            moved = min(abs(water[parameter] - before[parameter]) * supply // 1000, MOST_SPREAD)
            error = shown_error(before, problem["errors"], parameter)
            away = whole_root(error * error + moved * moved)
            low = water[parameter] - away
            if parameter != "saturation_index":
                low = max(low, 0)
            texts[parameter] = [
                decimal_text(low // 10 * 10),
                decimal_text((water[parameter] + away + 9) // 10 * 10),
            ]
    return texts


def limits_broken(
    problem: dict[str, Any], before: dict[str, Any], after: dict[str, Any]
) -> list[dict[str, Any]]:
    """Give the limits that a step itself takes the water past for a while."""
    found = []
    for entry in problem["targets"]:
        parameter = entry["parameter"]
        old = before[parameter]
        new = after[parameter]
        if old is not None and new is not None:
            limit: int | None = None
            if entry["most"] is not None and new > entry["most"] and new > old:
                limit = entry["most"]
            elif entry["least"] is not None and new < entry["least"] and new < old:
                limit = entry["least"]
            if limit is not None:
                found.append(
                    {
                        "parameter": parameter,
                        "limit": decimal_text(limit),
                        "predicted": decimal_text(rounded(new)),
                    }
                )
    return found


def place_given(request: dict[str, Any], purpose: str) -> str:
    """Say where a step goes: by hand into this pool, through the plant, or by drain and refill."""
    if purpose == "dilute":
        return "drain-and-refill"
    if word_in(part(request, "volume"), "of") == "circuit":
        return "circuit-plant"
    return "by-hand-pool"


def row_supply(request: dict[str, Any], row: dict[str, Any]) -> int:
    """Give the relative error of what a row brings, in per mille: volume and strength."""
    return supply_error(request, row["product"])


def written_step(
    request: dict[str, Any],
    case: dict[str, Any],
    row: dict[str, Any],
    units: int,
) -> dict[str, Any]:
    """Write a step but for the water after it."""
    product = row["product"]
    purpose: str = row["purpose"]
    unit = "L"
    if purpose != "dilute":
        unit = unit_of(product)
    return {
        "purpose": purpose,
        "parameter": row["parameter"],
        "product": word_in(product, "product"),
        "substance": product["substance"],
        "name": word_in(product, "name"),
        "jug": word_in(product, "jug"),
        "amount": units * row["size"],
        "unit": unit,
        "units": units,
        "size": row["size"],
        "place": place_given(request, purpose),
        "wait_s": max(whole_in(request, "mixing_s"), LEAST_WAIT),
        "retest": {"points": 2, "also": items_in(part(request, "volume"), "shared")},
        "cautions": cautions_for(request, case["pool"], product["substance"]),
    }


def followed_steps(
    k: tuple[float, ...],
    request: dict[str, Any],
    case: dict[str, Any],
    problem: dict[str, Any],
    steps: list[dict[str, Any]],
) -> dict[str, Any]:
    """Follow the steps from water to water.

    Returns
    -------
    dict
        {"known": whether every water was solved, "steps", "waters": each as `water_shown` gives
        it, the first before any step, "after_use": the last with the added chlorine used}.
    """
    totals: tuple[float, ...] = problem["totals"]
    water: dict[str, Any] = problem["water"]
    waters = [water]
    written: list[dict[str, Any]] = []
    added = 0.0
    supply = 0
    for step in steps:
        row = problem["table"][step["row"]]
        after = totals_after(problem, totals, row, step["units"])
        shown = water_shown(k, problem["temperature_c"], after)
        if not shown["known"]:
            return {"known": False}
        supply = max(supply, row_supply(request, row))
        entry = written_step(request, case, row, step["units"])
        entry["for_now"] = len(written) == 0 and problem["now"]
        entry["predicted"] = texts_of(shown)
        entry["between"] = band_texts(problem, shown, supply)
        entry["breaks"] = limits_broken(problem, water, shown)
        written.append(entry)
        if row["purpose"] == "raise-chlorine":
            added = added + after[T_HYPOCHLORITE] - totals[T_HYPOCHLORITE]
        waters.append(shown)
        water = shown
        totals = after
    used = water_shown(k, problem["temperature_c"], use_up_chlorine(totals, added))
    if not used["known"]:
        return {"known": False}
    return {"known": True, "steps": written, "waters": waters, "after_use": used}
