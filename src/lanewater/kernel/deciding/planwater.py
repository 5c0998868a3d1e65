"""The water of a plan in thousandths: what is aimed at, what is foreseen, how far it may err."""

from typing import Any

from lanewater.kernel.deciding.asking import part
from lanewater.kernel.deciding.comparing import whole_root
from lanewater.kernel.deciding.decimals import thousandths, thousandths_of_float
from lanewater.kernel.deciding.tries import legible_text
from lanewater.kernel.water.calcite import saturation_of_state
from lanewater.kernel.water.constants import water_constants
from lanewater.kernel.water.equilibrium import solve_totals
from lanewater.kernel.water.search import (
    Q_ALKALINITY,
    Q_CALCIUM,
    Q_CYANURIC_ACID,
    Q_FREE_CHLORINE,
    Q_PH,
    quantity_of,
)
from lanewater.kernel.water.slots import S_LN_PROTON, SOLVED
from lanewater.kernel.water.units import LN_10, NO_LOGARITHM

PLANNED = (
    "free_chlorine",
    "ph",
    "total_alkalinity",
    "calcium_hardness",
    "cyanuric_acid",
    "saturation_index",
)
# What is summed up from the totals; the rest is solved for.
SUMMED = ("free_chlorine", "total_alkalinity", "calcium_hardness", "cyanuric_acid")
QUANTITIES = {
    "ph": Q_PH,
    "free_chlorine": Q_FREE_CHLORINE,
    "total_alkalinity": Q_ALKALINITY,
    "calcium_hardness": Q_CALCIUM,
    "cyanuric_acid": Q_CYANURIC_ACID,
}
# A relative change of calcium or carbonate moves the saturation index by its share of ln 10.
LOG_SHARE = 434
MOST_ERROR = 3000000


def with_item(given: dict[str, Any], name: str, item: Any) -> dict[str, Any]:
    """Give a copy of an object with one item of it set."""
    found: dict[str, Any] = {}
    for key, value in given.items():
        found[key] = value
    found[name] = item
    return found


def water_shown(
    k: tuple[float, ...], temperature_c: float, totals: tuple[float, ...]
) -> dict[str, Any]:
    """Give the figures of a water that a plan looks at, in thousandths.

    Returns
    -------
    dict
        {"known": False} where there is no such water, or each of PLANNED; the saturation index is
        None where there is no calcium.
    """
    c = water_constants(k, temperature_c)
    status, state = solve_totals(c, totals)
    if status != SOLVED:
        return {"known": False}
    shown: dict[str, Any] = {"known": True}
    shown["ph"] = thousandths_of_float(-state[S_LN_PROTON] / LN_10)
    for parameter in SUMMED:
        value = quantity_of(c, totals, QUANTITIES[parameter])
        shown[parameter] = thousandths_of_float(value[1])
    logarithm = saturation_of_state(c, state)
    shown["saturation_index"] = None
    if logarithm > NO_LOGARITHM:
        shown["saturation_index"] = thousandths_of_float(logarithm / LN_10)
    return shown


def signed_in(given: dict[str, Any], key: str) -> int | None:
    """Give an exact decimal text in thousandths, None where it is missing; it may be negative."""
    text: str | None = given.get(key)
    if text is None or not legible_text(text):
        return None
    if text[0] == "<" or text[0] == ">":
        return None
    return thousandths(text)


def ends_in(request: dict[str, Any], which: str, parameter: str) -> dict[str, Any]:
    """Give the low and high of a target or a limit, each None where it is not set."""
    given = part(part(request, which), parameter)
    return {"low": signed_in(given, "low"), "high": signed_in(given, "high")}


def highest_of(one: int | None, other: int | None) -> int | None:
    """Give the greater of two numbers of which each may be missing."""
    if one is None:
        return other
    if other is None:
        return one
    return max(one, other)


def lowest_of(one: int | None, other: int | None) -> int | None:
    """Give the smaller of two numbers of which each may be missing."""
    if one is None:
        return other
    if other is None:
        return one
    return min(one, other)


def shown_error(water: dict[str, Any], errors: dict[str, Any], parameter: str) -> int:
    """Give the 95 % error with which a figure of the present water is known.

    Parameters
    ----------
    water : dict
        As `water_shown` gives it.
    errors : dict
        The errors of the readings by parameter, in thousandths.
    parameter : str
        One of PLANNED.
    """
    if parameter != "saturation_index":
        error: int = errors.get(parameter, 0)
        return min(error, MOST_ERROR)
    squares = errors.get("ph", 0) * errors.get("ph", 0)
    for name in ["total_alkalinity", "calcium_hardness"]:
        share = min(LOG_SHARE * errors.get(name, 0) // max(water[name], 1), MOST_ERROR)
        squares = squares + share * share
    return whole_root(squares)
