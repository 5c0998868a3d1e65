"""`calc fresh-water`: water for a target, what evaporates, and where a balance settles."""

from __future__ import annotations

from typing import Any

import pytest

from lanewater.chemistry.refill import describe_refill, refill_from
from lanewater.service.constants import load_constants, load_table
from lanewater.terms.errors import InputError

POOL = {
    "ph": 7.6,
    "temperature_c": 28,
    "total_alkalinity_mg_l": 110,
    "calcium_hardness_mg_l": 320,
    "cyanuric_acid_mg_l": 120,
    "free_chlorine_mg_l": 2,
    "volume_m3": 400,
    "fresh_water": {
        "ph": 7.9,
        "temperature_c": 15,
        "total_alkalinity_mg_l": 60,
        "calcium_hardness_mg_l": 80,
        "cyanuric_acid_mg_l": 0,
    },
}
ROOM = {
    "surface_m2": 270,
    "air": {"temperature_c": 30, "relative_humidity_percent": 60, "people": 20},
}


def told(**changes: Any) -> dict[str, Any]:
    given = {name: value for name, value in {**POOL, **changes}.items() if value is not None}
    k, k_low = load_constants(), load_constants("WA2019")
    return describe_refill(k, k_low, load_table("plant"), refill_from(given))


def ids(answer: dict[str, Any]) -> list[str]:
    return [found["id"] for found in answer["findings"]]


def test_stabiliser_of_120_wants_267_of_400_cubic_metres() -> None:
    # f = 1 - 40/120; flowing through it is 400 ln 3.
    answer = told(target={"cyanuric_acid_mg_l": 40})
    drained, flowing = answer["needed"]["drain_and_refill"], answer["needed"]["flow_through"]
    assert drained["m3"] == pytest.approx(266.67, abs=0.01)
    assert flowing["m3"] == pytest.approx(439.44, abs=0.01)
    for way in (drained, flowing):
        assert way["share_percent"] == pytest.approx(66.67, abs=0.01)
        assert way["after"]["cyanuric_acid_mg_l"] == pytest.approx(40)
        assert way["after"]["calcium_hardness_mg_l"] == pytest.approx(160)
    assert drained["after"]["ph"] == pytest.approx(flowing["after"]["ph"], abs=1e-9)
    assert {"draining-a-pool", "stabiliser-comes-back"} <= set(ids(answer))


def test_combined_of_1_3_wants_215_to_309_cubic_metres() -> None:
    # The same arithmetic that the trade does for combined chlorine, on what lasts: 1.3 to 0.6.
    fresh = {**POOL["fresh_water"], "boron_mg_l": 0}
    answer = told(target={"boron_mg_l": 0.6}, boron_mg_l=1.3, fresh_water=fresh)
    assert answer["needed"]["drain_and_refill"]["m3"] == pytest.approx(215.4, abs=0.1)
    assert answer["needed"]["flow_through"]["m3"] == pytest.approx(309.3, abs=0.1)


def test_a_target_at_what_is_there_needs_no_water() -> None:
    answer = told(target={"cyanuric_acid_mg_l": 120})
    assert answer["needed"]["drain_and_refill"]["m3"] == 0
    assert "draining-a-pool" not in ids(answer)


@pytest.mark.parametrize("target", [60, 400])
def test_a_target_that_fresh_water_does_not_lead_to_is_said(target: float) -> None:
    answer = told(target={"calcium_hardness_mg_l": target})
    assert answer["needed"] is None
    assert "fresh-water-does-not-lead-there" in ids(answer)


def test_evaporation_is_a_range_over_named_forms() -> None:
    found = told(**ROOM)["evaporation"]
    rates = {form["id"]: form["kg_m2_h"] for form in found["forms"]}
    assert rates["shah-unoccupied"] == pytest.approx(0.062, abs=0.001)
    assert rates["transfer-public"] == pytest.approx(0.247, abs=0.001)
    assert rates["shah-unoccupied"] < rates["shah-occupied"] < rates["transfer-public"]
    assert found["low_kg_m2_h"] == min(rates.values())
    assert found["high_m3_day"] == pytest.approx(max(rates.values()) * 270 * 24 / 1000)


