"""The waters of a plan: what a number of units makes of one, and how far it is from its bands."""

import math

from lanewater.kernel.water.additions import add_product
from lanewater.kernel.water.calcite import saturation_of_state
from lanewater.kernel.water.equilibrium import solve_water
from lanewater.kernel.water.planningslots import (
    B_HIGH,
    B_LIMIT_HIGH,
    B_LIMIT_LOW,
    B_LOW,
    B_QUANTITY,
    B_STEP,
    BAND_WIDTH,
    BINDS_LIMIT,
    BINDS_NOTHING,
    BINDS_STEP,
    P_FRESH_WATER,
    Q_SATURATION,
    R_CAUSTIC,
    R_COST,
    R_EFFORT,
    R_PRODUCT,
    R_UNIT,
    ROW_WIDTH,
)
from lanewater.kernel.water.search import Q_PH, quantity_of
from lanewater.kernel.water.slots import (
    FROM_CARBON,
    INCONSISTENT,
    S_LN_PROTON,
    T_ALKALINITY,
    T_CARBON,
)
from lanewater.kernel.water.units import LN_10, PLAN_EDGE

# Farther than any water is from its bands.
NO_WATER_MISS = 1000000.0


def is_fresh_water(rows: list[float], row: int) -> bool:
    """Tell whether a row is fresh water."""
    return rows[row * ROW_WIDTH + R_PRODUCT] == P_FRESH_WATER


def with_units(
    totals: tuple[float, ...], rows: list[float], row: int, units: float
) -> tuple[float, ...]:
    """Give the totals after some units of one product, put in at once. [mol/L]"""
    place = row * ROW_WIDTH
    product = math.floor(rows[place + R_PRODUCT])
    return add_product(totals, product, rows[place + R_UNIT] * units, rows[place + R_CAUSTIC])


def cost_of(rows: list[float], counts: list[float]) -> float:
    """Give what counts of units cost, the effort of each row in use included."""
    cost = 0.0
    for row in range(len(counts)):
        if counts[row] > 0.0:
            place = row * ROW_WIDTH
            cost = cost + rows[place + R_EFFORT] + rows[place + R_COST] * counts[row]
    return cost


def solved_from(
    c: tuple[tuple[float, ...], ...], totals: tuple[float, ...], state: tuple[float, ...]
) -> tuple[int, tuple[float, ...]]:
    """Solve totals from the state of a water close by; none without alkalinity is looked for."""
    if totals[T_CARBON] < 0.0 or totals[T_ALKALINITY] <= 0.0:
        return (INCONSISTENT, state)
    return solve_water(c, totals, FROM_CARBON, 0.0, state)


def band_value(
    c: tuple[tuple[float, ...], ...],
    totals: tuple[float, ...],
    state: tuple[float, ...],
    quantity: float,
) -> float:
    """Give one quantity of a solved water: pH, saturation index, or mg/L in its own base."""
    if quantity == Q_PH:
        return -state[S_LN_PROTON] / LN_10
    if quantity == Q_SATURATION:
        return saturation_of_state(c, state) / LN_10
    return plain_value(c, totals, quantity)


def plain_value(
    c: tuple[tuple[float, ...], ...], totals: tuple[float, ...], quantity: float
) -> float:
    """Give a quantity that is a plain sum, in mg/L."""
    return quantity_of(c, totals, math.floor(quantity))[1]


def is_plain(bands: list[float], band: int) -> bool:
    """Tell whether a band's quantity needs no equilibrium."""
    quantity = bands[band * BAND_WIDTH + B_QUANTITY]
    return quantity != Q_PH and quantity != Q_SATURATION


def scale_of(bands: list[float], band: int) -> float:
    """Give what a band's miss is counted in: its step, its width or its bound, the least."""
    place = band * BAND_WIDTH
    scale = min(bands[place + B_STEP], bands[place + B_HIGH] - bands[place + B_LOW])
    bound = max(abs(bands[place + B_LOW]), abs(bands[place + B_HIGH]))
    least = min(abs(bands[place + B_LOW]), abs(bands[place + B_HIGH]))
    if least > 0.0:
        bound = least
    if scale > 0.0 and bound > 0.0:
        return min(scale, bound)
    return max(scale, bound, PLAN_EDGE)


