"""Products added to a water: at once, and once the added chlorine is used."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from lanewater.chemistry.fields import number_field, object_field
from lanewater.chemistry.products import OTHER, Product, groups_of, must_not_meet, product_of
from lanewater.chemistry.strengths import STRENGTH_KEYS, grams_active, unit_of
from lanewater.chemistry.water import (
    ANSWER,
    Finding,
    Low,
    Solved,
    Water,
    answer_of,
    describe,
    finding,
    findings_of,
    water_from,
)
from lanewater.kernel.water import saturation as figure
from lanewater.kernel.water.additions import (
    P_SODIUM_HYPOCHLORITE,
    add_product,
    unspent_reducer,
    use_up_chlorine,
)
from lanewater.kernel.water.equilibrium import totals_of_reading
from lanewater.kernel.water.slots import SOLVED, T_HYPOCHLORITE
from lanewater.kernel.water.units import mol_of_product
from lanewater.terms.errors import InputError
from lanewater.terms.shapes import below

ALSO = ("volume_m3", "additions")
VOLUME_M3 = (0.001, 1e6)
MOST_ADDITIONS = 20
CAUSTIC_KEY = "excess_caustic_mol_per_mol"
CAUSTIC_DEFAULT = 0.05
CAUSTIC_RANGE = (0.0, 0.5)
MOST_ADDED_G_L = 20.0
TRACE_MOL_L = 1e-9

Totals = tuple[float, ...]

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
    """

    product: Product
    grams_active: float
    mol_l: float
    excess_caustic: float


def additions_from(given: Any) -> tuple[Water, tuple[Addition, ...], tuple[str, ...]]:
    """Read a water, its volume and what is added to it.

    Returns
    -------
    Water
        Before.
    tuple of Addition
        In the order in which they are added.
    tuple of str
        Ids of what is added and kept only for what it must not meet.

    Raises
    ------
    InputError
        Naming the field.
    """
    water = water_from(given, ALSO)
    for name in ALSO:
        if name not in given:
            raise InputError(name, "is missing")
    volume_m3 = number_field(given["volume_m3"], "volume_m3", *VOLUME_M3)
    entries = given["additions"]
    if not isinstance(entries, list | tuple) or not 1 <= len(entries) <= MOST_ADDITIONS:
        raise InputError("additions", f"must be a list of 1 to {MOST_ADDITIONS} additions")
    read = [
        addition_from(entry, f"additions[{index}]", volume_m3)
        for index, entry in enumerate(entries)
    ]
    return (
        water,
        tuple(one for one in read if isinstance(one, Addition)),
        tuple(one for one in read if isinstance(one, str)),
    )


def addition_from(entry: Any, where: str, volume_m3: float) -> Addition | str:
    """Read one addition; of what is not computed only its id (see `additions_from`)."""
    table = object_field(entry, where, ("product", "amount", "unit", *STRENGTH_KEYS, CAUSTIC_KEY))
    name = table.get("product", "")
    if not isinstance(name, str) or not name:
        raise InputError(below(where, "product"), "must be a product id")
    if OTHER.fullmatch(name):
        if "unit" in table:
            unit_of(table["unit"], below(where, "unit"))
        return name
    product = product_of(name, below(where, "product"))
    grams = grams_active(product, table, where)
    if grams / (volume_m3 * 1000) > MOST_ADDED_G_L:
        raise InputError(
            below(where, "amount"),
            f"would put more than {MOST_ADDED_G_L:g} g in each litre;"
            " look at the amount, its unit and the volume",
        )
    mol_l = mol_of_product(product.index, grams) / (volume_m3 * 1000)
    return Addition(product, grams, mol_l, caustic_of(table, product, where))


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
    added: tuple[Addition, ...],
    others: tuple[str, ...] = (),
) -> dict[str, Any]:
    """Give all that `calc addition` answers.

    Parameters
    ----------
    k, k_low : tuple of float
        The flat tuples of the default cyanurate set and of the one that gives less HOCl.
    water : Water
        Before.
    added : tuple of Addition
        In the order in which they are added.
    others : tuple of str, optional
        Ids of what is added and not computed; with one, no figure is given of the water after.

    Returns
    -------
    dict
        `before`, `after` and `after_use` as `describe` gives a water; `added`, `assumed` and
        `findings`, among them `must_not_meet`.
    """
    if others:
        after = after_use = undescribed(water, others)
    else:
        after, after_use = described(k, k_low, water, added)
    names = [addition.product.id for addition in added]
    return {
        "before": {"ph": water.ph, **describe(k, k_low, water)},
        "after": after,
        "after_use": after_use,
        "added": [
            {
                "product": addition.product.id,
                "grams_active": addition.grams_active,
                "strength_means": addition.product.strength_means,
                "mol_l": addition.mol_l,
                "method": addition.product.method,
            }
            for addition in added
        ],
        "assumed": assumptions(added),
        "assumed_zero": list(water.assumed_zero),
        "findings": [
            *meetings([*names, *others]),
            *not_computed(others),
            *unspent(k, water, added),
        ],
    }


