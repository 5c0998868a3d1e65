"""The water after one addition: at once, once its chlorine is used, and after mixing."""

from typing import Any

from lanewater.kernel.deciding.amounts import (
    MICROGRAMS_A_GRAM,
    caustic_of,
    product_index,
    water_tuple,
)
from lanewater.kernel.deciding.asking import UNKNOWN, number_in, part
from lanewater.kernel.deciding.decimals import decimal_text, thousandths_of_float
from lanewater.kernel.deciding.waterknown import W_ALKALINITY, W_FREE, W_PH
from lanewater.kernel.water.additions import add_product, use_up_chlorine
from lanewater.kernel.water.equilibrium import totals_of_reading
from lanewater.kernel.water.saturation import (
    F_FREE_CHLORINE,
    F_PH,
    F_TOTAL_ALKALINITY,
    figures_of_totals,
)
from lanewater.kernel.water.slots import SOLVED, T_HYPOCHLORITE
from lanewater.kernel.water.units import mol_of_product

LIMITED = ("free_chlorine", "ph", "total_alkalinity")


def figures_in_words(
    k: tuple[float, ...], temperature_c: float, totals: tuple[float, ...]
) -> dict[str, Any]:
    """Give free chlorine, pH and alkalinity in thousandths; "known" is False for no such water."""
    status, figures = figures_of_totals(k, temperature_c, totals)
    if status != SOLVED:
        return {"known": False}
    return {
        "known": True,
        "free_chlorine": thousandths_of_float(figures[F_FREE_CHLORINE]),
        "ph": thousandths_of_float(figures[F_PH]),
        "total_alkalinity": thousandths_of_float(figures[F_TOTAL_ALKALINITY]),
    }


def foresee(
    k: tuple[float, ...], numbers: list[int], product: dict[str, Any], dose: int
) -> dict[str, Any]:
    """Give the water after a dose, at once and once the added chlorine is used.

    Parameters
    ----------
    k : tuple
        The kernel's constants.
    numbers : list of int
        The water in WATER_ORDER, in thousandths.
    product : dict
        Registered product.
    dose : int
        Active substance, in micrograms in a cubic metre.

    Returns
    -------
    dict
        {"known", "before", "after", "after_use"}; the waters as figures_in_words gives them.
    """
    reading = water_tuple(numbers)
    status, totals = totals_of_reading(k, reading)
    if status != SOLVED:
        return {"known": False}
    index = product_index(product["substance"])
    mol_l = mol_of_product(index, dose / MICROGRAMS_A_GRAM / 1000)
    after = add_product(totals, index, mol_l, caustic_of(product) / 1000)
    added = after[T_HYPOCHLORITE] - totals[T_HYPOCHLORITE]
    used = use_up_chlorine(after, added)
    at_once = figures_in_words(k, reading[1], after)
    later = figures_in_words(k, reading[1], used)
    before = {"free_chlorine": numbers[W_FREE], "ph": numbers[W_PH]}
    before["total_alkalinity"] = numbers[W_ALKALINITY]
    return {
        "known": at_once["known"] and later["known"],
        "before": before,
        "after": at_once,
        "after_use": later,
    }


def foreseen_texts(water: dict[str, Any]) -> dict[str, Any]:
    """Write a foreseen water as decimal texts, pH and chlorine to a hundredth."""
    texts = {}
    for parameter in LIMITED:
        texts[parameter] = decimal_text((water[parameter] + 5) // 10 * 10)
    return texts


def broken_limits(
    request: dict[str, Any], before: dict[str, Any], water: dict[str, Any]
) -> list[dict[str, Any]]:
    """Give the limits of the chosen rules that the dose itself takes the water past for a while.

    A limit that was broken before and comes nearer is not the dose's doing.
    """
    found = []
    for parameter in LIMITED:
        limit = part(part(request, "limits"), parameter)
        low = number_in(limit, "low")
        high = number_in(limit, "high")
        number: int = water[parameter]
        broken = UNKNOWN
        if high != UNKNOWN and number > high and number > before[parameter]:
            broken = high
        elif low != UNKNOWN and number < low and number < before[parameter]:
            broken = low
        if broken != UNKNOWN:
            found.append(
                {
                    "parameter": parameter,
                    "limit": decimal_text(broken),
                    "predicted": decimal_text((number + 5) // 10 * 10),
                }
            )
    return found
