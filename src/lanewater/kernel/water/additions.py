"""What each product does to the conserved totals; the pH is solved for afterwards."""

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

P_SODIUM_HYPOCHLORITE = 0
P_CALCIUM_HYPOCHLORITE = 1
P_CHLORINE = 2
P_SODIUM_DICHLOROISOCYANURATE = 3
P_TRICHLOROISOCYANURIC_ACID = 4
P_HYDROCHLORIC_ACID = 5
P_SODIUM_BISULFATE = 6
P_SULFURIC_ACID = 7
P_CARBON_DIOXIDE = 8
P_SODIUM_BICARBONATE = 9
P_SODIUM_CARBONATE = 10
P_SODIUM_HYDROXIDE = 11
P_CALCIUM_CHLORIDE = 12
P_CYANURIC_ACID = 13
P_BORIC_ACID = 14
P_BORAX = 15
P_SODIUM_THIOSULFATE = 16
P_SODIUM_SULFITE = 17

# mol of each total a mol of product: alkalinity, carbon, calcium, magnesium, cyanurate, borate,
# hypochlorite, sodium, chloride, sulfate. Charge: Na + 2 Ca + 2 Mg = Cl + 2 SO4 + alkalinity.
# Sodium hypochlorite brings one NaCl, as its making does. The last two are the salts that stay
# where no chlorine is left to react with.
STOICHIOMETRY = (
    (1, 0, 0, 0, 0, 0, 1, 2, 1, 0),
    (2, 0, 1, 0, 0, 0, 2, 0, 0, 0),
    (-1, 0, 0, 0, 0, 0, 1, 0, 1, 0),
    (1, 0, 0, 0, 1, 0, 2, 1, 0, 0),
    (0, 0, 0, 0, 1, 0, 3, 0, 0, 0),
    (-1, 0, 0, 0, 0, 0, 0, 0, 1, 0),
    (-1, 0, 0, 0, 0, 0, 0, 1, 0, 1),
    (-2, 0, 0, 0, 0, 0, 0, 0, 0, 1),
    (0, 1, 0, 0, 0, 0, 0, 0, 0, 0),
    (1, 1, 0, 0, 0, 0, 0, 1, 0, 0),
    (2, 1, 0, 0, 0, 0, 0, 2, 0, 0),
    (1, 0, 0, 0, 0, 0, 0, 1, 0, 0),
    (0, 0, 1, 0, 0, 0, 0, 0, 2, 0),
    (0, 0, 0, 0, 1, 0, 0, 0, 0, 0),
    (0, 0, 0, 0, 0, 1, 0, 0, 0, 0),
    (2, 0, 0, 0, 0, 4, 0, 2, 0, 0),
    (0, 0, 0, 0, 0, 0, 0, 2, 0, 1),
    (0, 0, 0, 0, 0, 0, 0, 2, 0, 1),
)

# Chlorine that one mol of a reducing product uses up, and alkalinity and sulfate beyond its
# salt's: S2O3 + 4 HOCl + H2O -> 2 SO4 + 4 Cl + 6 H, and SO3 + HOCl -> SO4 + Cl + H.
THIOSULFATE_CHLORINE = 4
THIOSULFATE_ACID = 6
SULFITE_CHLORINE = 1
SULFITE_ACID = 1


def add_product(
    totals: tuple[float, ...], product: int, mol_l: float, caustic: float
) -> tuple[float, ...]:
    """Add one product to a water.

    Parameters
    ----------
    totals : tuple of float
        Before. [mol/L]
    product : int
        A product's index.
    mol_l : float
        At least 0. [mol/L]
    caustic : float
        Excess caustic of sodium hypochlorite, 0.03 to 0.13 as a rule; others do not read it.
        [mol NaOH/mol NaOCl]

    Returns
    -------
    tuple of float
        After. A reducing product reacts with the chlorine that is there, to sulfate; the rest of
        it stays as a salt without effect (see `unspent_reducer`).
    """
    row = STOICHIOMETRY[product]
    alkalinity = row[T_ALKALINITY] * mol_l
    sodium = row[T_SODIUM] * mol_l
    chlorine = row[T_HYPOCHLORITE] * mol_l
    chloride = row[T_CHLORIDE] * mol_l
    sulfate = row[T_SULFATE] * mol_l
    if product == P_SODIUM_HYPOCHLORITE:
        alkalinity = alkalinity + caustic * mol_l
        sodium = sodium + caustic * mol_l
    if product == P_SODIUM_THIOSULFATE or product == P_SODIUM_SULFITE:
        spent = mol_l - unspent_reducer(totals, product, mol_l)
        taken = spent * SULFITE_CHLORINE
        acid = spent * SULFITE_ACID
        if product == P_SODIUM_THIOSULFATE:
            taken = spent * THIOSULFATE_CHLORINE
            acid = spent * THIOSULFATE_ACID
            sulfate = sulfate + spent
        alkalinity = alkalinity - acid
        chlorine = -min(taken, totals[T_HYPOCHLORITE])
        chloride = chloride + taken
    return (
        totals[T_ALKALINITY] + alkalinity,
        totals[T_CARBON] + row[T_CARBON] * mol_l,
        totals[T_CALCIUM] + row[T_CALCIUM] * mol_l,
        totals[T_MAGNESIUM],
        totals[T_CYANURATE] + row[T_CYANURATE] * mol_l,
        totals[T_BORATE] + row[T_BORATE] * mol_l,
        totals[T_HYPOCHLORITE] + chlorine,
        totals[T_SODIUM] + sodium,
        totals[T_CHLORIDE] + chloride,
        totals[T_SULFATE] + sulfate,
    )


