"""Steps that change a pool: products and exchanges of water, taken one after the other."""

from __future__ import annotations

from dataclasses import dataclass

from lanewater.chemistry.freshwater import FreshWater, exchanged, temperature_after
from lanewater.chemistry.products import Product
from lanewater.chemistry.water import Water
from lanewater.kernel.water.additions import (
    P_SODIUM_THIOSULFATE,
    add_lime,
    add_product,
    use_up_chlorine,
)
from lanewater.kernel.water.equilibrium import totals_of_reading
from lanewater.kernel.water.neutralising import add_to_tetrathionate
from lanewater.kernel.water.slots import SOLVED, T_HYPOCHLORITE

Totals = tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Addition:
    """One product in one amount, as the kernel takes it.

    Attributes
    ----------
    product : Product
        What is added.
    grams_active : float
        Available chlorine, or the anhydrous compound. [g]
    mol_l : float
        In the whole volume. [mol/L]
    excess_caustic : float
        Of sodium hypochlorite. [mol NaOH/mol NaOCl]
    lime_mol_l : float
        Slaked lime of calcium hypochlorite, in the whole volume. [mol/L]
    """

    product: Product
    grams_active: float
    mol_l: float
    excess_caustic: float
    lime_mol_l: float = 0.0


Step = Addition | FreshWater


@dataclass(frozen=True, slots=True)
class After:
    """A pool after its steps: the worst status of what went in, temperature, and totals."""

    status: int
    temperature_c: float
    totals: Totals
    used: Totals


def is_thiosulfate(step: Step) -> bool:
    """Tell whether a step is the product that may react in two ways."""
    return isinstance(step, Addition) and step.product.index == P_SODIUM_THIOSULFATE


def put_in(
    k: tuple[float, ...], totals: Totals, step: Step, other_road: bool = False
) -> tuple[int, Totals]:
    """Take one step; gives the status of what goes in, and the totals after."""
    if isinstance(step, FreshWater):
        return exchanged(k, totals, step)
    if other_road and is_thiosulfate(step):
        return SOLVED, add_to_tetrathionate(totals, step.mol_l)
    after = add_product(totals, step.product.index, step.mol_l, step.excess_caustic)
    return SOLVED, add_lime(after, step.lime_mol_l) if step.lime_mol_l > 0 else after


def after_additions(
    k: tuple[float, ...], water: Water, added: tuple[Step, ...], other_road: bool = False
) -> After:
    """Give the totals after all steps, at once and with the added chlorine used.

    Parameters
    ----------
    k : tuple of float
        The flat tuple of one cyanurate set.
    water : Water
        Before.
    added : tuple of Addition or FreshWater
        In the order in which they are added.
    other_road : bool, optional
        Thiosulfate goes to tetrathionate.
    """
    status, totals = totals_of_reading(k, water.reading)
    # What the pool's own chlorine and that of the fresh water would be without any product.
    bare = totals
    temperature = water.temperature_c
    for step in added:
        mine, totals = put_in(k, totals, step, other_road)
        status = max(status, mine)
        if isinstance(step, FreshWater):
            bare = exchanged(k, bare, step)[1]
            temperature = temperature_after(temperature, step)
    added_chlorine = max(totals[T_HYPOCHLORITE] - bare[T_HYPOCHLORITE], 0.0)
    return After(status, temperature, totals, use_up_chlorine(totals, added_chlorine))
