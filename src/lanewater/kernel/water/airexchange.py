"""Carbon dioxide between water and air: alkalinity stays, pH drifts to what the air leads to.

d(carbon)/dt = -(k / h) ([CO2] - [CO2] at the air's pressure), with k the rate of exchange and h the
water's depth, volume over surface. Time counts only as k t / h, the `way`: how deep a layer of
water has been exchanged, in depths. No rate is promised for a pool: bathers, gutters, slides and
balance tanks multiply that of open water, so it is given, or found from the pool's own nights.
"""

import math

from lanewater.kernel.water.activity import molality_per_activity
from lanewater.kernel.water.additions import mixed_totals
from lanewater.kernel.water.constants import water_constants
from lanewater.kernel.water.equilibrium import solve_totals, solve_water, with_carbon
from lanewater.kernel.water.plantslots import (
    PLANT_OPEN_WATER,
    PLANT_SCHMIDT,
    PLANT_SCHMIDT_REFERENCE,
)
from lanewater.kernel.water.slots import (
    C_CARBONATE,
    C_SOLID,
    FROM_CARBON,
    NOT_CONVERGED,
    S_CARBONATE,
    S_IONIC,
    S_LN_PROTON,
    S_WATER,
    SOLVED,
    T_CARBON,
)
from lanewater.kernel.water.units import LN_10, SOLID_TOLERANCE

# Two readings that air alone does not lead from the one to the other.
NO_WAY = 4
# A step goes so far that what drives the exchange changes by a quarter; the next is at most twice
# as long.
STEP_PARTS = 4
MOST_AIR_STEPS = 2000
PANELS = 32


def excess_dioxide(
    c: tuple[tuple[float, ...], ...], pressure: float, state: tuple[float, ...]
) -> float:
    """Give dissolved CO2 above what the air would hold in a solved water; negative below it.

    Parameters
    ----------
    c, state : tuple
        Constants and the solved state.
    pressure : float
        Partial pressure of CO2 in the air. [atm]

    Returns
    -------
    float
        [mol/L]
    """
    proton = math.exp(state[S_LN_PROTON])
    dioxide = state[S_CARBONATE] * c[C_CARBONATE][1] * proton * proton / state[S_WATER]
    return (dioxide - c[C_SOLID][1] * pressure) * molality_per_activity(c, state[S_IONIC])[0]


def moved_carbon(
    c: tuple[tuple[float, ...], ...],
    totals: tuple[float, ...],
    carbon: float,
    pressure: float,
    state: tuple[float, ...],
) -> tuple[int, float, tuple[float, ...]]:
    """Solve a water with another amount of carbon and give its excess of CO2, and its state."""
    if carbon <= 0.0:
        return (NOT_CONVERGED, 0.0, state)
    here = with_carbon(totals, carbon)
    status, end = solve_water(c, here, FROM_CARBON, 0.0, state)
    if status != SOLVED:
        status, end = solve_totals(c, here)
    return (status, excess_dioxide(c, pressure, end), end)


def aired(
    c: tuple[tuple[float, ...], ...],
    totals: tuple[float, ...],
    pressure: float,
    way: float,
    state: tuple[float, ...],
) -> tuple[int, tuple[float, ...], tuple[float, ...]]:
    """Let a water stand in air, in steps of the fourth order (Runge and Kutta).

    Parameters
    ----------
    c, totals, state : tuple
        Constants, conserved totals, and the water solved from them.
    pressure : float
        Partial pressure of CO2 in the air. [atm]
    way : float
        Rate of exchange times time over depth, at least 0. [1]

    Returns
    -------
    int
        SOLVED or NOT_CONVERGED.
    tuple of float
        Totals after; only the carbon has moved. [mol/L]
    tuple of float
        State after.
    """
    carbon = totals[T_CARBON]
    left = way
    step = min(1 / STEP_PARTS, way)
    for _ in range(MOST_AIR_STEPS):
        here = excess_dioxide(c, pressure, state)
        if left <= 0.0 or abs(here) < SOLID_TOLERANCE * carbon:
            return (SOLVED, with_carbon(totals, carbon), state)
        step = min(step, left)
        status, half, state = moved_carbon(c, totals, carbon - step * here / 2, pressure, state)
        if status != SOLVED:
            return (status, totals, state)
        status, again, state = moved_carbon(c, totals, carbon - step * half / 2, pressure, state)
        if status != SOLVED:
            return (status, totals, state)
        status, full, state = moved_carbon(c, totals, carbon - step * again, pressure, state)
        if status != SOLVED:
            return (status, totals, state)
        carbon = carbon - step * (here + 2 * half + 2 * again + full) / 6
        status, _end, state = moved_carbon(c, totals, carbon, pressure, state)
        if status != SOLVED:
            return (status, totals, state)
        left = left - step
        bend = max(abs(here - half), abs(again - full))
        if bend * 4 * STEP_PARTS > abs(here):
            step = abs(here) * step / (2 * STEP_PARTS * bend)
        else:
            step = 2 * step
    return (NOT_CONVERGED, totals, state)