def add_lime(totals: tuple[float, ...], mol_l: float) -> tuple[float, ...]:
    """Add the slaked lime, Ca(OH)2, that calcium hypochlorite holds beside its chlorine.

    Parameters
    ----------
    totals : tuple of float
        Before. [mol/L]
    mol_l : float
        Of Ca(OH)2, at least 0. [mol/L]

    Returns
    -------
    tuple of float
        After. [mol/L]
    """
    return (
        totals[T_ALKALINITY] + 2 * mol_l,
        totals[T_CARBON],
        totals[T_CALCIUM] + mol_l,
        totals[T_MAGNESIUM],
        totals[T_CYANURATE],
        totals[T_BORATE],
        totals[T_HYPOCHLORITE],
        totals[T_SODIUM],
        totals[T_CHLORIDE],
        totals[T_SULFATE],
    )


def unspent_reducer(totals: tuple[float, ...], product: int, mol_l: float) -> float:
    """Give what of a reducing product finds no chlorine to react with, in mol/L.

    Parameters
    ----------
    totals : tuple of float
        Before the addition. [mol/L]
    product : int
        A product's index; 0 comes back for one that is not a reducer.
    mol_l : float
        Added. [mol/L]
    """
    if product == P_SODIUM_THIOSULFATE:
        return max(mol_l - totals[T_HYPOCHLORITE] / THIOSULFATE_CHLORINE, 0.0)
    if product == P_SODIUM_SULFITE:
        return max(mol_l - totals[T_HYPOCHLORITE] / SULFITE_CHLORINE, 0.0)
    return 0.0


def use_up_chlorine(totals: tuple[float, ...], mol_l: float) -> tuple[float, ...]:
    """Let chlorine be used by organic matter or sunlight: HOCl -> Cl- + H+.

    Parameters
    ----------
    totals : tuple of float
        Before. [mol/L]
    mol_l : float
        Chlorine used; not more than there is. [mol/L]

    Returns
    -------
    tuple of float
        After; one equivalent of alkalinity goes with each mol of chlorine.
    """
    used = max(min(mol_l, totals[T_HYPOCHLORITE]), 0.0)
    return (
        totals[T_ALKALINITY] - used,
        totals[T_CARBON],
        totals[T_CALCIUM],
        totals[T_MAGNESIUM],
        totals[T_CYANURATE],
        totals[T_BORATE],
        totals[T_HYPOCHLORITE] - used,
        totals[T_SODIUM],
        totals[T_CHLORIDE] + used,
        totals[T_SULFATE],
    )


def mixed_totals(
    totals: tuple[float, ...], other: tuple[float, ...], share: float
) -> tuple[float, ...]:
    """Mix two waters; every total is conserved, pH is not.

    Parameters
    ----------
    totals, other : tuple of float
        The two waters. [mol/L]
    share : float
        Of the other water in the mixture, 0 to 1.
    """
    rest = 1 - share
    return (
        rest * totals[T_ALKALINITY] + share * other[T_ALKALINITY],
        rest * totals[T_CARBON] + share * other[T_CARBON],
        rest * totals[T_CALCIUM] + share * other[T_CALCIUM],
        rest * totals[T_MAGNESIUM] + share * other[T_MAGNESIUM],
        rest * totals[T_CYANURATE] + share * other[T_CYANURATE],
        rest * totals[T_BORATE] + share * other[T_BORATE],
        rest * totals[T_HYPOCHLORITE] + share * other[T_HYPOCHLORITE],
        rest * totals[T_SODIUM] + share * other[T_SODIUM],
        rest * totals[T_CHLORIDE] + share * other[T_CHLORIDE],
        rest * totals[T_SULFATE] + share * other[T_SULFATE],
    )
