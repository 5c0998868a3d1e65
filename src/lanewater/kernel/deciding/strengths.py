"""How strong a product is: stated, dated, of a unit that can be measured out, and believable.

The bands in which a strength is believable are judgement and memory (JUDG, MEM); they catch 12
typed as g/L for 12 %, which would give ten times the product.
"""

from typing import Any

from lanewater.kernel.deciding.asking import (
    UNKNOWN,
    number_in,
    part,
    refusal,
    whole_in,
    word_in,
)

LIQUIDS = ("sodium-hypochlorite", "hydrochloric-acid")
AGEING = ("sodium-hypochlorite",)
STRENGTH_UNITS = ("g-l", "percent-w-v", "percent-w-w")
LEAST_DENSITY = 900
HIGHEST_DENSITY = 1500
A_DAY = 86400
MOST_CAUSTIC = 300  # thousandths of a mol a mol; 34 to 126 are sold
# In thousandths of % or g/L: more than any product has; products of it are still exact.
LARGEST_STRENGTH = 1000000
# Liquids in thousandths of g/L, solids in thousandths of ten times their percentage.
BELIEVABLE = {
    "sodium-hypochlorite": (30000, 200000),
    "hydrochloric-acid": (50000, 460000),
    "calcium-hypochlorite": (450000, 800000),
    "sodium-dichloroisocyanurate": (500000, 650000),
    "sodium-bisulfate": (800000, 1000000),
    "sodium-carbonate": (900000, 1000000),
    "sodium-bicarbonate": (900000, 1000000),
    "calcium-chloride": (700000, 1000000),
    "sodium-thiosulfate": (600000, 1000000),
}


def strength_divisor(product: dict[str, Any]) -> int:
    """Give what micrograms of active substance are divided by to give millilitres or grams.

    For a liquid it is its strength in thousandths of g/L, for a solid ten times its percentage
    in thousandths.
    """
    strength = part(product, "strength")
    value = min(number_in(strength, "value"), LARGEST_STRENGTH)
    unit = word_in(strength, "unit")
    if unit == "g-l":
        return value
    if unit == "percent-w-w" and word_in(product, "substance") in LIQUIDS:
        return value * 10 * number_in(product, "density_kg_l") // 1000
    return value * 10


def unit_refusals(product: dict[str, Any]) -> list[dict[str, Any]]:
    """Refuse a strength whose unit does not give an amount that can be measured out."""
    unit = word_in(part(product, "strength"), "unit")
    liquid = word_in(product, "substance") in LIQUIDS
    if unit not in STRENGTH_UNITS:
        return [
            refusal("strength-unit-missing", "The strength has no unit.", "State w/w, w/v or g/L.")
        ]
    if not liquid and unit != "percent-w-w":
        return [
            refusal("strength-unit-wrong", "A solid's strength is % by weight.", "State it in w/w.")
        ]
    density = number_in(product, "density_kg_l")
    known = density >= LEAST_DENSITY and density <= HIGHEST_DENSITY
    if liquid and unit == "percent-w-w" and not known:
        return [
            refusal(
                "density-missing",
                "A strength by weight cannot be poured by volume without the density.",
                "State the density in kg/L, 0.9 to 1.5.",
            )
        ]
    return []


def date_refusals(request: dict[str, Any], product: dict[str, Any]) -> list[dict[str, Any]]:
    """Refuse a strength without a date, or older than the site's limit for such a product."""
    on = whole_in(part(product, "strength"), "at")
    ages = part(request, "ages")
    limit = whole_in(ages, "stable_strength_s")
    if word_in(product, "substance") in AGEING:
        limit = whole_in(ages, "strength_s")
    now = whole_in(request, "at")
    if on == UNKNOWN:
        return [refusal("strength-undated", "The strength has no date.", "Date it, or measure it.")]
    if limit == UNKNOWN:
        return [refusal("age-limit-missing", "The site's age limit is not set.", "Set it in Site.")]
    if now == UNKNOWN or now - on > limit or on - now > A_DAY:
        return [
            refusal("strength-old", "The strength is too old to dose by.", "Measure it, date it.")
        ]
    return []


def strength_refusals(request: dict[str, Any], product: dict[str, Any]) -> list[dict[str, Any]]:
    """Refuse a strength that is missing, undated, too old, of a wrong unit or not believable."""
    found = date_refusals(request, product)
    value = number_in(part(product, "strength"), "value")
    if value == UNKNOWN or value == 0:
        found.append(
            refusal("strength-missing", "The product's strength is not stated.", "Read the label.")
        )
        return found
    if number_in(product, "excess_caustic") > MOST_CAUSTIC:
        found.append(
            refusal(
                "excess-caustic-not-believable",
                "No hypochlorite holds so much caustic.",
                "State mol of caustic a mol of hypochlorite, such as 0.05, or leave it out.",
            )
        )
    units = unit_refusals(product)
    for entry in units:
        found.append(entry)
    band = BELIEVABLE.get(word_in(product, "substance"), (1, 0))
    if len(units) == 0:
        divisor = strength_divisor(product)
        if divisor < band[0] or divisor > band[1]:
            found.append(
                refusal(
                    "strength-not-believable",
                    "No such product has that strength in that unit.",
                    "Read the label again: % or g/L?",
                )
            )
    return found
