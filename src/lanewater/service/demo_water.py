"""The demo's pools as water: feeders at a set point, people, sun, and a tester's noise."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from random import Random

from lanewater.basin.motion import (
    Basin,
    Hour,
    Totals,
    Water,
    advance,
    mixed,
    ph_of,
    water_of_reading,
)
from lanewater.kernel.water.additions import (
    P_HYDROCHLORIC_ACID,
    P_SODIUM_BICARBONATE,
    P_SODIUM_HYPOCHLORITE,
    add_product,
)
from lanewater.kernel.water.slots import T_ALKALINITY

STEP_HOURS = 1.0
MG_CACO3_PER_EQ = 50043.5
PRODUCT_INDEX = {
    "sodium-hypochlorite": P_SODIUM_HYPOCHLORITE,
    "hydrochloric-acid": P_HYDROCHLORIC_ACID,
    "sodium-bicarbonate": P_SODIUM_BICARBONATE,
}


@dataclass(frozen=True, slots=True)
class Plant:
    """How a pool of the demo is run.

    Attributes
    ----------
    basin : Basin
        The pool.
    set_point_mg_l, set_point_ph : float
        What its controller holds.
    most_chlorine_g_h : float
        What its feeder can do. [g/h]
    bathers_a_day : float
        On an ordinary weekday.
    opens, closes : float
        Local hours.
    """

    basin: Basin
    set_point_mg_l: float
    set_point_ph: float
    most_chlorine_g_h: float
    bathers_a_day: float
    opens: float
    closes: float


PLANTS: dict[str, Plant] = {
    "main": Plant(Basin(425.0, 1.5, "indoor"), 2.1, 7.42, 420.0, 260.0, 6.5, 21.5),
    "teaching": Plant(Basin(63.0, 0.9, "indoor"), 2.2, 7.42, 160.0, 76.0, 6.5, 21.5),
    "garden": Plant(Basin(310.0, 1.4, "outdoor"), 3.3, 7.45, 190.0, 160.0, 10.0, 19.0),
}
SAME_FILTER = ("main", "teaching")
FILTER_SHARE_A_STEP = 0.28
START = {
    "main": (7.42, 28.2, 98.0, 230.0, 0.0, 0.0, 350.0, 0.0, 1.9, 0.0),
    "teaching": (7.42, 30.4, 98.0, 230.0, 0.0, 0.0, 350.0, 0.0, 2.0, 0.0),
    "garden": (7.45, 27.1, 96.0, 240.0, 34.0, 0.0, 350.0, 0.0, 3.1, 0.0),
}
FILL = (7.7, 14.0, 95.0, 210.0, 0.0, 0.0, 40.0, 0.0, 0.1, 0.0)


def start_waters(k: Totals) -> dict[str, Water]:
    """Give the water of each pool on the first morning."""
    return {pool: water_of_reading(k, reading, 0.18) for pool, reading in START.items()}


def fill_water(k: Totals) -> Water:
    """Give the fresh water that comes in."""
    return water_of_reading(k, FILL, 0.0)


def sun_at(hour: float, cloud: float) -> float:
    """Give the sun on the water by local hour, 0 to 1."""
    if not 8.0 < hour < 18.0:
        return 0.0
    return math.sin(math.pi * (hour - 8.0) / 10.0) * cloud


def bathers_in_step(plant: Plant, hour: float, crowd: float, rng: Random) -> float:
    """Give how many people come in during a step, busier towards the late afternoon."""
    if not plant.opens <= hour < plant.closes:
        return 0.0
    steps = (plant.closes - plant.opens) / STEP_HOURS
    share = (hour - plant.opens) / (plant.closes - plant.opens)
    busy = 0.7 + 0.6 * math.sin(math.pi * share)
    return max(0.0, plant.bathers_a_day * crowd * busy / steps * rng.uniform(0.7, 1.3))


def step(
    k: Totals,
    waters: dict[str, Water],
    day: dict[str, float],
    hour: float,
    faults: frozenset[str],
    rng: Random,
) -> dict[str, Water]:
    """Move every pool forward by one step.

    Parameters
    ----------
    k : tuple of float
        The kernel's constants.
    waters : dict
        Water by pool.
    day : dict
        "crowd" and "cloud" of the day, and "fresh" water a bather. [m3]
    hour : float
        Local hour at the start of the step.
    faults : frozenset of str
        "POOL:chlorine" or "POOL:acid" for a feeder that stands still.
    rng : Random
        Seeded.

    Returns
    -------
    dict
        The waters after the step.
    """
    fill = fill_water(k)
    after = {}
    for pool, plant in PLANTS.items():
        water = waters[pool]
        bathers = bathers_in_step(plant, hour, day["crowd"], rng)
        ph = ph_of(k, water)
        after[pool] = advance(
            plant.basin,
            water,
            Hour(
                hours=STEP_HOURS,
                bathers=bathers,
                sun=sun_at(hour, day["cloud"]) if plant.basin.location == "outdoor" else 0.0,
                chlorine_g=0.0 if f"{pool}:chlorine" in faults else chlorine_fed_g(plant, water),
                acid_mol=0.0 if f"{pool}:acid" in faults else acid_fed_mol(plant, ph),
                fresh_m3=bathers * day["fresh"],
                temperature_c=water.temperature_c
                + 0.02 * (START[pool][1] - water.temperature_c)
                + rng.gauss(0.0, 0.03),
            ),
            fill,
            ph,
        )
    volumes = [PLANTS[pool].basin.volume_m3 for pool in SAME_FILTER]
    shared = mixed([after[pool] for pool in SAME_FILTER], volumes, FILTER_SHARE_A_STEP)
    return {**after, **dict(zip(SAME_FILTER, shared, strict=True))}


def chlorine_fed_g(plant: Plant, water: Water) -> float:
    """Give what a proportional feeder adds in a step. [g]"""
    short = plant.set_point_mg_l + 0.12 - water.free_chlorine_mg_l
    wanted = max(short, 0.0) * plant.basin.volume_m3 * 0.55
    return min(wanted, plant.most_chlorine_g_h * STEP_HOURS)


def acid_fed_mol(plant: Plant, ph: float) -> float:
    """Give what a proportional acid feeder adds in a step. [mol]"""
    over = ph - plant.set_point_ph
    return min(max(over, 0.0) * plant.basin.volume_m3 * 0.5, plant.basin.volume_m3 * 0.06)


def with_addition(water: Water, volume_m3: float, substance: str, mol: float) -> Water:
    """Give the water after something was added by hand and has mixed."""
    totals = add_product(water.totals, PRODUCT_INDEX[substance], mol / (volume_m3 * 1000.0), 0.05)
    return replace(water, totals=totals)


def alkalinity_mg_l(water: Water) -> float:
    """Give total alkalinity as CaCO3. [mg/L]"""
    return water.totals[T_ALKALINITY] * MG_CACO3_PER_EQ


def read_water(k: Totals, water: Water, rng: Random) -> dict[str, str]:
    """Read a sample the way a careful tester with a photometer does.

    Returns
    -------
    dict
        Texts as the display shows them: free, total, pH, temperature.
    """
    free = max(0.0, water.free_chlorine_mg_l * rng.gauss(1.0, 0.012) + rng.gauss(0.0, 0.012))
    gap = max(0.0, water.combined_mg_l * rng.gauss(1.0, 0.06) + rng.gauss(0.0, 0.012))
    return {
        "free_chlorine": f"{free:.2f}",
        "total_chlorine": f"{free + gap:.2f}",
        "ph": f"{ph_of(k, water) + rng.gauss(0.0, 0.015):.2f}",
        "temperature_c": f"{water.temperature_c + rng.gauss(0.0, 0.05):.1f}",
    }
