"""What a plan takes of each product in all, and between what and what it may turn out.

To first order: the error of the reading that is moved, over how far it is moved; for acid and
soda ash also that of the alkalinity that holds pH; and the error of volume and strength.
"""

from typing import Any

from lanewater.kernel.deciding.amounts import measurable, measurable_above, unit_of
from lanewater.kernel.deciding.asking import UNKNOWN, word_in
from lanewater.kernel.deciding.comparing import whole_root
from lanewater.kernel.deciding.decimals import decimal_text
from lanewater.kernel.deciding.planrows import GRAMS_A_KG, portion_in, price_in
from lanewater.kernel.deciding.plansteps import row_supply

# No range is told wider than from nothing to three times the amount.
MOST_RELATIVE = 2000
# What a mg/L of cyanuric acid takes of the alkalinity about pH 7.5, in per mille. JUDG.
STABILISER_SHARE = 330
LEAST_CARBONATE = 10000


def relative(error: int, moved: int) -> int:
    """Give an error over what is moved, in per mille, never over MOST_RELATIVE."""
    if moved <= 0:
        return MOST_RELATIVE
    return min(error * 1000 // moved, MOST_RELATIVE)


def moved_by(followed: dict[str, Any], steps: list[dict[str, Any]], row: int) -> int:
    """Give how far the steps of one row move their own figure in all, in thousandths."""
    moved = 0
    for index in range(len(steps)):
        if steps[index]["row"] == row:
            parameter = followed["steps"][index]["parameter"]
            before = followed["waters"][index][parameter]
            after = followed["waters"][index + 1][parameter]
            moved = moved + abs(after - before)
    return moved


def input_error(problem: dict[str, Any], parameter: str, moved: int) -> int:
    """Give the error that the readings leave in a total, in per mille.

    Parameters
    ----------
    problem : dict
        With the errors of its readings.
    parameter : str
        The figure that the product is to move.
    moved : int
        How far it moves its figure, in thousandths.
    """
    errors = problem["errors"]
    own = relative(errors[parameter], moved)
    if parameter != "ph":
        return own
    water = problem["water"]
    taken = STABILISER_SHARE * water["cyanuric_acid"] // 1000
    carbonate = max(water["total_alkalinity"] - taken, LEAST_CARBONATE)
    buffer = relative(errors["total_alkalinity"], carbonate)
    stabiliser = relative(errors["cyanuric_acid"] * STABILISER_SHARE // 1000, carbonate)
    return whole_root(own * own + buffer * buffer + stabiliser * stabiliser)


def totals_of_plan(
    request: dict[str, Any],
    problem: dict[str, Any],
    steps: list[dict[str, Any]],
    followed: dict[str, Any],
) -> list[dict[str, Any]]:
    """Give what each product takes in all, with its range, its price and what is in stock.

    Returns
    -------
    list of dict
        {"product", "substance", "name", "purpose", "amount", "unit", "low", "high", "additions",
        "cost": decimal text or "", "stock": UNKNOWN or in the same unit}.
    """
    found = []
    for index in range(len(problem["table"])):
        row = problem["table"][index]
        units = 0
        additions = 0
        for step in steps:
            if step["row"] == index:
                units = units + step["units"]
                additions = additions + 1
        if units > 0:
            moved = moved_by(followed, steps, index)
            found.append(one_total(request, problem, row, units * row["size"], additions, moved))
    return found


def one_total(
    request: dict[str, Any],
    problem: dict[str, Any],
    row: dict[str, Any],
    amount: int,
    additions: int,
    moved: int,
) -> dict[str, Any]:
    """Write what one product takes in all."""
    product = row["product"]
    inputs = input_error(problem, row["parameter"], moved)
    supply = row_supply(request, row)
    share = min(whole_root(inputs * inputs + supply * supply), MOST_RELATIVE)
    unit = "L"
    cost = ""
    stock = UNKNOWN
    if row["purpose"] != "dilute":
        unit = unit_of(product)
        price = price_in(product)
        if price != UNKNOWN:
            cost = decimal_text(amount * price // GRAMS_A_KG)
        stock = portion_in(product, "stock")
    return {
        "product": word_in(product, "product"),
        "substance": product["substance"],
        "name": word_in(product, "name"),
        "purpose": row["purpose"],
        "amount": amount,
        "unit": unit,
        "low": measurable(max(amount * (1000 - share) // 1000, 0)),
        "high": measurable_above(amount * (1000 + share) // 1000 + 1),
        "additions": additions,
        "cost": cost,
        "stock": stock,
    }
