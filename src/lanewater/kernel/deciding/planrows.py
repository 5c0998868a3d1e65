"""The products of a plan as the numeric planner takes them: what one jug or scoop of each does."""

import math
from typing import Any

from lanewater.kernel.deciding.amounts import caustic_of, product_index
from lanewater.kernel.deciding.asking import UNKNOWN, number_in, part, word_in
from lanewater.kernel.deciding.portion import (
    ALKALINITY_STEP,
    CALCIUM_STEP,
    CHLORINE_STEP,
    PH_STEP,
)
from lanewater.kernel.deciding.strengths import LIQUIDS, strength_divisor
from lanewater.kernel.water.additions import STOICHIOMETRY
from lanewater.kernel.water.planningslots import P_FRESH_WATER
from lanewater.kernel.water.slots import T_ALKALINITY, T_CALCIUM, T_HYPOCHLORITE
from lanewater.kernel.water.units import CACO3, CHLORINE, MILLI, PRODUCT_GRAMS, mol_of_product

# Which kind of step comes first.
GROUPS = {
    "dilute": 0,
    "raise-chlorine": 1,
    "lower-ph": 2,
    "raise-alkalinity": 3,
    "raise-ph": 4,
    "raise-calcium": 5,
}
MOVED_BY = {
    "raise-chlorine": "free_chlorine",
    "lower-ph": "ph",
    "raise-alkalinity": "total_alkalinity",
    "raise-ph": "ph",
    "raise-calcium": "calcium_hardness",
}
TYPICAL_CAPS = {
    "raise-chlorine": CHLORINE_STEP,
    "lower-ph": PH_STEP,
    "raise-alkalinity": ALKALINITY_STEP,
    "raise-ph": PH_STEP,
    "raise-calcium": CALCIUM_STEP,
}
# What one addition more is worth avoiding, in kg of product or the currency of its price. JUDG.
EFFORT = 2.0
MANY_UNITS = 1000000
# A fiftieth of the water is the least that is drained, a third the most at a time. JUDG.
FRESH_SHARES = 50
MOST_FRESH_AT_ONCE = 16
MOST_FRESH = 64
# The alkalinity that one cap of pH takes, in thousandths of it, for the size of a unit. JUDG.
PH_SHARE = 50
LEAST_PH_CHANGE = 50
GRAMS_A_KG = 1000
PER_UNIT = {"g": 1, "kg": 1000, "mL": 1, "L": 1000}
MASSES = ("g", "kg")
GUESSES = ("guess", "")


def halves_wanted(request: dict[str, Any]) -> bool:
    """Tell whether only half portions are given: the volume is a guess, or not said how known."""
    return word_in(part(request, "volume"), "known") in GUESSES


def increment_of(amount: int) -> int:
    """Give the step in which an amount of this size can be measured out, as `measurable` does."""
    if amount < 100:
        return 1
    if amount < 1000:
        return 10
    if amount < 10000:
        return 50
    if amount < 100000:
        return 500
    return 5000


def portion_in(product: dict[str, Any], key: str) -> int:
    """Give a scoop or a stock in whole g of a solid or mL of a liquid.

    Returns
    -------
    int
        Rounded down; UNKNOWN where it is not stated; 0 where mass and volume cannot be told from
        each other because the density is not stated.
    """
    given = part(product, key)
    amount = number_in(given, "amount")
    unit = word_in(given, "unit")
    if amount == UNKNOWN or unit not in PER_UNIT:
        return UNKNOWN
    whole: int = amount * PER_UNIT[unit] // 1000
    liquid = word_in(product, "substance") in LIQUIDS
    if (unit in MASSES) != liquid:
        return whole
    density = number_in(product, "density_kg_l")
    if density <= 0:
        return 0
    if liquid:
        return whole * 1000 // density
    return whole * density // 1000


def price_in(product: dict[str, Any]) -> int:
    """Give the price of one kg of a solid or one L of a liquid in thousandths, or UNKNOWN."""
    given = part(product, "price")
    amount = number_in(given, "amount")
    liquid = word_in(product, "substance") in LIQUIDS
    per = word_in(given, "per")
    if amount == UNKNOWN:
        return UNKNOWN
    if (per == "L" and liquid) or (per == "kg" and not liquid):
        return amount
    density = number_in(product, "density_kg_l")
    if density <= 0 or (per != "L" and per != "kg"):
        return UNKNOWN
    if liquid:
        return amount * density // 1000
    return amount * 1000 // density


