"""Chlorine, ammonia and urea in water: the unified set of reactions, their rates and slopes.

The fourteen reactions of the drinking-water chloramine model (Jafvert and Valentine 1992,
Vikesland et al. 2001), with the chlorine that cyanurate holds as a reservoir that follows at once:
only what is not bound reacts. Beside them urea, and trichloramine that leaves for the air.
`v` is what `rates_at` gives for one water; pH, temperature and carbonate stay as they are.
"""

import math

from lanewater.kernel.water.chloramineslots import (
    Q_AMMONIUM,
    Q_CARBONIC_1,
    Q_CARBONIC_2,
    Q_DI_AND_TRI,
    Q_DI_DECAYS,
    Q_DI_FORMS,
    Q_DI_PARTS,
    Q_DI_TO_MONO,
    Q_HYPOCHLOROUS,
    Q_MIDDLE_AND_DI,
    Q_MIDDLE_AND_MONO,
    Q_MONO_AND_DI,
    Q_MONO_AND_TRI,
    Q_MONO_FORMS,
    Q_MONO_PARTS,
    Q_MONO_TO_DI_BICARBONATE,
    Q_MONO_TO_DI_CARBONIC,
    Q_MONO_TO_DI_PROTON,
    Q_NITRATE_FORMS,
    Q_TRI_FORMS_CARBONATE,
    Q_TRI_FORMS_HYDROXIDE,
    Q_TRI_FORMS_HYPOCHLORITE,
    Q_UREA,
    Q_UREA_CHLORINE,
    Q_WATER,
)
from lanewater.kernel.water.unbound import unbound_chlorine
from lanewater.kernel.water.units import ICE_POINT, LN_10


def rate_constant(q: tuple[float, ...], slot: int, kelvin: float) -> float:
    """Give A exp(-B/T) of a reaction whose rate goes with temperature."""
    return q[slot] * math.exp(-q[slot + 1] / kelvin)


def acid_constant(q: tuple[float, ...], slot: int, kelvin: float) -> float:
    """Give an acid's constant as the rates were fitted with it: pK = A T^2 + B T + C."""
    return math.exp(-LN_10 * ((q[slot] * kelvin + q[slot + 1]) * kelvin + q[slot + 2]))


def carbonates(
    q: tuple[float, ...], kelvin: float, proton: float, alkalinity: float
) -> tuple[float, float, float]:
    """Give carbonic acid, bicarbonate and carbonate, by the rates' own constants.

    Parameters
    ----------
    q : tuple of float
        The flat tuple of `chloramine.toml`.
    kelvin : float
        Temperature. [K]
    proton : float
        10 to the power of minus pH. [mol/L]
    alkalinity : float
        What carbonate and water hold together. [eq/L]
    """
    once = acid_constant(q, Q_CARBONIC_1, kelvin) / proton
    twice = once * acid_constant(q, Q_CARBONIC_2, kelvin) / proton
    charge = alkalinity + proton - acid_constant(q, Q_WATER, kelvin) / proton
    acid = max(charge, 0.0) / (once + 2 * twice)
    return (acid, once * acid, twice * acid)


def rates_at(
    q: tuple[float, ...],
    temperature_c: float,
    ph: float,
    alkalinity: float,
    to_air: float,
    ring: tuple[float, float, float, float],
) -> tuple[float, ...]:
    """Give the rates of one water, for chlorine that is not bound and for ammonia as a whole.

    Parameters
    ----------
    q : tuple of float
        The flat tuple of `chloramine.toml`.
    temperature_c, ph : float
        Fitted for 4 to 30 deg C and pH 6.5 to 9.5.
    alkalinity : float
        Of carbonate and water alone. [eq/L]
    to_air : float
        Trichloramine that leaves, as a rate. [1/s]
    ring : tuple of float
        As `ring_of_water` gives it; four zeros where there is no cyanurate.

    Returns
    -------
    tuple of float
        Seventeen rates, the chlorine that urea takes, and the ring's four numbers.
    """
    kelvin = temperature_c + ICE_POINT
    proton = math.exp(-LN_10 * ph)
    hydroxide = acid_constant(q, Q_WATER, kelvin) / proton
    acid, bicarbonate, carbonate = carbonates(q, kelvin, proton, alkalinity)
    hypochlorous = proton / (proton + acid_constant(q, Q_HYPOCHLOROUS, kelvin))
    ammonium = acid_constant(q, Q_AMMONIUM, kelvin)
    ammonia = ammonium / (proton + ammonium)
    base = q[Q_TRI_FORMS_HYDROXIDE] * hydroxide + q[Q_TRI_FORMS_CARBONATE] * carbonate
    return (
        rate_constant(q, Q_MONO_FORMS, kelvin) * hypochlorous * ammonia,
        rate_constant(q, Q_MONO_PARTS, kelvin),
        rate_constant(q, Q_DI_FORMS, kelvin) * hypochlorous,
        q[Q_DI_PARTS],
        rate_constant(q, Q_MONO_TO_DI_PROTON, kelvin) * proton
        + rate_constant(q, Q_MONO_TO_DI_BICARBONATE, kelvin) * bicarbonate
        + rate_constant(q, Q_MONO_TO_DI_CARBONIC, kelvin) * acid,
        q[Q_DI_TO_MONO] * ammonia * proton,
        q[Q_DI_DECAYS] * hydroxide,
        q[Q_MIDDLE_AND_DI],
        q[Q_MIDDLE_AND_MONO],
        q[Q_MONO_AND_DI],
        base * hypochlorous,
        q[Q_TRI_FORMS_HYPOCHLORITE] * (1 - hypochlorous) * hypochlorous,
        q[Q_DI_AND_TRI] * hydroxide,
        q[Q_MONO_AND_TRI] * hydroxide,
        q[Q_NITRATE_FORMS] * (1 - hypochlorous),
        q[Q_UREA],
        to_air,
        q[Q_UREA_CHLORINE],
        ring[0],
        ring[1],
        ring[2],
        ring[3],
    )


