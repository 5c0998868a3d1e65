"""Amounts as they are measured out, turned into grams of what the strength counts."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lanewater.chemistry.fields import number_field
from lanewater.chemistry.products import Product
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
STRENGTHS = ("strength_percent_w_w", "strength_percent_w_v", "strength_g_l")
STRENGTH_KEYS = (*STRENGTHS, "density_kg_l")
MOST_G_L = 2000.0
DENSITY_KG_L = (0.5, 3.0)
MOST_AMOUNT = 1e9
# A label may round up; beyond this a strength is of another unit or another compound.
LABEL_ROUNDING = 1.01


def grams_active(product: Product, given: Mapping[str, Any], where: str = "") -> float:
    """Give the grams of available chlorine, or of the compound, in an amount of product.

    Parameters
    ----------
    product : Product
        What is added.
    given : mapping
        `amount`, `unit`, exactly one strength, and `density_kg_l` where a volume meets % w/w or
        a mass meets a strength by volume.
    where : str, optional
        Path of the addition, for messages.

    Raises
    ------
    InputError
        Naming the field: a unit that can be read two ways, a strength that is missing, stated
        twice or higher than the pure compound's, a density that is needed and missing.
    """
    amount = number_field(_present(given, "amount", where), below(where, "amount"), 0, MOST_AMOUNT)
    unit = unit_of(_present(given, "unit", where), below(where, "unit"))
    name, strength = strength_of(product, given, where)
    density = density_of(given, where)
    by_mass = unit in GRAMS
    if name == "strength_percent_w_w":
        if by_mass:
            return amount * GRAMS[unit] * strength / 100
        needed = _needed(density, where, f"{unit} with % w/w")
        return amount * LITRES[unit] * needed * 1000 * strength / 100
    grams_l = strength * 10 if name == "strength_percent_w_v" else strength
    if density is not None and grams_l > density * 10 * product.pure_percent * LABEL_ROUNDING:
        raise InputError(below(where, name), "is more than the pure product at this density")
    if not by_mass:
        return amount * LITRES[unit] * grams_l
    needed = _needed(density, where, f"{unit} with a strength by volume")
    return amount * GRAMS[unit] / (needed * 1000) * grams_l


def unit_of(unit: Any, where: str) -> str:
    """Check a unit of mass or volume; gal and oz alone are refused.

    Parameters
    ----------
    unit, where : object, str
        What was handed in, and its field's path for the message.
    """
    if isinstance(unit, str) and (unit in GRAMS or unit in LITRES):
        return unit
    known = ", ".join((*GRAMS, *LITRES))
    if isinstance(unit, str) and unit.lower().strip(". ") in AMBIGUOUS:
        hint = AMBIGUOUS[unit.lower().strip(". ")]
        raise InputError(where, f"{unit} can be read two ways; {hint}")
    raise InputError(where, f"must be one of {known}, not {shown(unit)}")


def strength_of(product: Product, given: Mapping[str, Any], where: str) -> tuple[str, float]:
    """Give the one strength that is stated, by the name of its key."""
    stated = [name for name in STRENGTHS if name in given]
    if len(stated) != 1:
        raise InputError(
            below(where, stated[1] if stated else "strength"),
            f"state one strength of the {product.name} ({product.strength_means}):"
            f" {', '.join(STRENGTHS)}",
        )
    name = stated[0]
    path = below(where, name)
    most = product.pure_percent if name == "strength_percent_w_w" else MOST_G_L
    if name == "strength_percent_w_v":
        most = MOST_G_L / 10
    strength = number_field(given[name], path, 0, most * LABEL_ROUNDING)
    if strength <= 0:
        raise InputError(path, "must be above 0")
    return name, strength


def density_of(given: Mapping[str, Any], where: str) -> float | None:
    """Give the density where it is stated, in kg/L."""
    if "density_kg_l" not in given:
        return None
    return number_field(given["density_kg_l"], below(where, "density_kg_l"), *DENSITY_KG_L)


def _present(given: Mapping[str, Any], name: str, where: str) -> Any:
    if name not in given:
        raise InputError(below(where, name), "is missing")
    return given[name]


def _needed(density: float | None, where: str, what: str) -> float:
    if density is None:
        raise InputError(below(where, "density_kg_l"), f"is missing: {what} needs it")
    return density
