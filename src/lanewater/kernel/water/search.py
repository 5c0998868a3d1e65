"""How much of one product brings one quantity to a target, on the real equilibrium."""

from lanewater.kernel.water.additions import add_product
from lanewater.kernel.water.constants import water_constants
from lanewater.kernel.water.equilibrium import solve_totals
from lanewater.kernel.water.slots import (
    S_LN_PROTON,
    SOLVED,
    T_ALKALINITY,
    T_CALCIUM,
    T_CYANURATE,
    T_HYPOCHLORITE,
)
from lanewater.kernel.water.units import (
    CACO3,
    CHLORINE,
    CYANURIC_ACID,
    LN_10,
    MILLI,
    SEARCH_TOLERANCE,
)

Q_PH = 0
Q_FREE_CHLORINE = 1
Q_ALKALINITY = 2
Q_CALCIUM = 3
Q_CYANURIC_ACID = 4

SEARCH_FOUND = 0
SEARCH_NOT_NEEDED = 1
SEARCH_OUT_OF_REACH = 2
SEARCH_NO_WATER = 3

MOST_TURNS = 120


def quantity_of(
    c: tuple[tuple[float, ...], ...], totals: tuple[float, ...], quantity: int
) -> tuple[int, float]:
    """Give pH, or chlorine, alkalinity, calcium or cyanuric acid in mg/L, of conserved totals."""
    if quantity == Q_FREE_CHLORINE:
        return (SOLVED, totals[T_HYPOCHLORITE] * CHLORINE * MILLI)
    if quantity == Q_ALKALINITY:
        return (SOLVED, totals[T_ALKALINITY] * CACO3 * MILLI / 2)
    if quantity == Q_CALCIUM:
        return (SOLVED, totals[T_CALCIUM] * CACO3 * MILLI)
    if quantity == Q_CYANURIC_ACID:
        return (SOLVED, totals[T_CYANURATE] * CYANURIC_ACID * MILLI)
    status, state = solve_totals(c, totals)
    return (status, -state[S_LN_PROTON] / LN_10)


def amount_to_reach(
    k: tuple[float, ...],
    temperature_c: float,
    totals: tuple[float, ...],
    product: int,
    caustic: float,
    quantity: int,
    target: float,
    most_mol_l: float,
) -> tuple[int, float]:
    """Search the amount of one product that brings one quantity to a target.

    Which way the product moves the quantity is seen at the largest amount. Between that and
    nothing the target is closed in upon by false position, each third turn by halving; an end
    that stands twice counts half, so that it does not stand for long.

    Parameters
    ----------
    k : tuple of float
        The flat tuple of one cyanurate set.
    temperature_c : float
        [deg C]
    totals : tuple of float
        The water before. [mol/L]
    product : int
        A product's index.
    caustic : float
        As `add_product` takes it.
    quantity : int
        One of the Q indices.
    target : float
        pH, or mg/L in the quantity's own base.
    most_mol_l : float
        Where the search ends. [mol/L]

    Returns
    -------
    int
        SEARCH_FOUND; SEARCH_NOT_NEEDED where the water is at the target, or past it as this
        product goes; SEARCH_OUT_OF_REACH; SEARCH_NO_WATER where a water cannot be solved.
    float
        Amount. [mol/L] The largest where out of reach, 0 where none is needed.
    """
    c = water_constants(k, temperature_c)
    status, before = quantity_of(c, totals, quantity)
    if status != SOLVED:
        return (SEARCH_NO_WATER, 0.0)
    status, end = quantity_of(c, add_product(totals, product, most_mol_l, caustic), quantity)
    if status != SOLVED:
        return (SEARCH_NO_WATER, 0.0)
    way = end - before
    if (target - before) * way <= 0.0:
        return (SEARCH_NOT_NEEDED, 0.0)
    if (target - end) * way > 0.0:
        return (SEARCH_OUT_OF_REACH, most_mol_l)
    low = 0.0
    low_miss = before - target
    high = most_mol_l
    high_miss = end - target
    stood = 0
    for turn in range(MOST_TURNS):
        amount = (low * high_miss - high * low_miss) / (high_miss - low_miss)
        if turn % 3 == 2:
            amount = (low + high) / 2
        status, value = quantity_of(c, add_product(totals, product, amount, caustic), quantity)
        if status != SOLVED:
            return (SEARCH_NO_WATER, 0.0)
        miss = value - target
        if abs(miss) < SEARCH_TOLERANCE or high - low < SEARCH_TOLERANCE * high:
            return (SEARCH_FOUND, amount)
        if miss * low_miss > 0.0:
            low = amount
            low_miss = miss
            if stood == 1:
                high_miss = high_miss / 2
            stood = 1
        else:
            high = amount
            high_miss = miss
            if stood == 2:
                low_miss = low_miss / 2
            stood = 2
    return (SEARCH_NO_WATER, 0.0)