def after_additions(
    k: tuple[float, ...], water: Water, added: tuple[Addition, ...]
) -> tuple[int, Totals, Totals]:
    """Give the totals after all additions, at once and with the added chlorine used.

    Returns
    -------
    int
        The kernel's status of the water before.
    tuple of float
        Totals at once, and once the added chlorine is used. [mol/L]
    """
    status, totals = totals_of_reading(k, water.reading)
    before = totals[T_HYPOCHLORITE]
    for addition in added:
        totals = add_product(
            totals, addition.product.index, addition.mol_l, addition.excess_caustic
        )
    return status, totals, use_up_chlorine(totals, max(totals[T_HYPOCHLORITE] - before, 0.0))


def described(
    k: tuple[float, ...], k_low: tuple[float, ...], water: Water, added: tuple[Addition, ...]
) -> list[dict[str, Any]]:
    """Describe the water after all additions, at once and with the added chlorine used."""
    status, *afters = after_additions(k, water, added)
    low_status, *lows = after_additions(k_low, water, added)
    temperature = water.temperature_c
    answers = []
    for totals, low_totals in zip(afters, lows, strict=True):
        solved: Solved = (status, figure.no_figures())
        low: Low = (low_status, 0.0)
        if status == SOLVED:
            solved = figure.figures_of_totals(k, temperature, totals)
        if low_status == SOLVED:
            low = figure.hocl_of_totals(k_low, temperature, low_totals)
        answers.append(
            {
                **{
                    name: solved[1][index] if solved[0] == SOLVED else None
                    for name, index in READ_AGAIN.items()
                },
                **answer_of(solved, low, temperature),
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
        "assumed_zero": list(water.assumed_zero),
        "findings": not_computed(others),
    }


def not_computed(others: tuple[str, ...]) -> list[Finding]:
    """Say of which products nothing is computed."""
    return [
        finding(
            "not-computed",
            name,
            "It is kept only for what it must not meet: what it does to the water is not computed."
            + ("" if groups_of(name) else " What it must not meet is not known here either."),
            "Read its label and data sheet, and test the water after it.",
        )
        for name in dict.fromkeys(others)
    ]


def meetings(ids: list[str]) -> list[Finding]:
    """Find the pairs of products that must not meet; each pair once."""
    found: list[Finding] = []
    names = list(dict.fromkeys(ids))
    for index, one in enumerate(names):
        for other in names[index + 1 :]:
            reasons = must_not_meet(one, other)
            if reasons:
                found.append(
                    finding(
                        "must_not_meet",
                        f"{one} + {other}",
                        "; ".join(reasons).capitalize() + ".",
                        "One product at a time: add the first, circulate, wait and test before"
                        " the second. Never in the same jug, feeder or place.",
                    )
                )
    return found


def unspent(k: tuple[float, ...], water: Water, added: tuple[Addition, ...]) -> list[Finding]:
    """Say where a neutraliser finds less chlorine than it can use up."""
    status, totals = totals_of_reading(k, water.reading)
    if status != SOLVED:
        return []
    found: list[Finding] = []
    for addition in added:
        rest = unspent_reducer(totals, addition.product.index, addition.mol_l)
        if rest > TRACE_MOL_L:
            found.append(
                finding(
                    "more-neutraliser-than-chlorine",
                    addition.product.id,
                    f"{100 * rest / addition.mol_l:.0f} % of it finds no chlorine and stays in the"
                    " water, where it uses up the chlorine added next; its effect on pH is not"
                    " computed.",
                    "Add less, in steps, and test between them.",
                )
            )
        totals = add_product(
            totals, addition.product.index, addition.mol_l, addition.excess_caustic
        )
    return found


def assumptions(added: tuple[Addition, ...]) -> list[str]:
    """Say what was assumed beyond the readings."""
    said = ["One litre is taken as one kilogram; the addition is mixed through the whole volume."]
    for addition in added:
        if addition.product.index == P_SODIUM_HYPOCHLORITE:
            said.append(
                "sodium-hypochlorite brings one NaCl and"
                f" {addition.excess_caustic:g} mol of excess caustic a mol of NaOCl."
            )
        if "reducer" in addition.product.groups:
            said.append(
                f"{addition.product.id} is taken to react to sulfate at once; at pool pH part of"
                " it may react otherwise, so that its effect on pH is not promised."
            )
    return list(dict.fromkeys(said))
