"""How much of one product: from the real equilibrium, as whole grams or millilitres.

Doses are whole micrograms of active substance in a cubic metre, volumes thousandths of a cubic
metre, strengths a divisor; every amount is rounded down to what a jug or a scale can measure.
The relative errors of volume and strength, and the lines at which a strength looks like a slip
of its unit, are judgement (JUDG).
"""

from typing import Any

from lanewater.kernel.deciding.asking import UNKNOWN, number_in, part, whole_in, word_in
from lanewater.kernel.deciding.comparing import whole_root
from lanewater.kernel.deciding.decimals import thousandths_of_float
from lanewater.kernel.deciding.strengths import LIQUIDS
from lanewater.kernel.water.additions import (
    P_CALCIUM_CHLORIDE,
    P_CALCIUM_HYPOCHLORITE,
    P_HYDROCHLORIC_ACID,
    P_SODIUM_BICARBONATE,
    P_SODIUM_BISULFATE,
    P_SODIUM_CARBONATE,
    P_SODIUM_DICHLOROISOCYANURATE,
    P_SODIUM_HYPOCHLORITE,
)
from lanewater.kernel.water.equilibrium import totals_of_reading
from lanewater.kernel.water.search import SEARCH_FOUND, SEARCH_NOT_NEEDED, amount_to_reach
from lanewater.kernel.water.slots import SOLVED
from lanewater.kernel.water.units import grams_of_product

MICROGRAMS_A_GRAM = 1000000
OUT_OF_REACH = -1
NO_SUCH_WATER = -2
LARGEST_DOSE = 40000000
MOST_MOL_THOUSANDTHS = 2
DEFAULT_CAUSTIC = 50
VOLUME_ERROR = {"meter": 50, "drawing": 100, "guess": 300}  # per mille, JUDG
STRENGTH_ERROR = 30  # per mille, JUDG
HYPOCHLORITE_LOSS = 5  # per mille a day, MEM
DAY_SECONDS = 86400


def product_index(substance: str) -> int:
    """Give the index by which kernel/water knows a substance that may be given by hand."""
    if substance == "sodium-hypochlorite":
        return P_SODIUM_HYPOCHLORITE
    if substance == "calcium-hypochlorite":
        return P_CALCIUM_HYPOCHLORITE
    if substance == "sodium-dichloroisocyanurate":
        return P_SODIUM_DICHLOROISOCYANURATE
    if substance == "hydrochloric-acid":
        return P_HYDROCHLORIC_ACID
    if substance == "sodium-bisulfate":
        return P_SODIUM_BISULFATE
    if substance == "sodium-bicarbonate":
        return P_SODIUM_BICARBONATE
    if substance == "sodium-carbonate":
        return P_SODIUM_CARBONATE
    if substance == "calcium-chloride":
        return P_CALCIUM_CHLORIDE
    raise ValueError("no amount is ever given of this substance")


def caustic_of(product: dict[str, Any]) -> int:
    """Give the excess caustic of a hypochlorite in thousandths of a mol a mol."""
    stated = number_in(product, "excess_caustic")
    if stated == UNKNOWN:
        return DEFAULT_CAUSTIC
    return stated


def water_tuple(numbers: list[int]) -> tuple[float, ...]:
    """Give a water's ten numbers as kernel/water takes a reading."""
    return (
        numbers[0] / 1000,
        numbers[1] / 1000,
        numbers[2] / 1000,
        numbers[3] / 1000,
        numbers[4] / 1000,
        numbers[5] / 1000,
        numbers[6] / 1000,
        numbers[7] / 1000,
        numbers[8] / 1000,
        numbers[9] / 1000,
    )


def dose_needed(
    k: tuple[float, ...], numbers: list[int], product: dict[str, Any], quantity: int, target: int
) -> int:
    """Search the dose of a product that brings one quantity of a water to a target.

    Parameters
    ----------
    k : tuple
        The kernel's constants.
    numbers : list of int
        The water in WATER_ORDER, in thousandths.
    product : dict
        Registered product.
    quantity : int
        One of the search's quantities.
    target : int
        In thousandths.

    Returns
    -------
    int
        Active substance, in micrograms in a cubic metre; OUT_OF_REACH or NO_SUCH_WATER.
    """
    reading = water_tuple(numbers)
    status, totals = totals_of_reading(k, reading)
    if status != SOLVED:
        return NO_SUCH_WATER
    index = product_index(product["substance"])
    found, mol_l = amount_to_reach(
        k,
        reading[1],
        totals,
        index,
        caustic_of(product) / 1000,
        quantity,
        target / 1000,
        MOST_MOL_THOUSANDTHS / 1000,
    )
    if found == SEARCH_NOT_NEEDED:
        return 0
    if found != SEARCH_FOUND:
        return OUT_OF_REACH
    dose = thousandths_of_float(grams_of_product(index, mol_l) * MICROGRAMS_A_GRAM)
    if dose > LARGEST_DOSE:
        return OUT_OF_REACH
    return dose


def unit_of(product: dict[str, Any]) -> str:
    """Give the unit in which a product is measured out."""
    if product["substance"] in LIQUIDS:
        return "mL"
    return "g"


def amount_of(dose: int, volume: int, divisor: int) -> int:
    """Give the amount of product for a dose in a volume, rounded down to a whole g or mL."""
    return dose * volume // 1000 // divisor


def dose_of(amount: int, volume: int, divisor: int) -> int:
    """Give the dose that an amount makes in a volume, rounded down."""
    return amount * divisor // volume * 1000 + amount * divisor % volume * 1000 // volume


def measurable(amount: int) -> int:
    """Round an amount down to what can be measured out: two to three figures."""
    if amount < 100:
        return amount
    if amount < 1000:
        return amount // 10 * 10
    if amount < 10000:
        return amount // 50 * 50
    if amount < 100000:
        return amount // 500 * 500
    return amount // 5000 * 5000


def measurable_above(amount: int) -> int:
    """Round an amount up to what can be measured out: the upper end of a range."""
    if amount < 100:
        return amount
    if amount < 1000:
        return (amount + 9) // 10 * 10
    if amount < 10000:
        return (amount + 49) // 50 * 50
    if amount < 100000:
        return (amount + 499) // 500 * 500
    return (amount + 4999) // 5000 * 5000


def supply_error(request: dict[str, Any], product: dict[str, Any]) -> int:
    """Give the relative error of volume and strength together, in per mille at 95 %."""
    known = word_in(part(request, "volume"), "known")
    volume: int = VOLUME_ERROR.get(known, 300)
    strength = STRENGTH_ERROR
    if product["substance"] == "sodium-hypochlorite":
        on = whole_in(part(product, "strength"), "at")
        days = max(whole_in(request, "at") - on, 0) // DAY_SECONDS
        strength = strength + min(days * HYPOCHLORITE_LOSS, 500)
    return whole_root(volume * volume + strength * strength)


def dose_error(dose: int, away: int, relative: int) -> int:
    """Give the error of a dose from that of the readings and, per mille, that of the supply."""
    supply = dose * relative // 1000
    return whole_root(away * away + supply * supply)
