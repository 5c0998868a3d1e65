"""Sea water as it was read, and what follows from it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from lanewater.chemistry.fields import number_field, object_field
from lanewater.chemistry.water import ANSWER, Finding, finding
from lanewater.chemistry.water import BOUNDS as FRESH_BOUNDS
from lanewater.kernel.water import seaslots as slot
from lanewater.kernel.water.sea import sea_density, sea_salt, sea_water
from lanewater.kernel.water.slots import SOLVED
from lanewater.kernel.water.units import CACO3, MILLI
from lanewater.terms.errors import InputError

SALINITY = "salinity_g_kg"
# What a sea water's answer has beside the keys of every water.
MORE = ("ph_total_scale", "co2_mmol_l", "co2_pressure_uatm", "sea_salt_calcium_hardness_mg_l")

SLOTS: dict[str, int] = {
    "sea-carbonic-1": slot.Z_CARBONIC_1,
    "sea-carbonic-2": slot.Z_CARBONIC_2,
    "sea-boric": slot.Z_BORIC,
    "sea-water": slot.Z_WATER,
    "sea-bisulfate": slot.Z_BISULFATE,
    "sea-hydrofluoric": slot.Z_HYDROFLUORIC,
    "sea-calcite": slot.Z_CALCITE,
    "sea-carbon-dioxide": slot.Z_CARBON_DIOXIDE,
    "sea-fugacity": slot.Z_FUGACITY,
    "sea-ph-nbs": slot.Z_PH_NBS,
    "sea-ionic": slot.Z_IONIC,
    "sea-kg-solution": slot.Z_KG_SOLUTION,
    "sea-borate": slot.Z_BORATE,
    "sea-sulfate": slot.Z_SULFATE,
    "sea-fluoride": slot.Z_FLUORIDE,
    "sea-calcium": slot.Z_CALCIUM,
    "sea-magnesium": slot.Z_MAGNESIUM,
    "sea-density": slot.Z_DENSITY,
}

# Lowest and highest of each key, required first; what else stands beside salinity is below.
BOUNDS: dict[str, tuple[float, float]] = {
    "ph": (6.0, 9.5),
    "temperature_c": (0.0, 45.0),
    "total_alkalinity_mg_l": (0.0, 1000.0),
    SALINITY: (5.0, 40.0),
}
# Read by tests of their own, and not what the figures are made of: see `findings_of`.
BESIDE = ("calcium_hardness_mg_l", "free_chlorine_mg_l")
# Salinity says them, or they are not known in sea water: only nothing can stand beside it.
NOT_BESIDE = {
    "salt_mg_l": "salinity_g_kg says it already",
    "boron_mg_l": "salinity_g_kg says it already",
    "sulfate_mg_l": "salinity_g_kg says it already",
    "magnesium_mg_l": "salinity_g_kg says it already",
    "cyanuric_acid_mg_l": "it is of no use in sea water, and its chemistry there is not known",
}
# Where the carbonic acid constants were measured.
MEASURED_SALINITY = (19.0, 43.0)
MEASURED_C = (2.0, 35.0)
ATM_IN_UATM = 1e6


@dataclass(frozen=True, slots=True)
class SeaWater:
    """One sea water's readings; what else was read beside them is told of, and not used."""

    ph: float
    temperature_c: float
    total_alkalinity_mg_l: float
    salinity_g_kg: float
    calcium_hardness_mg_l: float | None = None


def sea_from(given: Any) -> SeaWater:
    """Read a sea water from named numbers.

    Parameters
    ----------
    given : object
        pH as an instrument set with ordinary (NBS) buffers reads it, temperature, total
        alkalinity and salinity; see `BOUNDS`.

    Raises
    ------
    InputError
        Naming the field that is missing, unknown, out of its range, or cannot stand beside
        salinity.
    """
    table = object_field(given, "", (*BOUNDS, *BESIDE, *NOT_BESIDE))
    for name, why in NOT_BESIDE.items():
        if number_field(table.get(name, 0), name, 0, math.inf) > 0:
            raise InputError(name, f"leave it out beside {SALINITY}: {why}")
    for name in BOUNDS:
        if name not in table:
            raise InputError(name, "is missing")
    numbers = {name: number_field(table[name], name, *BOUNDS[name]) for name in BOUNDS}
    beside = {
        name: number_field(table[name], name, *FRESH_BOUNDS[name])
        for name in BESIDE
        if name in table
    }
    return SeaWater(**numbers, calcium_hardness_mg_l=beside.get(BESIDE[0]))


