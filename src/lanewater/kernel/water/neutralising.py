"""Chlorine taken out: the other road that thiosulfate may go, and what is a first portion of it.

`add_product` lets thiosulfate react to sulfate (a mol takes four of chlorine, and acid is made).
At pool pH part of it, and no one can say how much, goes to tetrathionate instead (a mol takes half
a one, and caustic is made). The truth lies between, so both are computed.
"""

from lanewater.kernel.water.additions import (
    P_SODIUM_SULFITE,
    P_SODIUM_THIOSULFATE,
    SULFITE_CHLORINE,
    THIOSULFATE_CHLORINE,
)
from lanewater.kernel.water.slots import (
    T_ALKALINITY,
    T_BORATE,
    T_CALCIUM,
    T_CARBON,
    T_CHLORIDE,
    T_CYANURATE,
    T_HYPOCHLORITE,
    T_MAGNESIUM,
    T_SODIUM,
    T_SULFATE,
)

# A first portion is one part in so many of what the road that takes less product would need.
PORTIONS = 4


def add_to_tetrathionate(totals: tuple[float, ...], mol_l: float) -> tuple[float, ...]:
    """Add thiosulfate that reacts to tetrathionate: 2 S2O3 + HOCl -> S4O6 + Cl + OH.

    Parameters
    ----------
    totals : tuple of float
        Before. [mol/L]
    mol_l : float
        Of Na2S2O3, at least 0. [mol/L]

    Returns
    -------
    tuple of float
        After. Tetrathionate, and thiosulfate that finds no chlorine, stand among the sulfate:
        ions of the same charge that do nothing more here.
    """
    spent = min(mol_l, 2 * totals[T_HYPOCHLORITE])
    taken = spent / 2
    return (
        totals[T_ALKALINITY] + taken,
        totals[T_CARBON],
        totals[T_CALCIUM],
        totals[T_MAGNESIUM],
        totals[T_CYANURATE],
        totals[T_BORATE],
        max(totals[T_HYPOCHLORITE] - taken, 0.0),
        totals[T_SODIUM] + 2 * mol_l,
        totals[T_CHLORIDE] + taken,
        totals[T_SULFATE] + mol_l - spent / 2,
    )


def reducer_for(product: int, chlorine_mol_l: float) -> tuple[float, float]:
    """Give how much of a reducing product takes out an amount of chlorine, by each road.

    Parameters
    ----------
    product : int
        Sodium thiosulfate or sodium sulfite.
    chlorine_mol_l : float
        To be taken out. [mol/L]

    Returns
    -------
    float, float
        Least and most. [mol/L] Sulfite has one road, and both are the same.

    Raises
    ------
    ValueError
        Where the product is not a reducer.
    """
    if product == P_SODIUM_THIOSULFATE:
        return (chlorine_mol_l / THIOSULFATE_CHLORINE, 2 * chlorine_mol_l)
    if product == P_SODIUM_SULFITE:
        return (chlorine_mol_l / SULFITE_CHLORINE, chlorine_mol_l / SULFITE_CHLORINE)
    raise ValueError("not a product that takes chlorine out")


def first_portion(product: int, chlorine_mol_l: float) -> float:
    """Give the most of a reducing product that is a first portion, to be tested after.

    Parameters
    ----------
    product : int
        Sodium thiosulfate or sodium sulfite.
    chlorine_mol_l : float
        To be taken out. [mol/L]

    Returns
    -------
    float
        A quarter of what the road that takes less would need (JUDG). [mol/L]
    """
    least, _most = reducer_for(product, chlorine_mol_l)
    return least / PORTIONS
