"""Amounts, units and strengths: what they come to, and what is refused by name."""

from __future__ import annotations

from typing import Any

import pytest

from lanewater.chemistry.products import PRODUCTS
from lanewater.chemistry.strengths import GRAMS, LITRES, grams_active
from lanewater.terms.errors import InputError

HYPO = PRODUCTS["sodium-hypochlorite"]
ACID = PRODUCTS["hydrochloric-acid"]
TRICHLOR = PRODUCTS["trichloroisocyanuric-acid"]
BICARBONATE = PRODUCTS["sodium-bicarbonate"]
THIOSULFATE = PRODUCTS["sodium-thiosulfate"]


@pytest.mark.parametrize(
    ("product", "given", "grams"),
    [
        (HYPO, {"amount": 2, "unit": "L", "strength_g_l": 125}, 250),
        (HYPO, {"amount": 2, "unit": "L", "strength_percent_w_v": 12.5}, 250),
        (HYPO, {"amount": 500, "unit": "mL", "strength_percent_w_v": 12}, 60),
        (HYPO, {"amount": 1, "unit": "us-gal", "strength_percent_w_v": 10}, 378.5411784),
        (HYPO, {"amount": 1, "unit": "imp-gal", "strength_percent_w_v": 10}, 454.609),
        (HYPO, {"amount": 1, "unit": "us-fl-oz", "strength_g_l": 100}, 2.95735295625),
        (
            HYPO,
            {"amount": 2, "unit": "L", "strength_percent_w_w": 10, "density_kg_l": 1.2},
            240,
        ),
        (HYPO, {"amount": 1.2, "unit": "kg", "strength_g_l": 120, "density_kg_l": 1.2}, 120),
        (
            ACID,
            {"amount": 1, "unit": "L", "strength_percent_w_w": 31.45, "density_kg_l": 1.157},
            363.88,
        ),
        (TRICHLOR, {"amount": 200, "unit": "g", "strength_percent_w_w": 90}, 180),
        (BICARBONATE, {"amount": 1, "unit": "lb", "strength_percent_w_w": 100}, 453.59237),
        (BICARBONATE, {"amount": 1, "unit": "oz-weight", "strength_percent_w_w": 100}, 28.3495),
        (THIOSULFATE, {"amount": 1, "unit": "kg", "strength_percent_w_w": 63.7}, 637),
    ],
)
def test_an_amount_comes_to_its_grams(product: Any, given: dict[str, Any], grams: float) -> None:
    assert grams_active(product, given) == pytest.approx(grams, rel=1e-4)


def test_a_us_gallon_and_an_imperial_one_differ_by_a_fifth() -> None:
    assert LITRES["imp-gal"] / LITRES["us-gal"] == pytest.approx(1.201, abs=0.001)
    assert LITRES["us-gal"] / LITRES["us-fl-oz"] == pytest.approx(128)
    assert GRAMS["lb"] / GRAMS["oz-weight"] == pytest.approx(16)


@pytest.mark.parametrize("unit", ["gal", "oz", "Gal", "gallon", "OZ", "oz.", "fl-oz"])
def test_a_unit_that_can_be_read_two_ways_is_refused(unit: str) -> None:
    with pytest.raises(InputError, match="two ways") as raised:
        grams_active(HYPO, {"amount": 1, "unit": unit, "strength_g_l": 100}, "additions[0]")
    assert raised.value.field == "additions[0].unit"


GOOD = {"amount": 1, "unit": "L", "strength_g_l": 100}


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"unit": "cup"}, "unit"),
        ({"unit": 3}, "unit"),
        ({"unit": None}, "unit"),
        ({"amount": -1}, "amount"),
        ({"amount": "2"}, "amount"),
        ({"amount": True}, "amount"),
        ({"amount": float("nan")}, "amount"),
        ({"amount": float("inf")}, "amount"),
        ({"amount": 10**400}, "amount"),
        ({"strength_g_l": 0}, "strength_g_l"),
        ({"strength_g_l": -5}, "strength_g_l"),
        ({"strength_g_l": 5000}, "strength_g_l"),
        ({"strength_g_l": 1300, "density_kg_l": 1.2}, "strength_g_l"),
        ({"density_kg_l": 12}, "density_kg_l"),
        ({"density_kg_l": "1.2"}, "density_kg_l"),
        ({"strength_percent_w_v": 10}, "strength_percent_w_v"),
    ],
)
def test_what_cannot_be_is_refused_by_its_field(changes: dict[str, Any], field: str) -> None:
    with pytest.raises(InputError) as raised:
        grams_active(HYPO, {**GOOD, **changes}, "additions[1]")
    assert raised.value.field in {
        f"additions[1].{field}",
        "additions[1].strength_g_l" if "strength" in field else "",
    }


@pytest.mark.parametrize("missing", ["amount", "unit"])
def test_what_is_missing_is_named(missing: str) -> None:
    given = {name: value for name, value in GOOD.items() if name != missing}
    with pytest.raises(InputError, match=f"{missing}: is missing"):
        grams_active(HYPO, given)


