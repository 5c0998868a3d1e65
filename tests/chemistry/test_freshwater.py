"""`calc addition` with fresh water: totals mix, the pH is solved for, what is not said is said."""

from __future__ import annotations

from typing import Any

import pytest

from lanewater.chemistry.additions import additions_from, describe_additions
from lanewater.service.constants import load_constants
from lanewater.terms.errors import InputError

BASE_B = {
    "ph": 7.8,
    "temperature_c": 28,
    "total_alkalinity_mg_l": 120,
    "calcium_hardness_mg_l": 250,
    "cyanuric_acid_mg_l": 100,
    "salt_mg_l": 500,
    "free_chlorine_mg_l": 2,
    "volume_m3": 400,
}
MAINS = {
    "ph": 7.9,
    "temperature_c": 15,
    "total_alkalinity_mg_l": 60,
    "calcium_hardness_mg_l": 80,
    "salt_mg_l": 60,
    "free_chlorine_mg_l": 0.5,
}
HYPO = {"product": "sodium-hypochlorite", "amount": 10, "unit": "L", "strength_g_l": 125}


def told(*added: dict[str, Any], **changes: Any) -> dict[str, Any]:
    k, k_low = load_constants(), load_constants("WA2019")
    given = {**BASE_B, "fresh_water": MAINS, **changes, "additions": list(added)}
    return describe_additions(k, k_low, *additions_from(given))


def fresh(amount: float, unit: str = "percent", **more: Any) -> dict[str, Any]:
    return {"product": "fresh-water", "amount": amount, "unit": unit, **more}


def test_a_third_replaced_ends_where_phreeqc_ends() -> None:
    # E07 of the reference, which mixes heat as well: 7.857 and not the 7.83 of averaging.
    after = told(fresh(30, heat="mixed"))["after"]
    assert after["ph"] == pytest.approx(7.857, abs=0.01)
    assert after["temperature_c"] == pytest.approx(24.1)
    assert after["total_alkalinity_mg_l"] == pytest.approx(102)
    assert after["calcium_hardness_mg_l"] == pytest.approx(199)
    assert after["cyanuric_acid_mg_l"] == pytest.approx(70)
    assert after["free_chlorine_mg_l"] == pytest.approx(1.55)


def test_percent_and_cubic_metres_are_the_same_water() -> None:
    percent, cubic, litres = (
        told(fresh(*amount))["after"] for amount in ((30, "percent"), (120, "m3"), (120000, "L"))
    )
    assert percent["ph"] == pytest.approx(cubic["ph"], abs=1e-9)
    assert litres["ph"] == pytest.approx(cubic["ph"], abs=1e-9)


def test_flowing_through_takes_less_out_than_a_refill() -> None:
    drained, flowed = (
        told(fresh(50, way=way))["after"]["cyanuric_acid_mg_l"]
        for way in ("drain-and-refill", "flow-through")
    )
    assert drained == pytest.approx(50)
    assert flowed == pytest.approx(60.65, abs=0.01)


def test_what_evaporates_leaves_everything_in_the_pool() -> None:
    after = told(fresh(10, way="evaporation"))["after"]
    assert after["cyanuric_acid_mg_l"] == pytest.approx(100)
    assert after["calcium_hardness_mg_l"] == pytest.approx(258)
    assert after["total_alkalinity_mg_l"] == pytest.approx(126)


def test_water_and_product_follow_each_other_as_they_are_told() -> None:
    first = told(fresh(50), HYPO)
    last = told(HYPO, fresh(50))
    assert first["after"]["free_chlorine_mg_l"] == pytest.approx(1.25 + 3.125)
    assert last["after"]["free_chlorine_mg_l"] == pytest.approx(1.25 + 3.125 / 2)
    # Used is only what the product brought and the pool still has.
    for answer in (first, last):
        assert answer["after_use"]["free_chlorine_mg_l"] == pytest.approx(1.25)


def test_what_was_not_said_of_the_way_and_the_heat_is_said() -> None:
    said = " ".join(told(fresh(30))["assumed"])
    assert "taken as drain-and-refill" in said
    assert "brought back to 28 C" in said
    assert "cyanuric_acid_mg_l" in said
    silent = " ".join(told(fresh(30, way="drain-and-refill", heat="mixed"))["assumed"])
    assert "taken as drain-and-refill" not in silent
    assert "brought back" not in silent


def test_letting_water_out_comes_with_its_dangers() -> None:
    def about(way: str) -> list[str]:
        return [found["id"] for found in told(fresh(30, way=way))["findings"]]

    assert "draining-a-pool" in about("drain-and-refill")
    assert about("flow-through") == []


def test_fresh_water_that_cannot_be_gives_no_figures() -> None:
    broken = {**MAINS, "cyanuric_acid_mg_l": 900, "total_alkalinity_mg_l": 20}
    answer = told(fresh(30), fresh_water=broken)
    assert answer["after"]["ph"] is None
    assert answer["findings"][0]["id"] == "fresh-water-cannot-be"


@pytest.mark.parametrize(
    ("entry", "changes", "field"),
    [
        (fresh(30), {"fresh_water": {"ph": 7.9}}, "fresh_water.temperature_c"),
        (fresh(30), {"fresh_water": {**MAINS, "ph": 3}}, "fresh_water.ph"),
        (fresh(30), {"fresh_water": 7}, "fresh_water"),
        (fresh(101), {}, "additions[0].amount"),
        (fresh(401, "m3"), {}, "additions[0].amount"),
        (fresh(-1), {}, "additions[0].amount"),
        (fresh(10, "gal"), {}, "additions[0].unit"),
        (fresh(10, way="somehow"), {}, "additions[0].way"),
        (fresh(10, heat="hot"), {}, "additions[0].heat"),
        (fresh(10, strength_g_l=1), {}, "additions[0].strength_g_l"),
        ({"product": "fresh-water", "amount": 3}, {}, "additions[0].unit"),
    ],
)
def test_what_cannot_be_read_is_refused_by_name(
    entry: dict[str, Any], changes: dict[str, Any], field: str
) -> None:
    with pytest.raises(InputError) as raised:
        told(entry, **changes)
    assert raised.value.field == field


def test_without_the_fresh_waters_readings_nothing_is_computed() -> None:
    with pytest.raises(InputError, match="what comes in") as raised:
        additions_from({**BASE_B, "additions": [fresh(30)]})
    assert raised.value.field == "fresh_water"