def change_of(v: tuple[float, ...], y: list[float]) -> list[float]:
    """Give how fast everything changes.

    Parameters
    ----------
    v : tuple of float
        As `rates_at` gives it.
    y : list of float
        What is in the water, and what has gone. [mol/L]

    Returns
    -------
    list of float
        The same ten, a second. [mol/(L s)]
    """
    # Seventeen rates, what urea takes, and the ring.
    (
        k1, k2, k3, k4, k5, k6, k7, k8, k9, k10, base, hypo, k12, k13, k14, k15, k16, take,
        _rings, _one, _two, _three,
    ) = v  # fmt: skip
    free, _slope = unbound_chlorine(v, y[0])
    mono = y[2]
    di = y[3]
    tri = y[4]
    r1 = k1 * free * y[1] - k2 * mono
    r3 = k3 * free * mono - k4 * di
    r5 = k5 * mono * mono - k6 * di * y[1]
    r7 = k7 * di
    r8 = k8 * y[5] * di
    r9 = k9 * y[5] * mono
    r10 = k10 * mono * di
    r11 = (base + hypo * free) * free * di
    r12 = k12 * di * tri
    r13 = k13 * mono * tri
    r14 = k14 * free * di
    r15 = k15 * free * y[6]
    r16 = k16 * tri
    return [
        r8 + 2 * r12 + r13 - r1 - r3 - r11 - 2 * r14 - take * r15,
        r5 - r1,
        r1 - r3 - 2 * r5 - r9 - r10 - r13,
        r3 + r5 - r7 - r8 - r10 - r11 - r12 - r14,
        r11 - r12 - r13 - r16,
        r7 - r8 - r9,
        -r15,
        2 * (r8 + r9 + r10 + r12 + r13 + r15) + r14,
        2 * r7 + r8 + r9 + 3 * (r10 + r12 + r13) + 4 * r14 + take * r15,
        r16,
    ]


def slopes_of(v: tuple[float, ...], y: list[float]) -> list[float]:
    """Give the slopes of `change_of` against what reacts, row after row.

    Returns
    -------
    list of float
        Ten rows of seven: how fast each changes, against each of the seven that react. [1/s]
    """
    # Seventeen rates, what urea takes, and the ring.
    (
        k1, k2, k3, k4, k5, k6, k7, k8, k9, k10, base, hypo, k12, k13, k14, k15, k16, take,
        _rings, _one, _two, _three,
    ) = v  # fmt: skip
    free, slope = unbound_chlorine(v, y[0])
    ammonia, mono, di, tri, middle = y[1], y[2], y[3], y[4], y[5]
    f1, n1 = k1 * slope * ammonia, k1 * free
    f3, m3 = k3 * slope * mono, k3 * free
    n5, m5, d5 = k6 * di, 2 * k5 * mono, k6 * ammonia
    d8, i8 = k8 * middle, k8 * di
    m9, i9 = k9 * middle, k9 * mono
    m10, d10 = k10 * di, k10 * mono
    f11, d11 = (base + 2 * hypo * free) * slope * di, (base + hypo * free) * free
    d12, t12 = k12 * tri, k12 * di
    m13, t13 = k13 * tri, k13 * mono
    f14, d14 = k14 * slope * di, k14 * free
    f15, u15 = k15 * slope * y[6], k15 * free
    return [
        -f1 - f3 - f11 - 2 * f14 - take * f15, -n1, k2 - m3 + m13,
        k4 + d8 - d11 + 2 * d12 - 2 * d14, 2 * t12 + t13, i8, -take * u15,
        -f1, -n1 - n5, k2 + m5, -d5, 0.0, 0.0, 0.0,
        f1 - f3, n1 + 2 * n5, -k2 - m3 - 2 * m5 - m9 - m10 - m13, k4 + 2 * d5 - d10,
        -t13, -i9, 0.0,
        f3 - f11 - f14, -n5, m3 + m5 - m10, -k4 - d5 - k7 - d8 - d10 - d11 - d12 - d14,
        -t12, -i8, 0.0,
        f11, 0.0, -m13, d11 - d12, -t12 - t13 - k16, 0.0, 0.0,
        0.0, 0.0, -m9, k7 - d8, 0.0, -i8 - i9, 0.0,
        -f15, 0.0, 0.0, 0.0, 0.0, 0.0, -u15,
        f14 + 2 * f15, 0.0, 2 * (m9 + m10 + m13), 2 * (d8 + d10 + d12) + d14,
        2 * (t12 + t13), 2 * (i8 + i9), 2 * u15,
        4 * f14 + take * f15, 0.0, m9 + 3 * (m10 + m13), 2 * k7 + d8 + 3 * (d10 + d12) + 4 * d14,
        3 * (t12 + t13), i8 + i9, take * u15,
        0.0, 0.0, 0.0, 0.0, k16, 0.0, 0.0,
    ]  # fmt: skip
