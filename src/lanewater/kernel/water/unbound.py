"""Chlorine that cyanurate holds: a reservoir that follows what is not bound at once."""

import math

from lanewater.kernel.water.activity import molality_per_activity
from lanewater.kernel.water.slots import (
    C_ACIDS,
    C_CHLORINATED,
    C_CYANURIC,
    S_IONIC,
    S_LN_PROTON,
    S_WATER,
    T_CYANURATE,
)
from lanewater.kernel.water.units import TOLERANCE

# Where the ring's numbers stand among a water's rates.
V_RING = 18
MOST_RING_TURNS = 60


def ring_of_water(
    c: tuple[tuple[float, ...], ...], totals: tuple[float, ...], state: tuple[float, ...]
) -> tuple[float, float, float, float]:
    """Give what cyanurate binds at the pH and the ionic strength of a solved water.

    Parameters
    ----------
    c : tuple
        Constants at the water's temperature.
    totals, state : tuple of float
        The water's totals, and its state as solved.

    Returns
    -------
    tuple of float
        Rings [mol/L]; how often one holds one, two, three chlorines against none, for
        1 mol/L unbound, its square and its cube.
    """
    rings = totals[T_CYANURATE]
    if rings <= 0.0:
        return (0.0, 0.0, 0.0, 0.0)
    neutral, single, double, triple = molality_per_activity(c, state[S_IONIC])
    proton = math.exp(state[S_LN_PROTON])
    acid_1, acid_2, acid_3 = c[C_CYANURIC]
    mono, mono_acid, mono_base, di, di_acid, tri = c[C_CHLORINATED]
    single = single / proton
    double = double / (proton * proton)
    triple = triple / (proton * proton * proton)
    # Unbound HOCl and OCl- for one unit of HOCl's activity over that of water.
    loose = (neutral + c[C_ACIDS][1] * single) * state[S_WATER]
    none = neutral + acid_1 * single + acid_2 * double + acid_3 * triple
    return (
        rings,
        (mono_acid * neutral + mono * single + mono_base * double) / (none * loose),
        (di_acid * neutral + di * single) / (none * loose * loose),
        tri * neutral / (none * loose * loose * loose),
    )


def unbound_chlorine(v: tuple[float, ...], free: float) -> tuple[float, float]:
    """Give the chlorine that is not bound, and its slope against all free chlorine.

    Parameters
    ----------
    v : tuple of float
        A water's rates; the last four numbers are its ring's.
    free : float
        Free chlorine as it is read, bound and not. [mol/L]
    """
    rings = v[V_RING]
    if rings <= 0.0:
        return (free, 1.0)
    one = v[V_RING + 1]
    two = v[V_RING + 2]
    three = v[V_RING + 3]
    loose = free / (1 + rings * one)
    if free <= 0.0:
        return (loose, 1 / (1 + rings * one))
    slope = 1.0
    for _ in range(MOST_RING_TURNS):
        singles = one * loose
        doubles = two * loose * loose
        triples = three * loose * loose * loose
        weight = 1 / (1 + singles + doubles + triples)
        mean = (singles + 2 * doubles + 3 * triples) * weight
        spread = (singles + 4 * doubles + 9 * triples) * weight - mean * mean
        slope = loose + rings * spread
        step = (free - loose - rings * mean) * loose / slope
        slope = loose / slope
        if step < -loose / 2:
            step = -loose / 2
        loose = loose + step
        if abs(step) <= TOLERANCE * loose:
            return (loose, slope)
    return (loose, slope)
