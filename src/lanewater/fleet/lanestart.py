"""Where lanes start: nearer than the kernel where the pH is not known, and with less work.

A start decides how many steps a water takes and not where it ends.
"""

import math

from lanewater.kernel.water.activity import molality_per_activity
from lanewater.kernel.water.families import first_chlorine
from lanewater.kernel.water.slots import (
    C_ACIDS,
    C_ACTIVITY,
    C_CARBONATE,
    C_CYANURIC,
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
from lanewater.kernel.water.units import LN_10, START_PH, TRACE

# Further out a guess of the proton's activity is not taken: pH 9.5 and 5.
LEAST_PROTON = 3.2e-10
MOST_PROTON = 1e-5
LEAST_RATIO = 0.02


def lane_start(
    c: tuple[tuple[float, ...], ...], totals: tuple[float, ...], ph: float
) -> tuple[float, ...]:
    """Give a state to start from: all metals and sulfate free, no carbonate yet.

    Parameters
    ----------
    c : tuple
        Constants at the water's temperature.
    totals : tuple of float
        [mol/L]
    ph : float
        Where it is known; below 0 it is guessed.
    """
    singles = abs(totals[T_ALKALINITY]) + totals[T_CHLORIDE] + totals[T_SODIUM]
    doubles = totals[T_CALCIUM] + totals[T_MAGNESIUM] + totals[T_SULFATE]
    ionic = singles / 2 + 2 * doubles + TRACE
    per = molality_per_activity(c, ionic)
    ln_proton = -ph * LN_10
    proton = 0.0
    if ph < 0.0:
        proton = guessed_proton(c, per, totals)
        ln_proton = math.log(proton)
    else:
        proton = math.exp(ln_proton)
    ln_chlorine = math.log(
        first_chlorine(c, per, proton, totals[T_CYANURATE], totals[T_HYPOCHLORITE] + LEAST_PROTON)
    )
    single = 1 / per[1]
    double = 1 / per[2]
    return (
        ln_proton,
        ln_chlorine,
        ionic,
        1 - c[C_ACTIVITY][4] * (singles + doubles + totals[T_CYANURATE] + totals[T_BORATE]),
        totals[T_CALCIUM] * double,
        totals[T_MAGNESIUM] * double,
        totals[T_SODIUM] * single,
        totals[T_SULFATE] * double,
        0.0,
        1.0,
    )


def guessed_proton(
    c: tuple[tuple[float, ...], ...],
    per: tuple[float, float, float, float],
    totals: tuple[float, ...],
) -> float:
    """Guess the activity of H+: carbonate as it is alone, the other acids as at pH 7.5.

    Parameters
    ----------
    c : tuple
        Constants at the water's temperature.
    per : tuple of float
        Molality per activity, by charge.
    totals : tuple of float
        [mol/L]
    """
    neutral, single, double, _triple = per
    base = single * math.exp(START_PH * LN_10)
    borate = c[C_ACIDS][2] * base
    ring = c[C_CYANURIC][0] * base
    others = (
        totals[T_BORATE] * borate / (borate + neutral)
        + totals[T_CYANURATE] * ring / (ring + neutral)
        + totals[T_HYPOCHLORITE] / 2
    )
    second = double / (single * c[C_CARBONATE][0])
    first = c[C_CARBONATE][0] * single / (c[C_CARBONATE][1] * neutral)
    ratio = max((totals[T_ALKALINITY] - others) / max(totals[T_CARBON], TRACE), LEAST_RATIO)
    # ratio h^2 + 2 half h = above
    half = first * (ratio - 1) / 2
    above = first * second * (2 - ratio)
    root = math.sqrt(max(half * half + ratio * above, 0.0))
    proton = (root - half) / ratio
    if half > 0.0:
        proton = above / (half + root)
    return min(max(proton, LEAST_PROTON), MOST_PROTON)
