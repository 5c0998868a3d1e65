"""Every product keeps charge and mass; chlorine used takes alkalinity with it."""

from __future__ import annotations

import pytest

from lanewater.kernel.water.additions import (
    P_BORAX,
    P_CALCIUM_HYPOCHLORITE,
    P_SODIUM_HYPOCHLORITE,
    P_SODIUM_SULFITE,
    P_SODIUM_THIOSULFATE,
    STOICHIOMETRY,
    add_product,
    mixed_totals,
    unspent_reducer,
    use_up_chlorine,
)
from lanewater.kernel.water.equilibrium import totals_of_reading
from lanewater.kernel.water.slots import (
    T_ALKALINITY,
    T_BORATE,
    T_CALCIUM,
    T_CHLORIDE,
    T_HYPOCHLORITE,
    T_MAGNESIUM,
    T_SODIUM,
    T_SULFATE,
)
from lanewater.kernel.water.units import PRODUCT_GRAMS, grams_of_product, mol_of_product
from lanewater.service.constants import load_constants

READING = (7.4, 28.0, 100.0, 200.0, 30.0, 10.0, 300.0, 50.0, 1.0, 5.0)
PRODUCTS = range(len(STOICHIOMETRY))


def start() -> tuple[float, ...]:
    return totals_of_reading(load_constants(), READING)[1]


def charge(totals: tuple[float, ...]) -> float:
    positive = totals[T_SODIUM] + 2 * (totals[T_CALCIUM] + totals[T_MAGNESIUM])
    return positive - totals[T_CHLORIDE] - 2 * totals[T_SULFATE] - totals[T_ALKALINITY]


@pytest.mark.parametrize("product", PRODUCTS)
@pytest.mark.parametrize("mol_l", [0.0, 1e-6, 1e-5, 1e-3])
def test_every_product_keeps_the_charge(product: int, mol_l: float) -> None:
    after = add_product(start(), product, mol_l, 0.08)
    assert charge(after) == pytest.approx(0.0, abs=1e-14)
    assert charge(use_up_chlorine(after, 1e-4)) == pytest.approx(0.0, abs=1e-14)


@pytest.mark.parametrize("product", PRODUCTS)
def test_nothing_added_changes_nothing(product: int) -> None:
    assert add_product(start(), product, 0.0, 0.05) == start()


@pytest.mark.parametrize("product", PRODUCTS)
def test_two_halves_are_one_whole(product: int) -> None:
    once = add_product(start(), product, 4e-6, 0.05)
    half = add_product(start(), product, 2e-6, 0.05)
    assert add_product(half, product, 2e-6, 0.05) == pytest.approx(once)


def test_chlorine_is_never_used_up_below_nothing() -> None:
    after = use_up_chlorine(start(), 1.0)
    assert after[T_HYPOCHLORITE] == 0.0
    assert after[T_ALKALINITY] == pytest.approx(start()[T_ALKALINITY] - start()[T_HYPOCHLORITE])
    assert use_up_chlorine(start(), -1.0) == start()


@pytest.mark.parametrize(
    ("product", "chlorine", "acid"), [(P_SODIUM_THIOSULFATE, 4, 6), (P_SODIUM_SULFITE, 1, 1)]
)
def test_a_neutraliser_takes_what_its_reaction_says(product: int, chlorine: int, acid: int) -> None:
    mol_l = start()[T_HYPOCHLORITE] / chlorine / 2
    after = add_product(start(), product, mol_l, 0.0)
    assert after[T_HYPOCHLORITE] == pytest.approx(start()[T_HYPOCHLORITE] / 2)
    assert start()[T_ALKALINITY] - after[T_ALKALINITY] == pytest.approx(acid * mol_l)
    assert unspent_reducer(start(), product, mol_l) == 0.0


@pytest.mark.parametrize("product", [P_SODIUM_THIOSULFATE, P_SODIUM_SULFITE])
def test_what_finds_no_chlorine_is_told_and_takes_none(product: int) -> None:
    after = add_product(start(), product, 1e-3, 0.0)
    assert after[T_HYPOCHLORITE] == pytest.approx(0.0, abs=1e-18)
    rest = unspent_reducer(start(), product, 1e-3)
    assert 0 < rest < 1e-3
    again = add_product(after, product, 1e-3, 0.0)
    assert again[T_ALKALINITY] == pytest.approx(after[T_ALKALINITY])
    assert unspent_reducer(start(), P_BORAX, 1e-3) == 0.0


def test_caustic_belongs_to_sodium_hypochlorite_alone() -> None:
    bare = add_product(start(), P_SODIUM_HYPOCHLORITE, 1e-4, 0.0)
    caustic = add_product(start(), P_SODIUM_HYPOCHLORITE, 1e-4, 0.1)
    assert caustic[T_ALKALINITY] - bare[T_ALKALINITY] == pytest.approx(1e-5)
    other = add_product(start(), P_CALCIUM_HYPOCHLORITE, 1e-4, 0.1)
    assert other == add_product(start(), P_CALCIUM_HYPOCHLORITE, 1e-4, 0.0)


def test_borax_brings_four_borons() -> None:
    after = add_product(start(), P_BORAX, 1e-4, 0.0)
    assert after[T_BORATE] - start()[T_BORATE] == pytest.approx(4e-4)


def test_mixing_keeps_what_each_water_brings() -> None:
    other = tuple(2 * value for value in start())
    mixed = mixed_totals(start(), other, 0.25)
    assert mixed == pytest.approx(tuple(1.25 * value for value in start()))
    assert mixed_totals(start(), other, 0.0) == pytest.approx(start())
    assert mixed_totals(start(), other, 1.0) == pytest.approx(other)


@pytest.mark.parametrize("product", PRODUCTS)
def test_grams_and_mol_are_each_others_inverse(product: int) -> None:
    assert mol_of_product(product, grams_of_product(product, 0.3)) == pytest.approx(0.3)
    assert len(PRODUCT_GRAMS) == len(STOICHIOMETRY)