def typical_need(purpose: str, need: int, fresh: bool) -> int:
    """Give about how far one step moves its figure, in thousandths, for the size of its unit.

    Parameters
    ----------
    purpose : str
        What it is for.
    need : int
        How far the figure is from the middle of its band.
    fresh : bool
        Whether fresh water moves it first.
    """
    cap: int = TYPICAL_CAPS[purpose]
    if fresh:
        return max(need, cap // 2)
    return max(need, cap // 6)


def typical_mol(purpose: str, index: int, water: dict[str, Any], need: int) -> float:
    """Give about how much of a product one step of its purpose takes, in mol/L.

    Parameters
    ----------
    purpose, index : str, int
        What it is for, and the product's index.
    water : dict
        As `water_shown` gives it.
    need : int
        How far the figure is to move, in thousandths.
    """
    row = STOICHIOMETRY[index]
    if purpose == "raise-chlorine":
        return min(need, CHLORINE_STEP) / 1000 / CHLORINE / MILLI / row[T_HYPOCHLORITE]
    if purpose == "raise-alkalinity":
        return 2 * min(need, ALKALINITY_STEP) / 1000 / CACO3 / MILLI / row[T_ALKALINITY]
    if purpose == "raise-calcium":
        return min(need, CALCIUM_STEP) / 1000 / CACO3 / MILLI / row[T_CALCIUM]
    share = PH_SHARE * max(min(need, PH_STEP), LEAST_PH_CHANGE) / PH_STEP / 1000
    alkalinity = 2 * water["total_alkalinity"] / 1000 / CACO3 / MILLI
    return share * alkalinity / abs(row[T_ALKALINITY])


def unit_size(
    product: dict[str, Any], purpose: str, water: dict[str, Any], need: int, volume: int
) -> int:
    """Give what of a product is measured out at a time: its scoop, or what a jug or scale can.

    Returns
    -------
    int
        Whole g or mL, 1 or more; 0 where a scoop is stated that cannot be measured so.
    """
    scoop = portion_in(product, "scoop")
    if scoop != UNKNOWN:
        return scoop
    index = product_index(product["substance"])
    grams = typical_mol(purpose, index, water, need) * PRODUCT_GRAMS[index] * volume
    amount = grams * MILLI * MILLI / strength_divisor(product)
    return increment_of(math.floor(min(amount, MANY_UNITS)))


def mol_of_units(product: dict[str, Any], amount: int, volume: int) -> float:
    """Give what an amount in g or mL makes in a volume in thousandths of m3, in mol/L."""
    index = product_index(product["substance"])
    grams_l = amount * strength_divisor(product) / volume / (MILLI * MILLI)
    return mol_of_product(index, grams_l)


def row_of(
    product: dict[str, Any],
    purpose: str,
    size: int,
    volume: int,
    priced: bool,
    used: int,
    halves: bool,
) -> dict[str, Any]:
    """Give one product as the planner takes it, beside what a person needs of it.

    Parameters
    ----------
    product : dict
        As it is registered.
    purpose : str
        What it is approved for and used for here.
    size : int
        What is measured out at a time, in g or mL.
    volume : int
        In thousandths of m3.
    priced : bool
        Whether a price is known of every product; else the amount stands for the cost.
    used : int
        What the advice's first step takes out of its stock, in g or mL.
    halves : bool
        Whether every portion is given in two halves: then two measures are planned together.

    Returns
    -------
    dict
        {"product", "purpose", "parameter": the figure it moves, "size", "together",
        "most": measures in stock, "numbers": ROW_WIDTH of them}.
    """
    together = 1
    if halves:
        together = 2
    stock = portion_in(product, "stock")
    most = MANY_UNITS
    if stock != UNKNOWN:
        most = min(max(stock - used, 0) // size // together, MANY_UNITS)
    cost = together * size / GRAMS_A_KG
    if priced:
        cost = cost * price_in(product) / 1000
    caustic = 0.0
    if product["substance"] == "sodium-hypochlorite":
        caustic = caustic_of(product) / 1000
    numbers: list[float] = []
    numbers.append(0.0 + product_index(product["substance"]))
    numbers.append(mol_of_units(product, together * size, volume))
    numbers.append(caustic)
    numbers.append(0.0 + most)
    numbers.append(cost)
    numbers.append(EFFORT)
    numbers.append(0.0 + GROUPS[purpose])
    numbers.append(0.0 + MANY_UNITS)
    return {
        "product": product,
        "purpose": purpose,
        "parameter": MOVED_BY[purpose],
        "size": size,
        "together": together,
        "most": most * together,
        "numbers": numbers,
    }


def fresh_row(volume: int, parameter: str, halves: bool) -> dict[str, Any]:
    """Give fresh water in place of pool water as a product: its unit is a share of the volume.

    Parameters
    ----------
    volume : int
        In thousandths of m3.
    parameter : str
        The figure that it brings down.
    halves : bool
        Whether only half of what is drained at a time may be: the volume is a guess.
    """
    litres = volume // FRESH_SHARES
    at_once = MOST_FRESH_AT_ONCE
    if halves:
        at_once = at_once // 2
    numbers: list[float] = []
    numbers.append(0.0 + P_FRESH_WATER)
    numbers.append(1 / FRESH_SHARES)
    numbers.append(0.0)
    numbers.append(0.0 + MOST_FRESH)
    numbers.append(litres / GRAMS_A_KG)
    numbers.append(EFFORT)
    numbers.append(0.0 + GROUPS["dilute"])
    numbers.append(0.0 + at_once)
    product = {"product": "fresh-water", "substance": "fresh-water", "name": "fresh water"}
    return {
        "product": product,
        "purpose": "dilute",
        "parameter": parameter,
        "size": litres,
        "together": 1,
        "most": MOST_FRESH,
        "numbers": numbers,
    }
