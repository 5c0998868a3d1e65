"""The register of products: what each is, how it may be given, and what it must not meet."""

from __future__ import annotations

import re
from dataclasses import dataclass

from lanewater.kernel.water import additions
from lanewater.kernel.water.units import PRODUCT_GRAMS
from lanewater.terms.errors import InputError

BY_HAND = "by-hand"
FEEDER_ONLY = "feeder-only"
NEVER_BY_HAND = "never-by-hand"
AVAILABLE_CHLORINE = "available chlorine as Cl2"
COMPOUND = "the anhydrous compound"
SLAKED_LIME_G_MOL = 74.093
OTHER = re.compile(r"other:[a-z0-9][a-z0-9-]{0,50}", re.ASCII)


@dataclass(frozen=True, slots=True)
class Product:
    """One chemical that is added to pool water.

    Attributes
    ----------
    id, name : str
        The chemical's name as an id, and as people say it.
    index : int
        Its place in the kernel's table of additions.
    molar_mass_g_mol : float
        Of the anhydrous compound.
    strength_means : str
        What its strength counts: available chlorine as Cl2, or the anhydrous compound.
    method : str
        by-hand, feeder-only or never-by-hand; a site may be stricter, never looser.
    groups : tuple of str
        Chemical groups by which it must not meet others. Each chlorine is a kind of its own.
    pure_percent : float
        The strength of the pure compound: no product is stronger. [% w/w]
    """

    id: str
    name: str
    index: int
    molar_mass_g_mol: float
    strength_means: str
    method: str
    groups: tuple[str, ...]
    pure_percent: float


def _product(
    id_: str, name: str, index: int, molar_mass: float, method: str, *groups: str
) -> Product:
    chlorine = "chlorine" in groups
    pure = 100 * PRODUCT_GRAMS[index] / molar_mass if chlorine else 100.0
    means = AVAILABLE_CHLORINE if chlorine else COMPOUND
    return Product(id_, name, index, molar_mass, means, method, groups, pure)


# Molar masses: chemistry of the compound (IUPAC 2021 weights). Methods: site safety review; gas,
# carbon dioxide, sulfuric acid, caustic and trichlor are never given as a hand amount.
_ALL = (
    _product(
        "sodium-hypochlorite",
        "sodium hypochlorite",
        additions.P_SODIUM_HYPOCHLORITE,
        74.442,
        BY_HAND,
        "chlorine",
    ),
    _product(
        "calcium-hypochlorite",
        "calcium hypochlorite",
        additions.P_CALCIUM_HYPOCHLORITE,
        142.98,
        BY_HAND,
        "chlorine",
        "calcium",
    ),
    _product("chlorine", "chlorine gas", additions.P_CHLORINE, 70.906, NEVER_BY_HAND, "chlorine"),
    _product(
        "sodium-dichloroisocyanurate",
        "dichlor",
        additions.P_SODIUM_DICHLOROISOCYANURATE,
        219.95,
        BY_HAND,
        "chlorine",
    ),
    _product(
        "trichloroisocyanuric-acid",
        "trichlor",
        additions.P_TRICHLOROISOCYANURIC_ACID,
        232.41,
        FEEDER_ONLY,
        "chlorine",
    ),
    _product(
        "hydrochloric-acid",
        "hydrochloric acid",
        additions.P_HYDROCHLORIC_ACID,
        36.461,
        BY_HAND,
        "acid",
    ),
    _product(
        "sodium-bisulfate",
        "sodium bisulfate (dry acid)",
        additions.P_SODIUM_BISULFATE,
        120.05,
        BY_HAND,
        "acid",
    ),
    _product(
        "sulfuric-acid", "sulfuric acid", additions.P_SULFURIC_ACID, 98.07, FEEDER_ONLY, "acid"
    ),
    _product("carbon-dioxide", "carbon dioxide", additions.P_CARBON_DIOXIDE, 44.009, NEVER_BY_HAND),
    _product(
        "sodium-bicarbonate",
        "sodium bicarbonate",
        additions.P_SODIUM_BICARBONATE,
        84.006,
        BY_HAND,
        "carbonate",
    ),
    _product(
        "sodium-carbonate",
        "sodium carbonate (soda ash)",
        additions.P_SODIUM_CARBONATE,
        105.988,
        BY_HAND,
        "carbonate",
    ),
    _product(
        "sodium-hydroxide",
        "sodium hydroxide (caustic)",
        additions.P_SODIUM_HYDROXIDE,
        39.997,
        FEEDER_ONLY,
        "caustic",
    ),
    _product(
        "calcium-chloride",
        "calcium chloride",
        additions.P_CALCIUM_CHLORIDE,
        110.98,
        BY_HAND,
        "calcium",
    ),
    _product(
        "cyanuric-acid", "cyanuric acid (stabiliser)", additions.P_CYANURIC_ACID, 129.075, BY_HAND
    ),
    _product("boric-acid", "boric acid", additions.P_BORIC_ACID, 61.83, BY_HAND),
    _product("borax", "borax", additions.P_BORAX, 201.21, BY_HAND),
    _product(
        "sodium-thiosulfate",
        "sodium thiosulfate",
        additions.P_SODIUM_THIOSULFATE,
        158.10,
        BY_HAND,
        "reducer",
    ),
    _product(
        "sodium-sulfite",
        "sodium sulfite",
        additions.P_SODIUM_SULFITE,
        126.04,
        BY_HAND,
        "reducer",
    ),
)
PRODUCTS: dict[str, Product] = {product.id: product for product in _ALL}