def signed_miss(bands: list[float], band: int, value: float) -> float:
    """Give how far a value lies under (below 0) or over its band; 0 within or at its edge."""
    place = band * BAND_WIDTH
    edge = PLAN_EDGE * scale_of(bands, band)
    if value < bands[place + B_LOW] - edge:
        return value - bands[place + B_LOW]
    if value > bands[place + B_HIGH] + edge:
        return value - bands[place + B_HIGH]
    return 0.0


def plain_miss(
    c: tuple[tuple[float, ...], ...], totals: tuple[float, ...], bands: list[float]
) -> float:
    """Give the miss of the bands that need no equilibrium, in scales."""
    miss = 0.0
    for band in range(len(bands) // BAND_WIDTH):
        if is_plain(bands, band):
            value = plain_value(c, totals, bands[band * BAND_WIDTH + B_QUANTITY])
            miss = miss + abs(signed_miss(bands, band, value)) / scale_of(bands, band)
    return miss


def solved_miss(
    c: tuple[tuple[float, ...], ...],
    totals: tuple[float, ...],
    state: tuple[float, ...],
    bands: list[float],
) -> float:
    """Give the miss of the bands that need the equilibrium, in scales."""
    miss = 0.0
    for band in range(len(bands) // BAND_WIDTH):
        if not is_plain(bands, band):
            value = band_value(c, totals, state, bands[band * BAND_WIDTH + B_QUANTITY])
            miss = miss + abs(signed_miss(bands, band, value)) / scale_of(bands, band)
    return miss


def first_missed(
    c: tuple[tuple[float, ...], ...],
    totals: tuple[float, ...],
    state: tuple[float, ...],
    bands: list[float],
) -> int:
    """Give the first band that a solved water is not in; BINDS_NOTHING where it is in all."""
    for band in range(len(bands) // BAND_WIDTH):
        value = band_value(c, totals, state, bands[band * BAND_WIDTH + B_QUANTITY])
        if signed_miss(bands, band, value) != 0.0:
            return band
    return BINDS_NOTHING


def step_fault(
    c: tuple[tuple[float, ...], ...],
    before: tuple[float, ...],
    state_before: tuple[float, ...],
    after: tuple[float, ...],
    state_after: tuple[float, ...],
    bands: list[float],
    fresh: bool,
) -> int:
    """Name the first rule that a step from one solved water to another breaks.

    Parameters
    ----------
    c
        The same as in `plan_search` and what it makes of them.
    before, state_before, after, state_after : tuple of float
        The two waters, solved.
    bands : list of float
        With their step caps and limits. What was outside a limit before is not held by it.
    fresh : bool
        Whether the step is of fresh water: of the caps, only that of pH holds it.

    Returns
    -------
    int
        BINDS_NOTHING, or BINDS_STEP or BINDS_LIMIT with the band's place added.
    """
    for band in range(len(bands) // BAND_WIDTH):
        place = band * BAND_WIDTH
        was = band_value(c, before, state_before, bands[place + B_QUANTITY])
        now = band_value(c, after, state_after, bands[place + B_QUANTITY])
        edge = PLAN_EDGE * scale_of(bands, band)
        held = not fresh or bands[place + B_QUANTITY] == Q_PH
        if held and abs(now - was) > bands[place + B_STEP] - edge:
            return BINDS_STEP + band
        low = bands[place + B_LIMIT_LOW]
        high = bands[place + B_LIMIT_HIGH]
        if was >= low and now < low + edge and now < was:
            return BINDS_LIMIT + band
        if was <= high and now > high - edge and now > was:
            return BINDS_LIMIT + band
    return BINDS_NOTHING
