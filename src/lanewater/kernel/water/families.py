"""The families of species, each weighed under one common activity.

`per` is molality per activity by charge (neutral, single, double, triple), `proton` the activity
of H+. Every family gives what the solver's two balances and the ionic strength need of it.
"""

import math

from lanewater.kernel.water.slots import (
    C_ACIDS,
    C_CARBONATE,
    C_CHLORINATED,
    C_CYANURIC,
    C_PAIRS,
    S_CALCIUM,
    S_LN_CHLORINE,
    S_MAGNESIUM,
    S_SODIUM,
    S_SULFATE,
    S_WATER,
    T_BORATE,
    T_CALCIUM,
    T_CYANURATE,
    T_HYPOCHLORITE,
    T_MAGNESIUM,
    T_SODIUM,
    T_SULFATE,
)


def cyanurate_means(
    c: tuple[tuple[float, ...], ...],
    per: tuple[float, float, float, float],
    proton: float,
    chlorine: float,
) -> tuple[float, float, float, float, float]:
    """Average over the ten cyanurates: charges n (negative), chlorines m, and their products.

    Parameters
    ----------
    c : tuple
        Constants at the water's temperature.
    per : tuple of float
        Molality per activity, by charge.
    proton : float
        Activity of H+.
    chlorine : float
        Activity of HOCl over that of water.

    Returns
    -------
    tuple of float
        Means of n, m, n*n, n*m and m*m.
    """
    neutral, single, double, triple = per
    acid_1, acid_2, acid_3 = c[C_CYANURIC]
    mono, mono_acid, mono_base, di, di_acid, tri = c[C_CHLORINATED]
    single = single / proton
    double = double / (proton * proton)
    twice = chlorine * chlorine
    m0 = mono_acid * neutral * chlorine
    m1 = mono * single * chlorine
    m2 = mono_base * double * chlorine
    d0 = di_acid * neutral * twice
    d1 = di * single * twice
    t0 = tri * neutral * twice * chlorine
    h3 = acid_3 * triple / (proton * proton * proton)
    ones = acid_1 * single + m1 + d1
    twos = acid_2 * double + m2
    monos = m0 + m1 + m2
    dis = d0 + d1
    share = 1 / (neutral + ones + twos + h3 + m0 + d0 + t0)
    return (
        (ones + 2 * twos + 3 * h3) * share,
        (monos + 2 * dis + 3 * t0) * share,
        (ones + 4 * twos + 9 * h3) * share,
        (m1 + 2 * (m2 + d1)) * share,
        (monos + 4 * dis + 9 * t0) * share,
    )


def acid_sums(
    c: tuple[tuple[float, ...], ...],
    per: tuple[float, float, float, float],
    totals: tuple[float, ...],
    state: tuple[float, ...],
    proton: float,
) -> tuple[float, float, float, float, float, float, float]:
    """Sum what is not carbonate: water, bisulfate, borate, hypochlorite and cyanurates.

    Returns
    -------
    tuple of float
        Alkalinity; minus its slope against ln a(H+); its slope against ln a(HOCl); chlorine;
        its slope against ln a(HOCl); sum of charge squared times molality; molecules.
    """
    neutral, single, _double, _triple = per
    self_ionised, hypochlorous, boric, bisulfate = c[C_ACIDS]
    rings = totals[T_CYANURATE]
    borate = totals[T_BORATE]
    hydrogen = proton * single
    base = single / proton
    hydroxide = self_ionised * state[S_WATER] * base
    acid = bisulfate * hydrogen * state[S_SULFATE]
    alkalinity = hydroxide - hydrogen - acid
    spread = hydroxide + hydrogen + acid
    charges = spread
    molecules = hydroxide + hydrogen + borate + rings
    cross = 0.0
    chlorine = 0.0
    slope = 0.0
    free = 0.0
    if borate > 0.0:
        share = boric * base
        share = share / (share + neutral)
        alkalinity = alkalinity + borate * share
        spread = spread + borate * share * (1 - share)
        charges = charges + borate * share
    if totals[T_HYPOCHLORITE] > 0.0:
        free = math.exp(state[S_LN_CHLORINE])
        cross = free * hypochlorous * base
        chlorine = free * neutral + cross
        slope = chlorine
        alkalinity = alkalinity + cross
        spread = spread + cross
        charges = charges + cross
        molecules = molecules + chlorine
    if rings > 0.0:
        n, m, nn, nm, mm = cyanurate_means(c, per, proton, free / state[S_WATER])
        alkalinity = alkalinity + rings * n
        spread = spread + rings * (nn - n * n)
        cross = cross + rings * (nm - n * m)
        chlorine = chlorine + rings * m
        slope = slope + rings * (mm - m * m)
        charges = charges + rings * nn
    return (alkalinity, spread, cross, chlorine, slope, charges, molecules)


