"""Hypochlorite solution that loses strength in its tank, by a reaction of the second order.

d[OCl]/dt = -r [OCl]^2. The rate r of a tank is best found from two measurements of its own; the
published one is for solutions without metals that hasten it, and no strength to dose by.
"""

import math

from lanewater.kernel.water.plantslots import (
    PLANT_AGEING_EYRING,
    PLANT_AGEING_IONIC,
    PLANT_AGEING_LOSS,
)
from lanewater.kernel.water.units import CHLORINE, ICE_POINT, LN_10


def hypochlorite_mol_l(strength_g_l: float) -> float:
    """Give hypochlorite in mol/L from available chlorine in g/L."""
    return strength_g_l / CHLORINE


def hypochlorite_ionic_strength(hypochlorite: float, caustic: float) -> float:
    """Give the ionic strength of a hypochlorite that holds one NaCl a NaOCl, as made.

    Parameters
    ----------
    hypochlorite : float
        When it was made. [mol/L]
    caustic : float
        [mol NaOH/mol NaOCl]

    Returns
    -------
    float
        [mol/L] It stays as the solution ages: chloride and chlorate take the place of hypochlorite.
    """
    return hypochlorite * (2 + caustic)


def published_rates(
    p: tuple[float, ...], temperature_c: float, ionic: float
) -> tuple[float, float]:
    """Give the published rates at which hypochlorite is lost (Adam and Gordon 1999).

    log10 k2 = 0.149 I + log10(2.083e10 T exp(-101800/RT) exp(-56.5/R)). What k2 counts was not
    seen: the hypochlorite that is lost, or the slow step that three are lost by.

    Parameters
    ----------
    p : tuple of float
        The flat tuple of the plant's table.
    temperature_c : float
        15 to 55 as published. [deg C]
    ionic : float
        Ionic strength, 1 to 6 as published. [mol/L]

    Returns
    -------
    float, float
        Least and most. [L/(mol s)]
    """
    kelvin = temperature_c + ICE_POINT
    gas = p[PLANT_AGEING_EYRING + 3]
    heat = math.exp(-p[PLANT_AGEING_EYRING + 1] / (gas * kelvin))
    order = math.exp(-p[PLANT_AGEING_EYRING + 2] / gas)
    salt = math.exp(p[PLANT_AGEING_IONIC] * ionic * LN_10)
    rate = p[PLANT_AGEING_EYRING] * kelvin * heat * order * salt
    return (rate * p[PLANT_AGEING_LOSS], rate * p[PLANT_AGEING_LOSS + 1])


def rate_between(first_g_l: float, second_g_l: float, seconds: float) -> float:
    """Give the rate at which a tank lost strength between two measurements.

    Parameters
    ----------
    first_g_l, second_g_l : float
        Available chlorine, above 0. [g/L]
    seconds : float
        Between them, above 0. [s]

    Returns
    -------
    float
        Negative where the second is the stronger. [L/(mol s)]
    """
    return (CHLORINE / second_g_l - CHLORINE / first_g_l) / seconds


def strength_after(strength_g_l: float, rate: float, seconds: float) -> float:
    """Give a strength after some time.

    Parameters
    ----------
    strength_g_l : float
        Available chlorine. [g/L]
    rate : float
        At least 0. [L/(mol s)]
    seconds : float
        At least 0. [s]

    Returns
    -------
    float
        [g/L]
    """
    return strength_g_l / (1 + rate * hypochlorite_mol_l(strength_g_l) * seconds)


def seconds_to_half(strength_g_l: float, rate: float) -> float:
    """Give the time in which a strength halves; the next halving takes twice as long.

    Parameters
    ----------
    strength_g_l : float
        Available chlorine. [g/L]
    rate : float
        Above 0. [L/(mol s)]

    Returns
    -------
    float
        [s]
    """
    return 1 / (rate * hypochlorite_mol_l(strength_g_l))
