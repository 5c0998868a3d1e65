"""Saturation with calcite, precipitation potential, buffering, and the pH that air leads to."""

import math

from lanewater.kernel.water.activity import molality_per_activity
from lanewater.kernel.water.equilibrium import first_state, next_state, solve_water
from lanewater.kernel.water.families import acid_sums, carbonate_weights
from lanewater.kernel.water.slots import (
    C_SOLID,
    FROM_AIR,
    FROM_CARBON,
    NOT_CONVERGED,
    S_CALCIUM,
    S_CARBONATE,
    S_IONIC,
    S_LN_PROTON,
    S_MOVED,
    T_ALKALINITY,
    T_BORATE,
    T_CALCIUM,
    T_CARBON,
    T_CHLORIDE,
    T_CYANURATE,
    T_HYPOCHLORITE,
    T_MAGNESIUM,
    T_SODIUM,
    T_SULFATE,
)
from lanewater.kernel.water.units import LN_10, NO_LOGARITHM, SOLID_TOLERANCE, TOLERANCE, TRACE

MOST_SEARCH_STEPS = 100
# Between two steps the water is solved this many times closer than the last step went.
CLOSER = 10
# Open water at a higher pH would hold carbonate without end; the search comes from below.
HIGHEST_START = 8


def saturation_of_state(c: tuple[tuple[float, ...], ...], state: tuple[float, ...]) -> float:
    """Give ln(a(Ca) a(CO3) / Ksp); NO_LOGARITHM where one of them is nothing.

    Parameters
    ----------
    c, state : tuple
        Constants at the water's temperature, and the solved water.
    """
    product = state[S_CALCIUM] * state[S_CARBONATE]
    if product > 0.0:
        return math.log(product / c[C_SOLID][0])
    return NO_LOGARITHM


def leverage_of_state(
    c: tuple[tuple[float, ...], ...], totals: tuple[float, ...], state: tuple[float, ...]
) -> tuple[float, float]:
    """Give how firmly the water holds its pH, and its carbon's mean alkalinity number.

    Returns
    -------
    float
        Minus d(alkalinity)/d ln a(H+) at constant carbon and chlorine, ion pairs and ionic
        strength held (within 0.1 % of stepping them too). [eq/L]
    float
        Equivalents of alkalinity a mol of carbon, 0 to 2.
    """
    per = molality_per_activity(c, state[S_IONIC])
    proton = math.exp(state[S_LN_PROTON])
    sums = acid_sums(c, per, totals, state, proton)
    carbons, ones, squares, _charges = carbonate_weights(c, per, state, proton)
    mean = ones / carbons
    spread = sums[1] + state[S_CARBONATE] * (squares - ones * mean)
    if sums[4] > 0.0:
        spread = spread - sums[2] * sums[2] / sums[4]
    return (spread, mean)


def less_calcite(totals: tuple[float, ...], mol_l: float) -> tuple[float, ...]:
    """Take calcium carbonate out of a water, or put it in where the amount is negative."""
    return (
        totals[T_ALKALINITY] - 2 * mol_l,
        totals[T_CARBON] - mol_l,
        totals[T_CALCIUM] - mol_l,
        totals[T_MAGNESIUM],
        totals[T_CYANURATE],
        totals[T_BORATE],
        totals[T_HYPOCHLORITE],
        totals[T_SODIUM],
        totals[T_CHLORIDE],
        totals[T_SULFATE],
    )


def precipitation(
    c: tuple[tuple[float, ...], ...], totals: tuple[float, ...], state: tuple[float, ...]
) -> tuple[int, float, tuple[float, ...]]:
    """Search the calcium carbonate whose removal brings the saturation index to zero.

    Temperature constant, closed to air. The slope of Newton's method follows from the state:
    removing x takes x from calcium and carbon and 2 x from alkalinity.

    Parameters
    ----------
    c, totals, state : tuple
        Constants, conserved totals, and the water solved from them.

    Returns
    -------
    int
        SOLVED or NOT_CONVERGED.
    float
        Calcium carbonate that can come out; negative where it would dissolve. [mol/L]
    tuple of float
        State at saturation.
    """
    taken = 0.0
    if totals[T_CALCIUM] <= 0.0 or totals[T_CARBON] <= 0.0:
        taken = -TRACE
    near = 1.0
    for _ in range(MOST_SEARCH_STEPS):
        here = less_calcite(totals, taken)
        state = followed(c, here, near / CLOSER, state)
        spread, mean = leverage_of_state(c, here, state)
        room = min(here[T_CALCIUM], here[T_CARBON])
        slope = 1 / here[T_CALCIUM] + 1 / here[T_CARBON] + (2 - mean) * (2 - mean) / spread
        step = min(saturation_of_state(c, state) / slope, room / 2)
        taken = taken + step
        near = min(abs(step) / room, 1.0)
        if near < SOLID_TOLERANCE:
            status, state = solve_water(c, less_calcite(totals, taken), FROM_CARBON, 0.0, state)
            return (status, taken, state)
    return (NOT_CONVERGED, 0.0, state)


def followed(
    c: tuple[tuple[float, ...], ...],
    totals: tuple[float, ...],
    near: float,
    state: tuple[float, ...],
) -> tuple[float, ...]:
    """Let a water follow its totals, twice at least, until its step is below `near`."""
    state = next_state(c, totals, FROM_CARBON, 0.0, state)
    for _ in range(MOST_SEARCH_STEPS):
        state = next_state(c, totals, FROM_CARBON, 0.0, state)
        if state[S_MOVED] < near or state[S_MOVED] < TOLERANCE:
            return state
    return state


def ceiling_ph(
    c: tuple[tuple[float, ...], ...],
    totals: tuple[float, ...],
    pressure: float,
    state: tuple[float, ...],
) -> tuple[int, float]:
    """Give the pH that the water drifts to in air, alkalinity unchanged.

    Parameters
    ----------
    c, totals, state : tuple
        Constants, conserved totals (carbon is not read), and a state close by to start from.
    pressure : float
        Partial pressure of CO2 in the air: 420e-6 outdoors, about 1000e-6 in a pool hall. [atm]

    Returns
    -------
    int
        SOLVED or NOT_CONVERGED.
    float
        pH.
    """
    start = state
    if state[S_LN_PROTON] < -HIGHEST_START * LN_10:
        start = first_state(c, totals, HIGHEST_START)
    status, end = solve_water(c, totals, FROM_AIR, c[C_SOLID][1] * pressure, start)
    return (status, -end[S_LN_PROTON] / LN_10)
