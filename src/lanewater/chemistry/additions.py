"""Products and fresh water added to a water: at once, and once the added chlorine is used."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lanewater.chemistry.fields import number_field, object_field
from lanewater.chemistry.freshwater import (
    FRESH_WATER,
    QUESTION_KEY,
    FreshWater,
    assumed,
    exchange_findings,
    exchange_from,
    told,
    water_within,
)
from lanewater.chemistry.meetings import meetings, not_computed
from lanewater.chemistry.neutralisers import assumed_road, portions, unspent
from lanewater.chemistry.products import (
    OTHER,
    SLAKED_LIME_G_MOL,
    Product,
    product_of,
)
from lanewater.chemistry.steps import (
    Addition,
    Step,
    after_additions,
    is_thiosulfate,
    put_in,
)
from lanewater.chemistry.strengths import LABEL_KEYS, grams_active, lime_grams, unit_of
from lanewater.chemistry.water import (
    ANSWER,
    Finding,
    Low,
    Solved,
    Water,
    answer_of,
    describe,
    findings_of,
    water_from,
)
from lanewater.kernel.water import saturation as figure
from lanewater.kernel.water.additions import P_SODIUM_HYPOCHLORITE
from lanewater.kernel.water.equilibrium import totals_of_reading
from lanewater.kernel.water.slots import SOLVED
from lanewater.kernel.water.units import mol_of_product
from lanewater.terms.errors import InputError
from lanewater.terms.shapes import below

ALSO = ("volume_m3", "additions", QUESTION_KEY)
VOLUME_M3 = (0.001, 1e6)
MOST_ADDITIONS = 20
CAUSTIC_KEY = "excess_caustic_mol_per_mol"
CAUSTIC_DEFAULT = 0.05
CAUSTIC_RANGE = (0.0, 0.5)
MOST_ADDED_G_L = 20.0

# What a tester would read in the water afterwards.
READ_AGAIN = {
    "ph": figure.F_PH,
    "total_alkalinity_mg_l": figure.F_TOTAL_ALKALINITY,
    "calcium_hardness_mg_l": figure.F_CALCIUM,
    "cyanuric_acid_mg_l": figure.F_CYANURIC_ACID,
    "boron_mg_l": figure.F_BORON,
    "sulfate_mg_l": figure.F_SULFATE,
    "free_chlorine_mg_l": figure.F_FREE_CHLORINE,
}


def additions_from(given: Any) -> tuple[Water, tuple[Step, ...], tuple[str, ...]]:
    """Read a water, its volume and what is added to it.

    Returns
    -------
    Water
        Before.
    tuple of Addition or FreshWater
        In the order in which they are added.
    tuple of str
        Ids of what is added and kept only for what it must not meet.

    Raises
    ------
    InputError
        Naming the field.
    """
    water = water_from(given, ALSO)
    for name in ALSO[:2]:
        if name not in given:
            raise InputError(name, "is missing")
    fresh = None
    if QUESTION_KEY in given:
        fresh = water_within(given[QUESTION_KEY], QUESTION_KEY)
    volume_m3 = number_field(given["volume_m3"], "volume_m3", *VOLUME_M3)
    entries = given["additions"]
    if not isinstance(entries, list | tuple) or not 1 <= len(entries) <= MOST_ADDITIONS:
        raise InputError("additions", f"must be a list of 1 to {MOST_ADDITIONS} additions")
    read = [
        addition_from(entry, f"additions[{index}]", volume_m3, fresh)
        for index, entry in enumerate(entries)
    ]
    return (
        water,
        tuple(one for one in read if not isinstance(one, str)),
        tuple(one for one in read if isinstance(one, str)),
    )


def addition_from(
    entry: Any, where: str, volume_m3: float, fresh: Water | None = None
) -> Step | str:
    """Read one addition; of what is not computed only its id (see `additions_from`)."""
    if isinstance(entry, Mapping) and entry.get("product") == FRESH_WATER:
        return exchange_from(entry, where, volume_m3, fresh)
    table = object_field(entry, where, ("product", "amount", "unit", *LABEL_KEYS, CAUSTIC_KEY))
    name = table.get("product", "")
    if not isinstance(name, str) or not name:
        raise InputError(below(where, "product"), "must be a product id")
    if OTHER.fullmatch(name):
        if "unit" in table:
            unit_of(table["unit"], below(where, "unit"))
        return name
    product = product_of(name, below(where, "product"))
    grams = grams_active(product, table, where)
    lime = lime_grams(product, table, where)
    litres = volume_m3 * 1000
    if max(grams, lime) / litres > MOST_ADDED_G_L:
        raise InputError(
            below(where, "amount"),
            f"would put more than {MOST_ADDED_G_L:g} g in each litre;"
            " look at the amount, its unit and the volume",
        )
    mol_l = mol_of_product(product.index, grams) / litres
    caustic = caustic_of(table, product, where)
    return Addition(product, grams, mol_l, caustic, lime / SLAKED_LIME_G_MOL / litres)


def caustic_of(table: Mapping[str, Any], product: Product, where: str) -> float:
    """Give the excess caustic: as stated, or the default; only sodium hypochlorite has any."""
    path = below(where, CAUSTIC_KEY)
    if product.index != P_SODIUM_HYPOCHLORITE:
        if CAUSTIC_KEY in table:
            raise InputError(path, "goes with sodium-hypochlorite alone")
        return 0.0
    return number_field(table.get(CAUSTIC_KEY, CAUSTIC_DEFAULT), path, *CAUSTIC_RANGE)


def describe_additions(
    k: tuple[float, ...],
    k_low: tuple[float, ...],
    water: Water,
    added: tuple[Step, ...],
    others: tuple[str, ...] = (),
) -> dict[str, Any]:
    """Give all that `calc addition` answers.

    Parameters
    ----------
    k, k_low : tuple of float
        The flat tuples of the default cyanurate set and of the one that gives less HOCl.
    water : Water
        Before.
    added : tuple of Addition or FreshWater
        In the order in which they are added.
    others : tuple of str, optional
        Ids of what is added and not computed; with one, no figure is given of the water after.

    Returns
    -------
    dict
        `before`, `after` and `after_use` as `describe` gives a water, and `after_other_route`
        where thiosulfate is added, else null; `added`, `assumed` and `findings`, among them
        `must_not_meet`.
    """
    roads = any(is_thiosulfate(step) for step in added)
    if others:
        after = after_use = undescribed(water, others)
        other_route = after if roads else None
    else:
        after, after_use = described(k, k_low, water, added)
        other_route = described(k, k_low, water, added, other_road=True)[0] if roads else None
    products = [step for step in added if isinstance(step, Addition)]
    return {
        "before": {"ph": water.ph, **describe(k, k_low, water)},
        "after": after,
        "after_use": after_use,
        "after_other_route": other_route,
        "added": [listed(step) for step in added],
        "assumed": assumptions(water, added),
        "assumed_zero": list(water.assumed_zero),
        "findings": [
            *meetings([*(step.product.id for step in products), *others]),
            *not_computed(others),
            *found_on_the_way(k, water, added),
        ],
    }


def listed(step: Step) -> dict[str, Any]:
    """Give one step as the answer lists it."""
    if isinstance(step, FreshWater):
        return told(step)
    return {
        "product": step.product.id,
        "grams_active": step.grams_active,
        "strength_means": step.product.strength_means,
        "mol_l": step.mol_l,
        "method": step.product.method,
    }


def described(
    k: tuple[float, ...],
    k_low: tuple[float, ...],
    water: Water,
    added: tuple[Step, ...],
    other_road: bool = False,
) -> list[dict[str, Any]]:
    """Describe the water after all additions, at once and with the added chlorine used."""
    after = after_additions(k, water, added, other_road)
    lows = after_additions(k_low, water, added, other_road)
    temperature = after.temperature_c
    answers = []
    pairs = ((after.totals, lows.totals), (after.used, lows.used))
    for totals, low_totals in pairs:
        solved: Solved = (after.status, figure.no_figures())
        low: Low = (lows.status, 0.0)
        if after.status == SOLVED:
            solved = figure.figures_of_totals(k, temperature, totals)
        if lows.status == SOLVED:
            low = figure.hocl_of_totals(k_low, temperature, low_totals)
        answers.append(
            {
                **{
                    name: solved[1][index] if solved[0] == SOLVED else None
                    for name, index in READ_AGAIN.items()
                },
                **answer_of(solved, low, temperature),
                "temperature_c": temperature,
                "assumed_zero": list(water.assumed_zero),
                "findings": findings_of(solved, low, temperature),
            }
        )
    return answers


def undescribed(water: Water, others: tuple[str, ...]) -> dict[str, Any]:
    """Give a water after something was added whose effect is not computed: no figure."""
    return {
        **dict.fromkeys(READ_AGAIN),
        **dict.fromkeys(ANSWER),
        "temperature_c": water.temperature_c,
        "assumed_zero": list(water.assumed_zero),
        "findings": not_computed(others),
    }


def found_on_the_way(k: tuple[float, ...], water: Water, added: tuple[Step, ...]) -> list[Finding]:
    """Say what stands against each step, in the water that it meets."""
    status, totals = totals_of_reading(k, water.reading)
    if status != SOLVED:
        return []
    found: list[Finding] = []
    for step in added:
        mine, after = put_in(k, totals, step)
        if isinstance(step, FreshWater):
            found += exchange_findings(step, mine)
        elif "reducer" in step.product.groups:
            found += portions(totals, step.product, step.mol_l)
            found += unspent(totals, step.product, step.mol_l)
        totals = after
    return found


def assumptions(water: Water, added: tuple[Step, ...]) -> list[str]:
    """Say what was assumed beyond the readings."""
    said = ["One litre is taken as one kilogram; the addition is mixed through the whole volume."]
    for step in added:
        if isinstance(step, FreshWater):
            said += assumed(step, water.temperature_c)
            continue
        if step.product.index == P_SODIUM_HYPOCHLORITE:
            said.append(
                "sodium-hypochlorite brings one NaCl and"
                f" {step.excess_caustic:g} mol of excess caustic a mol of NaOCl."
            )
        if "reducer" in step.product.groups:
            said.append(assumed_road(step.product))
    return list(dict.fromkeys(said))
