"""How far test errors spread the saturation index, and which reading drives it."""

import math

from lanewater.kernel.water.calcite import saturation_of_state
from lanewater.kernel.water.constants import water_constants
from lanewater.kernel.water.equilibrium import first_state, given_totals, solve_water
from lanewater.kernel.water.slots import (
    FROM_PH,
    NO_BAND,
    R_PH,
    R_TEMPERATURE,
    SOLVED,
)
from lanewater.kernel.water.units import LN_10, NO_LOGARITHM


def index_of_reading(k: tuple[float, ...], reading: tuple[float, ...]) -> tuple[int, float]:
    """Give the saturation index of a water that was read, and nothing else.

    Parameters
    ----------
    k : tuple of float
        The flat tuple of one cyanurate set.
    reading : tuple of float
        As `totals_of_reading` takes it.

    Returns
    -------
    int
        As `figures_of_reading`.
    float
        Saturation index of calcite; NO_LOGARITHM where there is no calcium or no water.
    """
    c = water_constants(k, reading[R_TEMPERATURE])
    totals = given_totals(reading)
    status, state = solve_water(c, totals, FROM_PH, 0.0, first_state(c, totals, reading[R_PH]))
    if status != SOLVED:
        return (status, NO_LOGARITHM)
    saturation = saturation_of_state(c, state)
    if saturation > NO_LOGARITHM:
        saturation = saturation / LN_10
    return (status, saturation)


def with_reading(reading: tuple[float, ...], place: int, value: float) -> tuple[float, ...]:
    """Give the same reading with one number changed; nothing is read below zero.

    Parameters
    ----------
    reading : tuple of float
        As `totals_of_reading` takes it.
    place : int
        An R index.
    value : float
        What stands there instead, in the reading's unit; 0 where it is less.
    """
    ph, warm, alkalinity, calcium, cyanuric, boron, salt, sulfate, free, magnesium = reading
    row = [ph, warm, alkalinity, calcium, cyanuric, boron, salt, sulfate, free, magnesium]
    row[place] = max(value, 0.0)
    return (row[0], row[1], row[2], row[3], row[4], row[5], row[6], row[7], row[8], row[9])


def effect_of_error(
    k: tuple[float, ...], reading: tuple[float, ...], place: int, error: float, index: float
) -> tuple[int, float]:
    """Give the larger change of the index when one reading is off by its error, either way."""
    effect = 0.0
    for side in range(2):
        off = reading[place] + error - 2 * side * error
        status, other = index_of_reading(k, with_reading(reading, place, off))
        if status != SOLVED or other <= NO_LOGARITHM:
            return (NO_BAND, 0.0)
        effect = max(effect, abs(other - index))
    return (SOLVED, effect)


def saturation_spread(
    k: tuple[float, ...], reading: tuple[float, ...], errors: tuple[float, ...]
) -> tuple[int, float, list[float]]:
    """Give the half width that test errors leave the saturation index, and each one's share.

    Each reading is moved by its whole error, up and down, and the larger change counts, so that
    the curve near an impossible water is not smoothed away. The errors are taken as independent.
    The model's own uncertainty (about 0.05 between databases) is not in it.

    Parameters
    ----------
    k : tuple of float
        The flat tuple of one cyanurate set.
    reading : tuple of float
        As `totals_of_reading` takes it.
    errors : tuple of float
        Half width of each reading's error in the reading's order and unit, all at one level
        (95 % in Lanewater); 0 where a reading is not to count. [>= 0]

    Returns
    -------
    int
        SOLVED; as `figures_of_reading` where the water itself is not solved; NO_BAND where there
        is no calcium, or an error reaches as far as a water that cannot be: the index then has
        no end on that side.
    float
        Half width; 0 where the status is not SOLVED.
    list of float
        Each reading's share of the half width's square, in the reading's order; they add up to 1,
        or are all 0 where nothing has an error.
    """
    shares = [0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0]
    status, index = index_of_reading(k, reading)
    if status != SOLVED:
        return (status, 0.0, shares)
    if index <= NO_LOGARITHM:
        return (NO_BAND, 0.0, shares)
    whole = 0.0
    for place in range(len(errors)):
        if errors[place] > 0.0:
            status, effect = effect_of_error(k, reading, place, errors[place], index)
            if status != SOLVED:
                return (status, 0.0, [0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0])
            shares[place] = effect * effect
            whole = whole + effect * effect
    if whole > 0.0:
        for place in range(len(errors)):
            shares[place] = shares[place] / whole
    return (SOLVED, math.sqrt(whole), shares)
