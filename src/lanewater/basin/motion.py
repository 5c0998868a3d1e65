"""Pool water between two rounds: bathers, sun, air, feed, fresh water, pools on one filter.

A small believable model, enough for the demo's history. Its rates are set by hand and none is
learned from readings; looking ahead on a real pool is not built on it yet.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from lanewater.kernel.water.additions import (
    P_HYDROCHLORIC_ACID,
    P_SODIUM_HYPOCHLORITE,
    add_product,
    use_up_chlorine,
)
from lanewater.kernel.water.equilibrium import ph_of_totals, totals_of_reading
from lanewater.kernel.water.slots import SOLVED, T_CARBON, T_HYPOCHLORITE

Totals = tuple[float, ...]

CHLORINE_G_MOL = 70.906
# Field-fitted demand of a bather, between 4.12 g (Berg, Fang and Tang 2019, J Water Health 17:227)
# and 5.5 g (Bradford 2014, IJARE).
CHLORINE_G_BATHER = 4.8
# Rates of this demo, set by hand (JUDG): no source gives them for one pool.
BASE_LOSS_PER_HOUR = 0.008
SUN_LOSS_PER_HOUR = 0.055
COMBINED_G_BATHER = 0.09
COMBINED_LOSS_PER_HOUR = 0.011
GAS_VELOCITY_M_HOUR = 0.03
AIR_CO2_MOL_L = {"indoor": 3.1e-5, "outdoor": 1.3e-5}
PK1_NEAR_28_C = 6.28
CAUSTIC_MOL_MOL = 0.05


@dataclass(frozen=True, slots=True)
class Basin:
    """What of a pool its water feels.

    Attributes
    ----------
    volume_m3 : float
        Volume of the pool itself. [m3]
    depth_m : float
        Mean depth. [m]
    location : str
        "indoor" or "outdoor".
    """

    volume_m3: float
    depth_m: float
    location: str


@dataclass(frozen=True, slots=True)
class Water:
    """The water at one moment.

    Attributes
    ----------
    totals : tuple of float
        Conserved totals in the kernel's order. [mol/L]
    combined_mg_l : float
        Combined chlorine. [mg/L]
    temperature_c : float
        Temperature. [C]
    """

    totals: Totals
    combined_mg_l: float
    temperature_c: float

    @property
    def free_chlorine_mg_l(self) -> float:
        """Give free chlorine as Cl2. [mg/L]"""
        return self.totals[T_HYPOCHLORITE] * CHLORINE_G_MOL * 1000.0


@dataclass(frozen=True, slots=True)
class Hour:
    """What happens to a pool in one step.

    Attributes
    ----------
    hours : float
        Length of the step. [h]
    bathers : float
        Bathers who come in during the step.
    sun : float
        Sun on the water, 0 to 1.
    chlorine_g : float
        Hypochlorite fed, as available chlorine. [g]
    acid_mol : float
        Hydrochloric acid fed. [mol]
    fresh_m3 : float
        Fresh water in, the same amount going to waste. [m3]
    temperature_c : float
        Temperature at the end of the step. [C]
    """

    hours: float
    bathers: float = 0.0
    sun: float = 0.0
    chlorine_g: float = 0.0
    acid_mol: float = 0.0
    fresh_m3: float = 0.0
    temperature_c: float = 28.0


def water_of_reading(k: Totals, reading: Totals, combined_mg_l: float) -> Water:
    """Give the water that a reading describes.

    Parameters
    ----------
    k : tuple of float
        The kernel's constants.
    reading : tuple of float
        Ten numbers in the kernel's order (pH, temperature, alkalinity, ...).
    combined_mg_l : float
        Combined chlorine. [mg/L]

    Raises
    ------
    ValueError
        Where no water can have these readings.
    """
    status, totals = totals_of_reading(k, reading)
    if status != SOLVED:
        raise ValueError("these readings cannot all be right")
    return Water(totals, combined_mg_l, reading[1])


def ph_of(k: Totals, water: Water) -> float:
    """Give the pH of a water."""
    status, ph = ph_of_totals(k, water.temperature_c, water.totals)
    if status != SOLVED:
        raise ValueError("the water has no pH in range")
    return ph


def advance(basin: Basin, water: Water, hour: Hour, fill: Water, ph: float) -> Water:
    """Step a pool's water forward.

    Parameters
    ----------
    basin : Basin
        The pool.
    water, fill : Water
        The pool's water and the fresh water that comes in.
    hour : Hour
        What happens in the step; steps of an hour or less keep the sinks believable.
    ph : float
        The water's pH at the start of the step, by the engine (see ph_of).

    Returns
    -------
    Water
        The water at the end of the step.
    """
    litres = basin.volume_m3 * 1000.0
    totals = add_product(
        water.totals,
        P_SODIUM_HYPOCHLORITE,
        hour.chlorine_g / CHLORINE_G_MOL / litres,
        CAUSTIC_MOL_MOL,
    )
    totals = add_product(totals, P_HYDROCHLORIC_ACID, hour.acid_mol / litres, 0.0)
    totals = use_up_chlorine(totals, chlorine_used_mol_l(totals, hour, litres))
    totals = lose_carbon_dioxide(totals, basin, hour, ph)
    share = min(hour.fresh_m3 / basin.volume_m3, 1.0)
    combined = water.combined_mg_l * (1.0 - COMBINED_LOSS_PER_HOUR * hour.hours)
    combined += hour.bathers * COMBINED_G_BATHER / basin.volume_m3
    return Water(
        blended(totals, fill.totals, share),
        combined * (1.0 - share),
        hour.temperature_c,
    )


def chlorine_used_mol_l(totals: Totals, hour: Hour, litres: float) -> float:
    """Give the chlorine that bathers, the water itself and the sun use up in a step. [mol/L]"""
    standing = totals[T_HYPOCHLORITE]
    rate = BASE_LOSS_PER_HOUR + SUN_LOSS_PER_HOUR * hour.sun
    by_bathers = hour.bathers * CHLORINE_G_BATHER / CHLORINE_G_MOL / litres
    return min(standing * rate * hour.hours + by_bathers, 0.95 * standing)


def lose_carbon_dioxide(totals: Totals, basin: Basin, hour: Hour, ph: float) -> Totals:
    """Let dissolved CO2 leave towards what the air holds; alkalinity stays."""
    dissolved = totals[T_CARBON] / (1.0 + 10.0 ** (ph - PK1_NEAR_28_C))
    excess = dissolved - AIR_CO2_MOL_L[basin.location]
    lost = excess * min(GAS_VELOCITY_M_HOUR / basin.depth_m * hour.hours, 1.0)
    return (*totals[:T_CARBON], totals[T_CARBON] - lost, *totals[T_CARBON + 1 :])


def blended(one: Totals, other: Totals, share: float) -> Totals:
    """Mix a share of another water in; what is conserved mixes in proportion."""
    return tuple(a * (1.0 - share) + b * share for a, b in zip(one, other, strict=True))


def mixed(waters: Sequence[Water], volumes_m3: Sequence[float], share: float) -> tuple[Water, ...]:
    """Let pools on one filter exchange water through it.

    Parameters
    ----------
    waters : sequence of Water
        The pools' waters.
    volumes_m3 : sequence of float
        Their volumes. [m3]
    share : float
        Part of each pool's water that passes the filter in the step, 0 to 1.

    Returns
    -------
    tuple of Water
        The waters after it; each conserved total, summed over the pools, is unchanged.
    """
    whole = sum(volumes_m3)
    weights = [volume / whole for volume in volumes_m3]
    middle = tuple(
        sum(weight * water.totals[index] for weight, water in zip(weights, waters, strict=True))
        for index in range(len(waters[0].totals))
    )
    combined = sum(
        weight * water.combined_mg_l for weight, water in zip(weights, waters, strict=True)
    )
    return tuple(
        replace(
            water,
            totals=blended(water.totals, middle, share),
            combined_mg_l=water.combined_mg_l * (1.0 - share) + combined * share,
        )
        for water in waters
    )
