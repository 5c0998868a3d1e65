"""Amounts as they are measured out, turned into grams of what the strength counts."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lanewater.chemistry.fields import number_field
from lanewater.chemistry.products import ANHYDROUS, FORMS, Product, counted_share
from lanewater.kernel.water.additions import P_CALCIUM_HYPOCHLORITE, P_SODIUM_HYPOCHLORITE
from lanewater.terms.errors import InputError, shown
from lanewater.terms.shapes import below

GRAMS = {"g": 1.0, "kg": 1000.0, "oz-weight": 28.349523125, "lb": 453.59237}
LITRES = {
    "mL": 0.001,
    "L": 1.0,
    "us-gal": 3.785411784,
    "imp-gal": 4.54609,
    "us-fl-oz": 0.0295735295625,
}
AMBIGUOUS = {
    "gal": "say us-gal or imp-gal: they differ by a fifth",
    "gallon": "say us-gal or imp-gal: they differ by a fifth",
    "oz": "say oz-weight or us-fl-oz",
    "ounce": "say oz-weight or us-fl-oz",
    "fl-oz": "say us-fl-oz",
    "pint": "say mL or us-fl-oz",
}
BY_WEIGHT = "strength_percent_w_w"
TRADE = "strength_trade_percent"
# What every question knows; `density_kg_l` turns the one kind into the other.
STRENGTHS = (BY_WEIGHT, "strength_percent_w_v", "strength_g_l")
STRENGTH_KEYS = (*STRENGTHS, "density_kg_l")
# Grams in a litre for one unit of a strength by volume; the trade's percent is 100 g in 10 L.
IN_A_LITRE = {"strength_percent_w_v": 10.0, "strength_g_l": 1.0, TRADE: 10.0}
COUNTS = ("available-chlorine", "compound")
LIME = "lime_percent_w_w"
# And what only `grams_active` and `lime_grams` know.
ALL_STRENGTHS = (*STRENGTHS, TRADE)
LABEL_KEYS = (*STRENGTH_KEYS, TRADE, "specific_gravity", "form", "strength_counts", LIME)
MOST_G_L = 2000.0
DENSITY_KG_L = (0.5, 3.0)
MOST_AMOUNT = 1e9
# A label may round up; beyond this a strength is of another unit or another compound.
LABEL_ROUNDING = 1.01
MOST_LIME_PERCENT = 30.0


def grams_active(product: Product, given: Mapping[str, Any], where: str = "") -> float:
    """Give the grams of available chlorine, or of the compound, in an amount of product.

    Parameters
    ----------
    product : Product
        What is added.
    given : mapping
        `amount`, `unit`, exactly one strength, and `density_kg_l` or `specific_gravity` where a
        volume meets % w/w or a mass meets a strength by volume. `form` and `strength_counts` say
        what the strength counts, where it is not what Lanewater counts.
    where : str, optional
        Path of the addition, for messages.

    Raises
    ------
    InputError
        Naming the field: a unit that can be read two ways, a strength that is missing, stated
        twice or higher than the pure compound's, a density that is needed and missing.
    """
    amount, unit = amount_of(given, where)
    name, strength, counted = strength_of(product, given, where)
    density = density_of(given, where)
    if name == BY_WEIGHT:
        grams = grams_of_product(amount, unit, density, where, "% w/w")
        return grams * strength / 100 * counted
    grams_l = strength * IN_A_LITRE[name]
    if unit in LITRES:
        return amount * LITRES[unit] * grams_l * counted
    needed = _needed(density, where, f"{unit} with a strength by volume")
    return amount * GRAMS[unit] / (needed * 1000) * grams_l * counted


def amount_of(given: Mapping[str, Any], where: str) -> tuple[float, str]:
    """Read an amount and its unit of mass or volume."""
    amount = number_field(_present(given, "amount", where), below(where, "amount"), 0, MOST_AMOUNT)
    return amount, unit_of(_present(given, "unit", where), below(where, "unit"))


def grams_of_product(
    amount: float, unit: str, density: float | None, where: str, with_what: str
) -> float:
    """Give what an amount weighs, in grams; a volume needs the density."""
    if unit in GRAMS:
        return amount * GRAMS[unit]
    return amount * LITRES[unit] * 1000 * _needed(density, where, f"{unit} with {with_what}")


def lime_grams(product: Product, given: Mapping[str, Any], where: str = "") -> float:
    """Give the grams of slaked lime in an amount of calcium hypochlorite, where it is stated.

    Parameters
    ----------
    product : Product
        What is added.
    given : mapping
        As `grams_active` takes it, with `lime_percent_w_w`.
    where : str, optional
        Path of the addition, for messages.
    """
    if LIME not in given:
        return 0.0
    path = below(where, LIME)
    if product.index != P_CALCIUM_HYPOCHLORITE:
        raise InputError(path, "goes with calcium-hypochlorite alone")
    percent = number_field(given[LIME], path, 0, MOST_LIME_PERCENT)
    amount, unit = amount_of(given, where)
    return grams_of_product(amount, unit, density_of(given, where), where, LIME) * percent / 100


def unit_of(unit: Any, where: str) -> str:
    """Check a unit of mass or volume; gal and oz alone are refused.

    Parameters
    ----------
    unit : object
        As it was typed.
    where : str
        Its path, for messages.
    """
    if isinstance(unit, str) and (unit in GRAMS or unit in LITRES):
        return unit
    known = ", ".join((*GRAMS, *LITRES))
    if isinstance(unit, str) and unit.lower().strip(". ") in AMBIGUOUS:
        hint = AMBIGUOUS[unit.lower().strip(". ")]
        raise InputError(where, f"{unit} can be read two ways; {hint}")
    raise InputError(where, f"must be one of {known}, not {shown(unit)}")


def strength_of(product: Product, given: Mapping[str, Any], where: str) -> tuple[str, float, float]:
    """Read the one strength that is stated.

    Parameters
    ----------
    product : Product
        What it is the strength of.
    given : mapping
        As `grams_active` takes it.
    where : str
        Path of the addition, for messages.

    Returns
    -------
    str
        Its key.
    float
        As stated.
    float
        Grams of what Lanewater counts in a gram of what the strength counts.

    Raises
    ------
    InputError
        Naming the field.
    """
    stated = [name for name in ALL_STRENGTHS if name in given]
    if len(stated) != 1:
        raise InputError(
            below(where, stated[1] if stated else "strength"),
            f"state one strength of the {product.name} ({product.strength_means}):"
            f" {', '.join(ALL_STRENGTHS)}",
        )
    name = stated[0]
    path = below(where, name)
    if name == TRADE and product.index != P_SODIUM_HYPOCHLORITE:
        raise InputError(path, "goes with sodium-hypochlorite alone")
    counted = counted_of(product, given, where)
    most = 100.0 if counted < 1 else product.pure_percent
    if name != BY_WEIGHT:
        most = MOST_G_L / IN_A_LITRE[name]
    strength = number_field(given[name], path, 0, most * LABEL_ROUNDING)
    if strength <= 0:
        raise InputError(path, "must be above 0")
    if name != BY_WEIGHT and (density := density_of(given, where)) is not None:
        heaviest = density * 10 * product.pure_percent * LABEL_ROUNDING
        if strength * IN_A_LITRE[name] * counted > heaviest:
            raise InputError(path, "is more than the pure product at this density")
    return name, strength, counted


def counted_of(product: Product, given: Mapping[str, Any], where: str) -> float:
    """Give the grams of what Lanewater counts in a gram of what the stated strength counts."""
    form = given.get("form", ANHYDROUS)
    forms = (ANHYDROUS, *FORMS.get(product.id, {}))
    if form not in forms:
        raise InputError(
            below(where, "form"), f"must be one of {', '.join(forms)}, not {shown(form)}"
        )
    chlorine = "chlorine" in product.groups
    counts = given.get("strength_counts", COUNTS[0] if chlorine else COUNTS[1])
    path = below(where, "strength_counts")
    if counts not in COUNTS:
        raise InputError(path, f"must be one of {', '.join(COUNTS)}, not {shown(counts)}")
    if counts == COUNTS[0] and not chlorine:
        raise InputError(path, f"{product.id} brings no chlorine")
    if counts == COUNTS[1] and TRADE in given:
        raise InputError(path, "the trade's percent counts available chlorine")
    if chlorine and "form" in given and "strength_counts" not in given:
        raise InputError(
            path, "is missing: with a form, say whether the strength counts the chlorine"
        )
    return counted_share(product, str(form), counts == COUNTS[1])


def density_of(given: Mapping[str, Any], where: str) -> float | None:
    """Give the density where it is stated, in kg/L; specific gravity is told over water at 4 C."""
    stated = [name for name in ("density_kg_l", "specific_gravity") if name in given]
    if len(stated) > 1:
        raise InputError(below(where, stated[1]), "state the density or the specific gravity")
    if not stated:
        return None
    return number_field(given[stated[0]], below(where, stated[0]), *DENSITY_KG_L)


def _present(given: Mapping[str, Any], name: str, where: str) -> Any:
    if name not in given:
        raise InputError(below(where, name), "is missing")
    return given[name]


def _needed(density: float | None, where: str, what: str) -> float:
    if density is None:
        raise InputError(
            below(where, "density_kg_l"), f"is missing: {what} needs it, or specific_gravity"
        )
    return density
