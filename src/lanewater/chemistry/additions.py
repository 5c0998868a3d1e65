"""Products added to a water: at once, and once the added chlorine is used."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from lanewater.chemistry.fields import number_field, object_field
from lanewater.chemistry.products import Product, must_not_meet, product_of
from lanewater.chemistry.strengths import STRENGTH_KEYS, grams_active
from lanewater.chemistry.water import (
    Finding,
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


def additions_from(given: Any) -> tuple[Water, tuple[Addition, ...]]:
    """Read a water, its volume and what is added to it.

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
    return water, tuple(
        addition_from(entry, f"additions[{index}]", volume_m3)
        for index, entry in enumerate(entries)
    )


def addition_from(entry: Any, where: str, volume_m3: float) -> Addition:
    """Read one addition; see `additions_from`."""
    table = object_field(entry, where, ("product", "amount", "unit", *STRENGTH_KEYS, CAUSTIC_KEY))
    name = table.get("product", "")
    if not isinstance(name, str) or not name:
        raise InputError(below(where, "product"), "must be a product id")
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
    k: tuple[float, ...], k_low: tuple[float, ...], water: Water, added: tuple[Addition, ...]
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

    Returns
    -------
    dict
        `before`, `after` and `after_use` as `describe` gives a water; `added`, `assumed` and
        `findings`, among them `must_not_meet`.
    """
    before = describe(k, k_low, water)
    waters = after_additions(k, water, added)
    low = after_additions(k_low, water, added)
    findings = [*meetings(added), *unspent(k, water, added)]
    return {
        "before": {"ph": water.ph, **before},
        "after": _described(waters[0], low[0], water, before["findings"]),
        "after_use": _described(waters[1], low[1], water, before["findings"]),
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
        "findings": findings,
    }


def after_additions(
    k: tuple[float, ...], water: Water, added: tuple[Addition, ...]
) -> tuple[Solved, Solved]:
    """Give a water's figures after all additions, at once and with the added chlorine used."""
    status, totals = totals_of_reading(k, water.reading)
    if status != SOLVED:
        nothing = (status, figure.no_figures())
        return nothing, nothing
    before = totals[T_HYPOCHLORITE]
    for addition in added:
        totals = add_product(
            totals, addition.product.index, addition.mol_l, addition.excess_caustic
        )
    used = use_up_chlorine(totals, max(totals[T_HYPOCHLORITE] - before, 0.0))
    return (
        figure.figures_of_totals(k, water.temperature_c, totals),
        figure.figures_of_totals(k, water.temperature_c, used),
    )


def _described(solved: Solved, low: Solved, water: Water, already: list[Finding]) -> dict[str, Any]:
    status, figures = solved
    answer: dict[str, Any] = {"ph": figures[figure.F_PH] if status == SOLVED else None}
    for name, index in (
        ("total_alkalinity_mg_l", figure.F_TOTAL_ALKALINITY),
        ("calcium_hardness_mg_l", figure.F_CALCIUM),
        ("cyanuric_acid_mg_l", figure.F_CYANURIC_ACID),
        ("boron_mg_l", figure.F_BORON),
        ("sulfate_mg_l", figure.F_SULFATE),
        ("free_chlorine_mg_l", figure.F_FREE_CHLORINE),
    ):
        answer[name] = figures[index] if status == SOLVED else None
    answer.update(answer_of(solved, low, water.temperature_c))
    answer["findings"] = (
        findings_of(solved, low, water.temperature_c) if status == SOLVED else already
    )
    return answer


def meetings(added: tuple[Addition, ...]) -> list[Finding]:
    """Find the pairs that must not meet; each pair once."""
    found: list[Finding] = []
    names = list(dict.fromkeys(addition.product.id for addition in added))
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
