"""Products that take chlorine out: in portions, and never sure of how much they take."""

from __future__ import annotations

from lanewater.chemistry.products import Product
from lanewater.chemistry.water import Finding, finding
from lanewater.kernel.water.additions import P_SODIUM_THIOSULFATE, unspent_reducer
from lanewater.kernel.water.neutralising import PORTIONS, first_portion, reducer_for
from lanewater.kernel.water.slots import T_HYPOCHLORITE
from lanewater.kernel.water.units import grams_of_product

TRACE_MOL_L = 1e-9

Totals = tuple[float, ...]


def assumed_road(product: Product) -> str:
    """Say which reaction was taken.

    Parameters
    ----------
    product : Product
        One that takes chlorine out.
    """
    if product.index == P_SODIUM_THIOSULFATE:
        return (
            f"{product.id} is taken to react to sulfate at once; at pool pH part of it goes to"
            " tetrathionate instead, takes an eighth of the chlorine and raises the pH"
            " (after_other_route). The truth lies between; no effect on pH is promised."
        )
    return (
        f"{product.id} is taken to react to sulfate at once; at pool pH part of it may react"
        " otherwise, so that its effect on pH is not promised."
    )


def portions(totals: Totals, product: Product, mol_l: float) -> list[Finding]:
    """Say where more is added at once than a first portion.

    Parameters
    ----------
    totals : tuple of float
        The water that it is added to. [mol/L]
    product : Product
        One that takes chlorine out.
    mol_l : float
        Added. [mol/L]
    """
    chlorine = totals[T_HYPOCHLORITE]
    portion = first_portion(product.index, chlorine)
    if mol_l <= portion + TRACE_MOL_L:
        return []
    least, most = reducer_for(product.index, chlorine)
    grams, high, first = (
        f"{1000 * grams_of_product(product.index, mol):.2g}" for mol in (least, most, portion)
    )
    reach = f"{grams} to {high}" if most > least else grams
    return [
        finding(
            "more-than-a-first-portion",
            product.id,
            f"All the chlorine in this water is worth {reach} g of it in each m3; one in"
            f" {PORTIONS} of the least is a first portion, {first} g in each m3.",
            "Add a first portion, circulate, test, and only then decide on the next.",
        )
    ]


def unspent(totals: Totals, product: Product, mol_l: float) -> list[Finding]:
    """Say where a neutraliser finds less chlorine than it can use up.

    Parameters
    ----------
    totals : tuple of float
        The water that it is added to. [mol/L]
    product : Product
        One that takes chlorine out.
    mol_l : float
        Added. [mol/L]
    """
    rest = unspent_reducer(totals, product.index, mol_l)
    if rest <= TRACE_MOL_L:
        return []
    return [
        finding(
            "more-neutraliser-than-chlorine",
            product.id,
            f"{100 * rest / mol_l:.0f} % of it finds no chlorine and stays in the water, where it"
            " uses up the chlorine added next; its effect on pH is not computed.",
            "Add less, in steps, and test between them.",
        )
    ]