def describe_sea(s: tuple[float, ...], sea: SeaWater) -> dict[str, Any]:
    """Give what `calc water` answers of sea water.

    Parameters
    ----------
    s : tuple of float
        Sea water's flat tuple.
    sea : SeaWater
        As read.

    Returns
    -------
    dict
        The keys of every water, null where they are of chlorine, cyanurate, a table for fresh
        water or not computed here; and pH on the total scale, carbon dioxide, the salt's calcium.
    """
    density = sea_density(s, sea.temperature_c, sea.salinity_g_kg)
    # Read a litre, computed a kilogram.
    alkalinity = sea.total_alkalinity_mg_l * 2 / (CACO3 * MILLI) / density
    reading = (sea.ph, sea.temperature_c, alkalinity, sea.salinity_g_kg)
    status, figures = sea_water(s, reading)
    answer: dict[str, Any] = dict.fromkeys((*ANSWER, *MORE))
    if status == SOLVED:
        answer |= figures_by_name(figures)
    calcium = sea_salt(s, sea.salinity_g_kg)[slot.SS_CALCIUM] * density * CACO3 * MILLI
    magnesium = sea_salt(s, sea.salinity_g_kg)[slot.SS_MAGNESIUM] * density * CACO3 * MILLI
    return {
        **answer,
        "assumed_zero": [],
        "findings": findings_of(status, sea, calcium, magnesium),
    }


def figures_by_name(figures: tuple[float, ...]) -> dict[str, float]:
    """Name the figures of a sea water, a litre."""
    litre = figures[slot.SF_DENSITY]
    as_caco3 = litre * CACO3 * MILLI / 2
    return {
        "carbonate_alkalinity_mg_l": figures[slot.SF_CARBONATE_ALKALINITY] * as_caco3,
        "borate_alkalinity_mg_l": figures[slot.SF_BORATE_ALKALINITY] * as_caco3,
        "water_alkalinity_mg_l": figures[slot.SF_WATER_ALKALINITY] * as_caco3,
        "dic_mmol_l": figures[slot.SF_CARBON] * litre * MILLI,
        "saturation_index": figures[slot.SF_SATURATION_INDEX],
        "ionic_strength_mol_l": figures[slot.SF_IONIC] * litre,
        "ph_total_scale": figures[slot.SF_PH_TOTAL],
        "co2_mmol_l": figures[slot.SF_CARBON_DIOXIDE] * litre * MILLI,
        "co2_pressure_uatm": figures[slot.SF_PRESSURE] * ATM_IN_UATM,
        "sea_salt_calcium_hardness_mg_l": figures[slot.SF_CALCIUM] * 2 * as_caco3,
    }


def findings_of(status: int, sea: SeaWater, calcium: float, magnesium: float) -> list[Finding]:
    """Say what sea water is, what was not used, and where the constants end."""
    found = [
        finding(
            "sea-water-is-bromine-water",
            "salinity",
            "The bromide of sea salt turns chlorine into bromine: there is no HOCl here, and"
            " cyanuric acid protects nothing.",
            "Treat the pool as a bromine pool; no amount is computed for it.",
        )
    ]
    if status != SOLVED:
        found.append(
            finding(
                "readings-cannot-all-be-right",
                "total_alkalinity",
                "At this pH the borate of sea salt alone holds more alkalinity than was read.",
                "Test pH, total alkalinity and salinity again.",
            )
        )
    if sea.calcium_hardness_mg_l is not None:
        found.append(
            finding(
                "calcium-by-salinity",
                "calcium_hardness",
                f"Sea salt of this salinity holds {calcium:.0f} mg/L of calcium hardness, which is"
                f" used; a test of total hardness reads magnesium too, {calcium + magnesium:.0f} in"
                f" all. {sea.calcium_hardness_mg_l:.0f} was read.",
                "Where calcium was added or lost, take the saturation index as rough.",
            )
        )
    if not within(sea.salinity_g_kg, MEASURED_SALINITY) or not within(
        sea.temperature_c, MEASURED_C
    ):
        found.append(
            finding(
                "sea-water-extrapolated",
                "salinity",
                "The constants of carbonic acid were measured from 19 to 43 g/kg and 2 to 35 C.",
                "Take the figures as rough.",
            )
        )
    return found


def within(value: float, bounds: tuple[float, float]) -> bool:
    """Tell whether a value is from one bound to the other."""
    return bounds[0] <= value <= bounds[1]