def test_no_strength_no_amount() -> None:
    with pytest.raises(InputError, match="state one strength of the sodium hypochlorite"):
        grams_active(HYPO, {"amount": 1, "unit": "L"})


@pytest.mark.parametrize(
    "given",
    [
        {"amount": 1, "unit": "L", "strength_percent_w_w": 10},
        {"amount": 1, "unit": "us-gal", "strength_percent_w_w": 10},
        {"amount": 1, "unit": "kg", "strength_g_l": 120},
        {"amount": 1, "unit": "lb", "strength_percent_w_v": 12},
    ],
)
def test_a_density_that_is_needed_is_never_guessed(given: dict[str, Any]) -> None:
    with pytest.raises(InputError, match="density_kg_l: is missing"):
        grams_active(HYPO, given)


@pytest.mark.parametrize(("product", "percent"), [(TRICHLOR, 93), (HYPO, 97), (BICARBONATE, 102)])
def test_no_product_is_stronger_than_its_pure_compound(product: Any, percent: float) -> None:
    with pytest.raises(InputError, match="strength_percent_w_w"):
        grams_active(product, {"amount": 1, "unit": "kg", "strength_percent_w_w": percent})


DICHLOR = PRODUCTS["sodium-dichloroisocyanurate"]
CALCIUM = PRODUCTS["calcium-chloride"]
BORAX = PRODUCTS["borax"]


@pytest.mark.parametrize(
    ("product", "given", "grams"),
    [
        (HYPO, {"unit": "L", "strength_trade_percent": 12.5}, 125),
        (HYPO, {"unit": "L", "strength_percent_w_w": 10, "specific_gravity": 1.2}, 120),
        (
            HYPO,
            {
                "unit": "L",
                "strength_percent_w_w": 12.5,
                "density_kg_l": 1.193,
                "strength_counts": "compound",
            },
            142.04,
        ),
        (CALCIUM, {"unit": "kg", "strength_percent_w_w": 100, "form": "dihydrate"}, 754.9),
        (CALCIUM, {"unit": "kg", "strength_percent_w_w": 100, "form": "anhydrous"}, 1000),
        (THIOSULFATE, {"unit": "kg", "strength_percent_w_w": 99, "form": "pentahydrate"}, 630.7),
        (BORAX, {"unit": "kg", "strength_percent_w_w": 100, "form": "decahydrate"}, 527.6),
        (BORAX, {"unit": "kg", "strength_percent_w_w": 100, "form": "pentahydrate"}, 690.8),
        (
            DICHLOR,
            {
                "unit": "kg",
                "strength_percent_w_w": 100,
                "form": "dihydrate",
                "strength_counts": "compound",
            },
            554.0,
        ),
        (
            PRODUCTS["calcium-hypochlorite"],
            {"unit": "kg", "strength_percent_w_w": 65, "strength_counts": "compound"},
            644.7,
        ),
    ],
)
def test_a_label_as_the_trade_writes_it_comes_to_its_grams(
    product: Any, given: dict[str, Any], grams: float
) -> None:
    assert grams_active(product, {"amount": 1, **given}) == pytest.approx(grams, rel=2e-4)


@pytest.mark.parametrize(
    ("product", "given", "field"),
    [
        (ACID, {"unit": "L", "strength_trade_percent": 12}, "strength_trade_percent"),
        (
            HYPO,
            {"unit": "L", "strength_trade_percent": 12, "strength_counts": "compound"},
            "strength_counts",
        ),
        (
            HYPO,
            {"unit": "L", "strength_trade_percent": 12, "strength_g_l": 120},
            "strength_trade_percent",
        ),
        (
            DICHLOR,
            {"unit": "kg", "strength_percent_w_w": 56, "form": "dihydrate"},
            "strength_counts",
        ),
        (
            BICARBONATE,
            {"unit": "kg", "strength_percent_w_w": 99, "strength_counts": "available-chlorine"},
            "strength_counts",
        ),
        (BICARBONATE, {"unit": "kg", "strength_percent_w_w": 99, "form": "dihydrate"}, "form"),
        (CALCIUM, {"unit": "kg", "strength_percent_w_w": 99, "form": "hexahydrate"}, "form"),
        (
            HYPO,
            {
                "unit": "L",
                "strength_percent_w_w": 10,
                "specific_gravity": 1.2,
                "density_kg_l": 1.2,
            },
            "specific_gravity",
        ),
        (
            CALCIUM,
            {"unit": "kg", "strength_percent_w_w": 103, "form": "dihydrate"},
            "strength_percent_w_w",
        ),
    ],
)
def test_a_label_that_can_be_read_two_ways_is_refused_by_name(
    product: Any, given: dict[str, Any], field: str
) -> None:
    with pytest.raises(InputError) as raised:
        grams_active(product, {"amount": 1, **given})
    assert raised.value.field == field
