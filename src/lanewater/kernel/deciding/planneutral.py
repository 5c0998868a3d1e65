"""Too much chlorine: the first quarter of a neutraliser, then a test, and never more than that.

At pool pH thiosulfate may react to sulfate, taking four of chlorine, or to tetrathionate, taking
half of one (chemistry facts, CALC): eight times apart. A quarter of what the stronger way needs
cannot overshoot by either.
"""

from typing import Any

from lanewater.kernel.deciding.amounts import amount_of, measurable
from lanewater.kernel.deciding.asking import (
    UNKNOWN,
    items_in,
    number_in,
    part,
    refusal,
    word_in,
)
from lanewater.kernel.deciding.decimals import thousandths_of_float
from lanewater.kernel.deciding.planneeds import left_out
from lanewater.kernel.deciding.planrows import portion_in
from lanewater.kernel.deciding.planwater import water_shown
from lanewater.kernel.deciding.portion import PH_STEP
from lanewater.kernel.deciding.productfit import jug_refusals
from lanewater.kernel.deciding.strengths import strength_divisor, strength_refusals
from lanewater.kernel.water.additions import (
    P_SODIUM_THIOSULFATE,
    THIOSULFATE_CHLORINE,
    add_product,
)
from lanewater.kernel.water.units import (
    CHLORINE,
    MILLI,
    PRODUCT_GRAMS,
    mol_of_product,
)

NEUTRALISER = "sodium-thiosulfate"
PORTION = 4
# Chlorine that the stronger way takes over what the weaker takes: 4 over a half.
WAYS_APART = 8
LOWER_CHLORINE = "lower-chlorine"
MOST_HALVINGS = 8


def neutraliser_refusals(request: dict[str, Any], product: dict[str, Any]) -> list[dict[str, Any]]:
    """Give why a neutraliser may not be used here; empty where it may."""
    found = []
    if word_in(product, "method") != "by-hand":
        found.append(
            refusal("method-not-stated", "It is not given by hand.", "Ask the plant operator.")
        )
    if LOWER_CHLORINE not in items_in(product, "approved"):
        found.append(
            refusal(
                "product-not-approved",
                word_in(product, "name") + " is not approved for this on this pool.",
                "The manager approves products for a purpose and a pool.",
            )
        )
    for entry in strength_refusals(request, product):
        found.append(entry)
    for entry in jug_refusals(request, product):
        found.append(entry)
    return found


def neutralisers(request: dict[str, Any]) -> dict[str, Any]:
    """Give the neutralisers that may be used, and why others may not."""
    found: dict[str, Any] = {"products": [], "left_out": []}
    for product in items_in(request, "products"):
        if word_in(product, "substance") == NEUTRALISER:
            refusals = neutraliser_refusals(request, product)
            for entry in refusals:
                found["left_out"].append(left_out(product, LOWER_CHLORINE, entry))
            if len(refusals) == 0:
                found["products"].append(product)
    return found


def excess_of(problem: dict[str, Any]) -> int:
    """Give how far free chlorine is over the middle of its band, in thousandths, else 0."""
    for entry in problem["targets"]:
        if entry["parameter"] == "free_chlorine" and entry["side"] == "high":
            low = entry["low"]
            if low is None:
                low = 0
            excess: int = entry["now"] - (low + entry["high"]) // 2
            return max(excess, 0)
    return 0


def handed_out(product: dict[str, Any], amount: int) -> int:
    """Round an amount down to whole scoops where one is stated, and to what the store holds.

    Parameters
    ----------
    product : dict
        As it is registered.
    amount : int
        In g.
    """
    stock = portion_in(product, "stock")
    if stock != UNKNOWN:
        amount = min(amount, stock)
    scoop = portion_in(product, "scoop")
    if scoop == UNKNOWN:
        return measurable(amount)
    if scoop == 0:
        return 0
    return amount // scoop * scoop


def neutraliser_row(
    k: tuple[float, ...], request: dict[str, Any], problem: dict[str, Any], product: dict[str, Any]
) -> dict[str, Any]:
    """Give the first quarter as a row of one unit; its size is 0 where it cannot be measured.

    It is halved until it moves pH by no more than one step may.
    """
    volume = number_in(part(request, "volume"), "m3")
    litre = excess_of(problem) / 1000 / CHLORINE / MILLI / THIOSULFATE_CHLORINE / PORTION
    grams_m3 = litre * PRODUCT_GRAMS[P_SODIUM_THIOSULFATE] * MILLI
    dose = thousandths_of_float(grams_m3 * MILLI)
    size = handed_out(product, amount_of(dose, volume, strength_divisor(product)))
    mol_l = 0.0
    for turn in range(MOST_HALVINGS):
        grams_l = size * strength_divisor(product) / volume / (MILLI * MILLI)
        mol_l = mol_of_product(P_SODIUM_THIOSULFATE, grams_l)
        after = add_product(problem["totals"], P_SODIUM_THIOSULFATE, mol_l, 0.0)
        shown = water_shown(k, problem["temperature_c"], after)
        if shown["known"] and abs(shown["ph"] - problem["water"]["ph"]) <= PH_STEP:
            break
        size = handed_out(product, size // 2)
        if turn == MOST_HALVINGS - 1:
            size = 0
    return {
        "product": product,
        "purpose": LOWER_CHLORINE,
        "parameter": "free_chlorine",
        "size": size,
        "together": 1,
        "most": 1,
        "numbers": [0.0 + P_SODIUM_THIOSULFATE, mol_l, 0.0, 1.0, 0.0, 0.0, 0.0, 1.0],
    }


def weaker_way(problem: dict[str, Any], after: int) -> int:
    """Give free chlorine after a neutraliser that reacts the weaker way, in thousandths.

    Parameters
    ----------
    problem : dict
        The problem, with the water before.
    after : int
        Free chlorine where it reacts the stronger way.
    """
    before: int = problem["water"]["free_chlorine"]
    return before - max(before - after, 0) // WAYS_APART
