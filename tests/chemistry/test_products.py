"""The register: what each product is, how it may be given, what it must not meet."""

from __future__ import annotations

import pytest

from lanewater.chemistry.products import (
    PRODUCTS,
    must_not_meet,
    product_of,
)
from lanewater.kernel.water.additions import STOICHIOMETRY
from lanewater.terms.errors import InputError

IDS = (
    "sodium-hypochlorite",
    "calcium-hypochlorite",
    "chlorine",
    "sodium-dichloroisocyanurate",
    "trichloroisocyanuric-acid",
    "hydrochloric-acid",
    "sodium-bisulfate",
    "sulfuric-acid",
    "carbon-dioxide",
    "sodium-bicarbonate",
    "sodium-carbonate",
    "sodium-hydroxide",
    "calcium-chloride",
    "cyanuric-acid",
    "boric-acid",
    "borax",
    "sodium-thiosulfate",
    "sodium-sulfite",
)
CHLORINES = IDS[:5]


def test_every_product_of_the_outward_face_is_registered_in_its_order() -> None:
    assert tuple(PRODUCTS) == IDS
    assert [product.index for product in PRODUCTS.values()] == list(range(len(STOICHIOMETRY)))


@pytest.mark.parametrize(
    "name",
    [
        "chlorine",
        "carbon-dioxide",
        "sulfuric-acid",
        "sodium-hydroxide",
        "trichloroisocyanuric-acid",
    ],
)
def test_what_is_never_a_hand_amount_is_not_by_hand(name: str) -> None:
    assert PRODUCTS[name].method in {"feeder-only", "never-by-hand"}


def test_only_chlorines_are_told_by_available_chlorine() -> None:
    told = [p.id for p in PRODUCTS.values() if p.strength_means.startswith("available")]
    assert tuple(told) == CHLORINES


@pytest.mark.parametrize(
    ("name", "percent"),
    [
        ("sodium-hypochlorite", 95.25),
        ("calcium-hypochlorite", 99.18),
        ("sodium-dichloroisocyanurate", 64.48),
        ("trichloroisocyanuric-acid", 91.53),
        ("chlorine", 100),
        ("sodium-bisulfate", 100),
    ],
)
def test_the_pure_compound_is_the_strongest_product(name: str, percent: float) -> None:
    assert PRODUCTS[name].pure_percent == pytest.approx(percent, abs=0.01)


@pytest.mark.parametrize("acid", ["hydrochloric-acid", "sodium-bisulfate", "sulfuric-acid"])
@pytest.mark.parametrize("chlorine", CHLORINES)
def test_acid_must_not_meet_any_chlorine(acid: str, chlorine: str) -> None:
    assert any("gas" in why for why in must_not_meet(acid, chlorine))
    assert must_not_meet(acid, chlorine) == must_not_meet(chlorine, acid)


@pytest.mark.parametrize("one", CHLORINES)
@pytest.mark.parametrize("other", CHLORINES)
def test_two_kinds_of_chlorine_must_not_meet(one: str, other: str) -> None:
    assert bool(must_not_meet(one, other)) == (one != other)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("calcium-chloride", "sodium-bicarbonate"),
        ("calcium-chloride", "sodium-carbonate"),
        ("calcium-hypochlorite", "sodium-carbonate"),
        ("other:polyaluminium-chloride", "sodium-hypochlorite"),
        ("other:biguanide", "sodium-hypochlorite"),
        ("other:bromine-tablets", "calcium-hypochlorite"),
        ("hydrochloric-acid", "sodium-hydroxide"),
        ("hydrochloric-acid", "sodium-sulfite"),
        ("sodium-thiosulfate", "sodium-hypochlorite"),
    ],
)
def test_other_pairs_that_must_not_meet(one: str, other: str) -> None:
    assert must_not_meet(one, other)
    assert must_not_meet(other, one)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("sodium-bicarbonate", "sodium-carbonate"),
        ("cyanuric-acid", "boric-acid"),
        ("hydrochloric-acid", "hydrochloric-acid"),
        ("sodium-hypochlorite", "sodium-hypochlorite"),
        ("other:something", "sodium-bicarbonate"),
    ],
)
def test_harmless_pairs_are_left_alone(one: str, other: str) -> None:
    assert must_not_meet(one, other) == ()


@pytest.mark.parametrize("name", ["", "bleach", "Borax", "other:", "other:PAC", "borax "])
def test_an_unknown_product_is_named_with_what_is_known(name: str) -> None:
    with pytest.raises(InputError, match="known: sodium-hypochlorite") as raised:
        product_of(name, "additions[0].product")
    assert raised.value.field == "additions[0].product"


def test_what_is_only_registered_is_not_computed() -> None:
    with pytest.raises(InputError, match="not computed"):
        product_of("other:polyaluminium-chloride")