def carbonate_weights(
    c: tuple[tuple[float, ...], ...],
    per: tuple[float, float, float, float],
    state: tuple[float, ...],
    proton: float,
) -> tuple[float, float, float, float]:
    """Weigh the carbonates, their ion pairs included, for one unit of carbonate's activity.

    Returns
    -------
    tuple of float
        Carbon; alkalinity; square of the alkalinity number; square of the charge.
    """
    neutral, single, double, _triple = per
    once, twice = c[C_CARBONATE]
    ca_1, ca_2, na_1, na_2, _ca_s, _na_s, mg_1, mg_2, _mg_s = c[C_PAIRS]
    hydrogen = proton * single
    calcium = state[S_CALCIUM]
    magnesium = state[S_MAGNESIUM]
    sodium = state[S_SODIUM]
    charged = (once + ca_1 * calcium + mg_1 * magnesium) * hydrogen
    sodium_carbonate = na_2 * sodium * single
    ones = charged + na_1 * sodium * proton * neutral
    twos = double + sodium_carbonate + (ca_2 * calcium + mg_2 * magnesium) * neutral
    return (
        ones + twos + twice * proton * proton * neutral / state[S_WATER],
        ones + 2 * twos,
        ones + 4 * twos,
        charged + sodium_carbonate + 4 * double,
    )


def free_metals(
    c: tuple[tuple[float, ...], ...],
    per: tuple[float, float, float, float],
    totals: tuple[float, ...],
    proton: float,
    carbonate: float,
    sulfate: float,
) -> tuple[float, float, float, float, float, float]:
    """Share the metals and sulfate between themselves and their ion pairs.

    Returns
    -------
    tuple of float
        Activities of Ca, Mg, Na and SO4; sum of their charge squared times molality, and their
        molecules: sulfate's pairs included, carbonate's left out.
    """
    neutral, single, double, _triple = per
    ca_1, ca_2, na_1, na_2, ca_s, na_s, mg_1, mg_2, mg_s = c[C_PAIRS]
    bicarbonate = proton * carbonate
    once = bicarbonate * single
    ca = totals[T_CALCIUM] / (double + ca_1 * once + (ca_2 * carbonate + ca_s * sulfate) * neutral)
    mg = 0.0
    if totals[T_MAGNESIUM] > 0.0:
        mg = totals[T_MAGNESIUM] / (
            double + mg_1 * once + (mg_2 * carbonate + mg_s * sulfate) * neutral
        )
    na = totals[T_SODIUM] / (
        (1 + na_2 * carbonate + na_s * sulfate) * single + na_1 * bicarbonate * neutral
    )
    free = (ca + mg) * double
    charges = 4 * free + na * single
    molecules = free + na * single + totals[T_SULFATE]
    so4 = 0.0
    if totals[T_SULFATE] > 0.0:
        sodium_sulfate = na_s * na * single
        so4 = totals[T_SULFATE] / (
            double
            + sodium_sulfate
            + c[C_ACIDS][3] * proton * single
            + (ca_s * ca + mg_s * mg) * neutral
        )
        charges = charges + so4 * (4 * double + sodium_sulfate)
    return (ca, mg, na, so4, charges, molecules)


def first_chlorine(
    c: tuple[tuple[float, ...], ...],
    per: tuple[float, float, float, float],
    proton: float,
    rings: float,
    chlorine: float,
) -> float:
    """Guess the activity of HOCl: chlorine loose or on cyanurate, one to a ring at most.

    Parameters
    ----------
    c : tuple
        Constants at the water's temperature.
    per : tuple of float
        Molality per activity, by charge.
    proton : float
        Activity of H+.
    rings : float
        Cyanurate. [mol/L]
    chlorine : float
        Above 0. [mol/L]
    """
    neutral, single, double, _triple = per
    acid_1, acid_2, _acid_3 = c[C_CYANURIC]
    mono, mono_acid, mono_base, _di, _di_acid, _tri = c[C_CHLORINATED]
    single = single / proton
    double = double / (proton * proton)
    loose = neutral + c[C_ACIDS][1] * single
    held = (mono_acid * neutral + mono * single + mono_base * double) / (
        neutral + acid_1 * single + acid_2 * double
    )
    # loose held x^2 + (loose + held (rings - chlorine)) x - chlorine = 0, without cancellation.
    half = (loose + held * (rings - chlorine)) / 2
    root = math.sqrt(half * half + loose * held * chlorine)
    if half > 0.0:
        return chlorine / (half + root)
    return (root - half) / (loose * held)