def course_in_air(
    k: tuple[float, ...],
    temperature_c: float,
    totals: tuple[float, ...],
    pressure: float,
    ways: list[float],
) -> tuple[int, list[float]]:
    """Give the pH of a water that stands in air, after each of several ways.

    Parameters
    ----------
    k : tuple of float
        The flat tuple of one cyanurate set.
    temperature_c : float
        Constant, 0 to 50. [deg C]
    totals : tuple of float
        At the start. [mol/L]
    pressure : float
        Partial pressure of CO2 in the air: 420e-6 outdoors, about 1000e-6 in a hall. [atm]
    ways : list of float
        Rate times time over depth, rising from 0 on. [1]

    Returns
    -------
    int
        SOLVED or NOT_CONVERGED.
    list of float
        pH after each way; shorter where a water could not be solved.
    """
    course: list[float] = []
    c = water_constants(k, temperature_c)
    status, state = solve_totals(c, totals)
    if status != SOLVED:
        return (status, course)
    gone = 0.0
    for way in ways:
        status, totals, state = aired(c, totals, pressure, max(way - gone, 0.0), state)
        if status != SOLVED:
            return (status, course)
        gone = max(way, gone)
        course.append(-state[S_LN_PROTON] / LN_10)
    return (SOLVED, course)


def way_between(
    k: tuple[float, ...],
    temperature_c: float,
    before: tuple[float, ...],
    after: tuple[float, ...],
    pressure: float,
) -> tuple[int, float]:
    """Give the way that leads in air from one water to another: its rate is way times h over t.

    The way is the integral of d(carbon) over the excess of CO2 (Simpson's rule), along a straight
    line between the two; alkalinity lost with used chlorine is taken as lost evenly.

    Parameters
    ----------
    k : tuple of float
        The flat tuple of one cyanurate set.
    temperature_c : float
        [deg C]
    before, after : tuple of float
        Totals of the two. [mol/L]
    pressure : float
        Partial pressure of CO2 in the air. [atm]

    Returns
    -------
    int
        SOLVED; NO_WAY where the air's own pH lies between the two, or at one of them; or
        NOT_CONVERGED.
    float
        Negative where the air would have moved the water the other way.
    """
    c = water_constants(k, temperature_c)
    status, state = solve_totals(c, before)
    if status != SOLVED:
        return (status, 0.0)
    start = excess_dioxide(c, pressure, state)
    total = 0.0
    for panel in range(PANELS + 1):
        here = mixed_totals(before, after, panel / PANELS)
        status, excess, state = moved_carbon(c, here, here[T_CARBON], pressure, state)
        if status != SOLVED:
            return (status, 0.0)
        if excess * start <= 0.0:
            return (NO_WAY, 0.0)
        weight = 2 + 2 * (panel % 2)
        if panel == 0 or panel == PANELS:
            weight = 1
        total = total + weight / excess
    return (SOLVED, (before[T_CARBON] - after[T_CARBON]) * total / (3 * PANELS))


def open_water_rate(p: tuple[float, ...], temperature_c: float, wind_m_s: float) -> float:
    """Give the rate of CO2 exchange of open water, to compare with and never to promise.

    Parameters
    ----------
    p : tuple of float
        The flat tuple of the plant's table.
    temperature_c : float
        4 to 35. [deg C]
    wind_m_s : float
        Ten metres above the water, at least 0. [m/s]

    Returns
    -------
    float
        [cm/h]
    """
    t = temperature_c
    schmidt = (
        p[PLANT_SCHMIDT]
        + p[PLANT_SCHMIDT + 1] * t
        + p[PLANT_SCHMIDT + 2] * t * t
        + p[PLANT_SCHMIDT + 3] * t * t * t
    )
    wind = 0.0
    if wind_m_s > 0.0:
        wind = p[PLANT_OPEN_WATER + 1] * math.exp(p[PLANT_OPEN_WATER + 2] * math.log(wind_m_s))
    return (p[PLANT_OPEN_WATER] + wind) * math.sqrt(p[PLANT_SCHMIDT_REFERENCE] / schmidt)