def test_people_who_are_not_told_are_not_guessed() -> None:
    air = {"temperature_c": 30, "relative_humidity_percent": 60}
    answer = told(surface_m2=270, air=air)
    rates = {form["id"]: form["kg_m2_h"] for form in answer["evaporation"]["forms"]}
    assert rates["shah-occupied"] is None
    assert any("not told" in found["why"] for found in answer["findings"])


def test_a_balance_goes_to_where_in_and_out_are_even() -> None:
    answer = told(**ROOM, per_day={"backwash_m3": 3, "bathers_m3": 6}, days=[0, 30, 3650])
    balance = answer["balance"]
    first, month, end = (row["calcium_hardness_mg_l"] for row in balance["course"])
    assert first == pytest.approx([320, 320])
    settled = balance["settles_at"]["calcium_hardness_mg_l"]
    assert end == pytest.approx(settled, abs=0.01)
    assert month[0] < month[1] < 320
    for place, incoming in enumerate(("in_low_m3_day", "in_high_m3_day")):
        assert settled[place] == pytest.approx(80 * balance[incoming] / 9)
    # Without air nothing evaporates, and that is said.
    still = told(per_day={"backwash_m3": 9}, days=[30])
    assert still["balance"]["settles_at"]["calcium_hardness_mg_l"] == pytest.approx([80, 80])
    assert any("nothing is taken to evaporate" in text for text in still["assumed"])


def test_with_nothing_let_out_hardness_only_grows() -> None:
    answer = told(**ROOM, per_day={"backwash_m3": 0}, days=[100])
    [row] = answer["balance"]["course"]
    low = answer["evaporation"]["low_m3_day"]
    assert row["calcium_hardness_mg_l"][0] == pytest.approx(320 + 80 * low * 100 / 400)
    assert answer["balance"]["settles_at"]["calcium_hardness_mg_l"] is None


def test_what_is_not_known_of_both_waters_has_no_balance() -> None:
    balance = told(per_day={"backwash_m3": 3})["balance"]
    assert set(balance["settles_at"]) == {"calcium_hardness_mg_l", "cyanuric_acid_mg_l"}


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({}, "target"),
        ({"target": {}}, "target"),
        ({"target": {"ph": 7.2}}, "target.ph"),
        ({"target": {"salt_mg_l": 300}}, "salt_mg_l"),
        ({"target": {"salt_mg_l": 300}, "salt_mg_l": 900}, "fresh_water.salt_mg_l"),
        ({"target": {"cyanuric_acid_mg_l": -1}}, "target.cyanuric_acid_mg_l"),
        ({"target": {"cyanuric_acid_mg_l": 40}, "volume_m3": None}, "volume_m3"),
        ({"target": {"cyanuric_acid_mg_l": 40}, "fresh_water": None}, "fresh_water"),
        ({"target": {"cyanuric_acid_mg_l": 40}, "days": [3]}, "days"),
        ({"surface_m2": 270, "target": {"cyanuric_acid_mg_l": 40}}, "surface_m2"),
        ({"air": ROOM["air"]}, "surface_m2"),
        ({**ROOM, "air": {"temperature_c": 30}}, "air.relative_humidity_percent"),
        ({"per_day": {}}, "per_day"),
        ({"per_day": {"splashing_m3": 3}}, "per_day.splashing_m3"),
        ({"per_day": {"backwash_m3": 3}, "days": [9999]}, "days[0]"),
    ],
)
def test_what_is_missing_or_odd_is_refused_by_name(changes: dict[str, Any], field: str) -> None:
    with pytest.raises(InputError) as raised:
        told(**changes)
    assert raised.value.field == field