# Molar masses of what is sold with crystal water; what is not named here is sold without. [g/mol]
FORMS: dict[str, dict[str, float]] = {
    "sodium-dichloroisocyanurate": {"dihydrate": 255.98},
    "calcium-chloride": {"dihydrate": 147.01},
    "borax": {"pentahydrate": 291.29, "decahydrate": 381.36},
    "sodium-thiosulfate": {"pentahydrate": 248.17},
}
ANHYDROUS = "anhydrous"

# Registered only for what they must not meet; nothing is computed of them.
OTHER_GROUPS: dict[str, tuple[str, ...]] = {
    "other:polyaluminium-chloride": ("coagulant", "acid"),
    "other:aluminium-sulfate": ("coagulant", "acid"),
    "other:potassium-monopersulfate": ("oxidiser", "acid"),
    "other:bromine-tablets": ("bromine",),
    "other:sodium-bromide": ("bromine",),
    "other:biguanide": ("biguanide",),
    "other:algaecide": ("organic",),
    "other:descaler": ("acid",),
    "other:sodium-bisulfite": ("reducer", "acid"),
    "other:sodium-metabisulfite": ("reducer", "acid"),
    "other:ascorbic-acid": ("reducer", "acid"),
}

MUST_NOT_MEET: tuple[tuple[str, str, str], ...] = (
    ("acid", "chlorine", "acid and chlorine make chlorine gas"),
    ("coagulant", "chlorine", "coagulant is acid: with hypochlorite it makes chlorine gas"),
    ("calcium", "carbonate", "calcium and carbonate make chalk, which clouds the water and blocks"),
    ("acid", "caustic", "acid and caustic boil and spit"),
    ("acid", "carbonate", "acid and carbonate foam over"),
    ("acid", "reducer", "acid and sulfite or thiosulfate give off sulfur dioxide"),
    ("reducer", "chlorine", "a neutraliser and chlorine heat up and undo each other"),
    ("oxidiser", "chlorine", "two oxidisers can burn or explode where they meet"),
    ("bromine", "chlorine", "bromine and chlorine products can burn or explode where they meet"),
    ("biguanide", "chlorine", "chlorine destroys biguanide and fouls the water"),
    ("organic", "chlorine", "organic products and strong chlorine can catch fire"),
)
TWO_CHLORINES = "two kinds of chlorine can burn, explode or give off gas where they meet"


def product_of(id_: str, where: str = "product") -> Product:
    """Give a product that can be computed.

    Parameters
    ----------
    id_, where : str
        Its id, and its field's path for the message.

    Raises
    ------
    InputError
        Where the id is not in the register, or stands there only for what it must not meet.
    """
    if id_ in PRODUCTS:
        return PRODUCTS[id_]
    if OTHER.fullmatch(id_):
        raise InputError(where, f"{id_} is kept only for what it must not meet; not computed")
    raise InputError(where, f"{id_[:40]!r} is not a product; known: {', '.join(PRODUCTS)}")


def counted_share(product: Product, form: str, compound: bool) -> float:
    """Give the grams that a strength means (see `Product`) in a gram of what a label counts.

    Parameters
    ----------
    product : Product
        What it is.
    form : str
        ANHYDROUS, or one of the product's FORMS.
    compound : bool
        The label counts the compound in that form; else what Lanewater counts, and it is 1.
    """
    if not compound:
        return 1.0
    mass = FORMS.get(product.id, {}).get(form, product.molar_mass_g_mol)
    return product.pure_percent / 100 * product.molar_mass_g_mol / mass


def groups_of(id_: str) -> tuple[str, ...]:
    """Give a product's chemical groups; empty for one that is not in the register."""
    if id_ in PRODUCTS:
        return PRODUCTS[id_].groups
    return OTHER_GROUPS.get(id_, ())


def must_not_meet(one: str, other: str) -> tuple[str, ...]:
    """Say why two products must not meet; empty where nothing is known against it.

    Parameters
    ----------
    one, other : str
        Product ids, `other:NAME` included.
    """
    reasons = []
    mine, theirs = groups_of(one), groups_of(other)
    if one != other and "chlorine" in mine and "chlorine" in theirs:
        reasons.append(TWO_CHLORINES)
    for left, right, why in MUST_NOT_MEET:
        if (left in mine and right in theirs) or (right in mine and left in theirs):
            reasons.append(why)
    return tuple(reasons)
