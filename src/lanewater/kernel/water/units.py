"""Unit factors and molar masses, the only numbers of kernel/water that are not in constants.toml.

A number here fixes what a unit means (the base that chlorine or hardness is told in) or how far
a search goes; none is a property of the water.
"""

LN_10 = 2.302585092994046
ICE_POINT = 273.15
MILLI = 1000.0
CENTI = 100.0
SECONDS_A_DAY = 86400.0
SECONDS_AN_HOUR = 3600.0
MINUTE_S = 60.0

# g/mol, IUPAC 2021 standard atomic weights, rounded.
CACO3 = 100.087
CHLORINE = 70.906
CYANURIC_ACID = 129.075
BORON = 10.81
SODIUM_CHLORIDE = 58.443
SULFATE = 96.06
MAGNESIUM = 24.305
SODIUM = 22.99
CHLORIDE = 35.453
CALCIUM = 40.078
BICARBONATE = 61.017
BORIC_ACID = 61.83
NITROGEN = 14.007
UREA = 60.056

# What "strength" of a product means, in g/mol: available chlorine as Cl2 for what brings
# chlorine, else the anhydrous compound. In the order of the products' indices.
PRODUCT_GRAMS = (
    70.906,
    141.812,
    70.906,
    141.812,
    212.718,
    36.461,
    120.05,
    98.07,
    44.009,
    84.006,
    105.988,
    39.997,
    110.98,
    129.075,
    61.83,
    201.21,
    158.1,
    126.04,
)

# Where a solve ends: how far the last step went, in logarithms. What is left is smaller: over
# 3,000 wide waters at most 4e-9 in pH, 6e-8 in saturation index and 8e-9 of HOCl.
TOLERANCE = 1e-7
# Where a solve starts that knows nothing.
START_PH = 7.5
# Where it starts in a water without calcium or carbon. [mol/L]
TRACE = 1e-5
# Where the search of a precipitate ends: its last step over what there is; one more is a tenth.
# Where air and water are even: the excess of carbon dioxide over the dissolved carbon.
SOLID_TOLERANCE = 1e-7
# Where a search of a product ends: relative to the amount, or in the quantity searched for.
SEARCH_TOLERANCE = 1e-9
# How near the edge of a band counts as in it, and of a cap as over it, in steps or widths.
PLAN_EDGE = 1e-7
# What a change of a plan has to save, of its miss or its cost, to be worth another look.
PLAN_WORTH = 1e-3
# The most of one product that a plan may hold; a pool holds less of everything. [mol/L]
MOST_PLANNED = 0.02
# What a logarithm of nothing is told as; no water comes near it.
NO_LOGARITHM = -1000.0


def grams_of_product(product: int, mol: float) -> float:
    """Give the grams that a product's strength counts: available chlorine, or the compound.

    Parameters
    ----------
    product : int
        A product's index.
    mol : float
        Of the product. [mol]
    """
    return PRODUCT_GRAMS[product] * mol


def mol_of_product(product: int, grams: float) -> float:
    """Give the mol of a product from the grams that its strength counts.

    Parameters
    ----------
    product : int
        A product's index.
    grams : float
        Available chlorine, or the anhydrous compound. [g]
    """
    return grams / PRODUCT_GRAMS[product]
