"""Random doses of every product, and the same doses written as chemistry for PHREEQC.

PHREEQC gets formulas, not our table of totals: it counts atoms and charges itself.
"""

from __future__ import annotations

import random
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from lanewater.kernel.water import additions
from lanewater.kernel.water.slots import T_HYPOCHLORITE

# What a mol of each product brings and takes. Chl is hypochlorite's chlorine and Cya the ring; a
# reducer ends as sulfate, chloride and acid, and takes the HOCl that it reacts with.
FORMULAS: dict[int, dict[str, float]] = {
    additions.P_SODIUM_HYPOCHLORITE: {"NaChlO": 1, "NaCl": 1},
    additions.P_CALCIUM_HYPOCHLORITE: {"Ca(ChlO)2": 1},
    additions.P_CHLORINE: {"HChlO": 1, "HCl": 1, "H2O": -1},
    additions.P_SODIUM_DICHLOROISOCYANURATE: {"NaChl2Cya": 1},
    additions.P_TRICHLOROISOCYANURIC_ACID: {"Chl3Cya": 1},
    additions.P_HYDROCHLORIC_ACID: {"HCl": 1},
    additions.P_SODIUM_BISULFATE: {"NaHSO4": 1},
    additions.P_SULFURIC_ACID: {"H2SO4": 1},
    additions.P_CARBON_DIOXIDE: {"CO2": 1},
    additions.P_SODIUM_BICARBONATE: {"NaHCO3": 1},
    additions.P_SODIUM_CARBONATE: {"Na2CO3": 1},
    additions.P_SODIUM_HYDROXIDE: {"NaOH": 1},
    additions.P_CALCIUM_CHLORIDE: {"CaCl2": 1},
    additions.P_CYANURIC_ACID: {"H3Cya": 1},
    additions.P_BORIC_ACID: {"H3BO3": 1},
    additions.P_BORAX: {"Na2B4O7": 1},
    additions.P_SODIUM_THIOSULFATE: {"Na2SO4": 1, "H2SO4": 1, "HCl": 4, "HChlO": -4, "H2O": -1},
    additions.P_SODIUM_SULFITE: {"Na2SO4": 1, "HCl": 1, "HChlO": -1},
}
USED_UP = {"HCl": 1.0, "HChlO": -1.0}
# mol of HOCl that a mol of a reducer takes.
TAKES = {additions.P_SODIUM_THIOSULFATE: 4, additions.P_SODIUM_SULFITE: 1}
# The largest dose of each product, mmol/L: a shock of 50 mg/L chlorine, 75 mg/L of alkalinity,
# 100 of cyanuric acid, 70 of boron, 300 of calcium hardness.
MOST_MMOL = {
    additions.P_SODIUM_HYPOCHLORITE: 0.7,
    additions.P_CALCIUM_HYPOCHLORITE: 0.35,
    additions.P_CHLORINE: 0.35,
    additions.P_SODIUM_DICHLOROISOCYANURATE: 0.35,
    additions.P_TRICHLOROISOCYANURIC_ACID: 0.23,
    additions.P_CALCIUM_CHLORIDE: 3.0,
    additions.P_CYANURIC_ACID: 0.8,
    additions.P_BORIC_ACID: 6.5,
    additions.P_BORAX: 1.6,
}
OTHER_MOST_MMOL = 1.5
# Of the chlorine there is, so that neither program ends with a trace of it below nothing.
MOST_OF_CHLORINE = 0.95


@dataclass(frozen=True, slots=True)
class Dose:
    """A product added to a water, and the chlorine that is used up afterwards.

    Attributes
    ----------
    product : int
        A product's index.
    mol_l : float
        Added. [mol/L]
    caustic : float
        Excess caustic of sodium hypochlorite. [mol/mol]
    used_mol_l : float
        Chlorine used afterwards. [mol/L]
    """

    product: int
    mol_l: float
    caustic: float
    used_mol_l: float


def drawn_dose(draw: random.Random, totals: Sequence[float], product: int) -> Dose | None:
    """Draw a dose of one product into a water; None of a reducer where there is no chlorine."""
    most = MOST_MMOL.get(product, OTHER_MOST_MMOL) / 1000
    chlorine = totals[T_HYPOCHLORITE]
    if product in TAKES:
        if chlorine <= 0:
            return None
        most = MOST_OF_CHLORINE * chlorine / TAKES[product]
    mol_l = most * 10 ** -draw.uniform(0, 2)
    caustic = draw.uniform(0.03, 0.13) if product == additions.P_SODIUM_HYPOCHLORITE else 0.0
    formula = FORMULAS[product]
    # Chlorine atoms in the formulas, whatever they are bound to.
    brought = {"NaChlO": 1, "Ca(ChlO)2": 2, "HChlO": 1, "NaChl2Cya": 2, "Chl3Cya": 3}
    there = chlorine + mol_l * sum(brought.get(name, 0) * count for name, count in formula.items())
    return Dose(product, mol_l, caustic, there * draw.uniform(0, MOST_OF_CHLORINE))


def drawn_doses(totals: Iterable[Sequence[float]], seed: int) -> list[Dose]:
    """Draw a dose for each water, products in turn."""
    draw = random.Random(seed)  # noqa: S311 - doses, not secrets
    found: list[Dose] = []
    product = 0
    for water in totals:
        dose = drawn_dose(draw, water, product % len(FORMULAS))
        while dose is None:
            product += 1
            dose = drawn_dose(draw, water, product % len(FORMULAS))
        found.append(dose)
        product += 1
    return found


def dosed_texts(number: int, water: str, dose: Dose) -> str:
    """Write a water, the dose into it, and the use of chlorine in what came of it."""
    formula = dict(FORMULAS[dose.product])
    if dose.caustic > 0:
        formula["NaOH"] = dose.caustic
    return (
        f"{water}{reaction(formula, dose.mol_l)}SAVE solution {number}\nEND\n"
        f"USE solution {number}\n{reaction(USED_UP, dose.used_mol_l)}END\n"
    )


def reaction(formula: dict[str, float], mol: float) -> str:
    """Write a reaction of so many mol in one step."""
    lines = [f"  {name} {count!r}" for name, count in formula.items()]
    return "\n".join(["REACTION 1", *lines, f"  {mol!r} moles in 1 steps"]) + "\n"
