"""The waters and doses of `phreeqc_cases.json`, as Lanewater's own functions take them."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from lanewater.kernel.water import additions

DATA = Path(__file__).parent / "data"
CASES: dict[str, Any] = json.loads((DATA / "phreeqc_cases.json").read_text(encoding="utf-8"))
# Beyond this the reference's own activity model and ours part; the issue allows 0.05 in the index.
SALTY = 0.12
KEYS = {
    "pH": "ph",
    "T": "temperature_c",
    "TA": "total_alkalinity_mg_l",
    "CH": "calcium_hardness_mg_l",
    "CYA": "cyanuric_acid_mg_l",
    "B": "boron_mg_l",
    "NaCl": "salt_mg_l",
    "SO4": "sulfate_mg_l",
    "FC": "free_chlorine_mg_l",
}

# How each dose is made of our products: product, mol a mol of the case's reaction, excess caustic.
DOSES: dict[str, tuple[int, float, float]] = {
    "HCl": (additions.P_HYDROCHLORIC_ACID, 1, 0),
    "NaHSO4": (additions.P_SODIUM_BISULFATE, 1, 0),
    "H2SO4": (additions.P_SULFURIC_ACID, 1, 0),
    "CO2": (additions.P_CARBON_DIOXIDE, 1, 0),
    "NaHCO3": (additions.P_SODIUM_BICARBONATE, 1, 0),
    "Na2CO3": (additions.P_SODIUM_CARBONATE, 1, 0),
    "NaOH": (additions.P_SODIUM_HYDROXIDE, 1, 0),
    "NaOCl": (additions.P_SODIUM_HYPOCHLORITE, 1, 0),
    "NaOCl+NaOH": (additions.P_SODIUM_HYPOCHLORITE, 1, 0.08),
    "Ca(OCl)2": (additions.P_CALCIUM_HYPOCHLORITE, 1, 0),
    "Cl2": (additions.P_CHLORINE, 1, 0),
    "dichlor": (additions.P_SODIUM_DICHLOROISOCYANURATE, 1, 0),
    "trichlor": (additions.P_TRICHLOROISOCYANURIC_ACID, 1, 0),
    "CYA": (additions.P_CYANURIC_ACID, 1, 0),
    "CaCl2": (additions.P_CALCIUM_CHLORIDE, 1, 0),
    "borax": (additions.P_BORAX, 1, 0),
    "H3BO3": (additions.P_BORIC_ACID, 1, 0),
    "sulfite": (additions.P_SODIUM_SULFITE, 1, 0),
    "thiosulfate": (additions.P_SODIUM_THIOSULFATE, 1, 0),
}


def reading_of(inputs: dict[str, float]) -> tuple[float, ...]:
    """Give a case's inputs as the kernel takes a reading."""
    return (*(float(inputs[name]) for name in KEYS), 0.0)


def question_of(inputs: dict[str, float]) -> dict[str, float]:
    """Give a case's inputs as `calc water` takes them."""
    return {key: inputs[name] for name, key in KEYS.items()}


def dosed(totals: tuple[float, ...], case: dict[str, Any]) -> tuple[float, ...]:
    """Give the totals after a case's dose, and after its chlorine is used where it is a cycle."""
    mol_l = case["mmol_per_kgw"] / 1000
    if case["dose"] == "FC_consumed":
        return additions.use_up_chlorine(totals, mol_l)
    product, parts, caustic = DOSES[case["dose"].removeprefix("cycle ")]
    after = additions.add_product(totals, product, mol_l * parts, caustic)
    if case["dose"].startswith("cycle "):
        return additions.use_up_chlorine(after, after[6] - totals[6])
    return after
