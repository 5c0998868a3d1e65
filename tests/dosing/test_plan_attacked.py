"""Plans that somebody set out to turn into harm: each was once told, or could have been."""

from __future__ import annotations

from typing import Any

import pytest

from lanewater.dosing.plan_answer import stateless_plan
from lanewater.service.constants import load_constants

K = load_constants()
HYPOCHLORITE = {"product": "sodium-hypochlorite", "strength_g_l": 120}
ACID = {"product": "hydrochloric-acid", "strength_g_l": 364}
BICARBONATE = {"product": "sodium-bicarbonate", "strength_percent_w_w": 99}
THIOSULFATE = {"product": "sodium-thiosulfate", "strength_percent_w_w": 99, "approved": True}
POOL = {
    "kind": "pool",
    "location": "outdoor",
    "disinfectant": "chlorine",
    "stabiliser": "used",
    "water": "fresh",
}


def planned(**given: Any) -> dict[str, Any]:
    """Plan a plain pool's water, but for what is given."""
    asked: dict[str, Any] = {
        "ph": 7.5,
        "temperature_c": 28,
        "total_alkalinity_mg_l": 90,
        "calcium_hardness_mg_l": 220,
        "free_chlorine_mg_l": 1.5,
        "cyanuric_acid_mg_l": 0,
        "volume_m3": 400,
        "volume_known": "meter",
        "pool": POOL,
        "feeder": "sodium-hypochlorite",
        "targets": {
            "free_chlorine_mg_l": [1, 2],
            "ph": [7.2, 7.6],
            "total_alkalinity_mg_l": [80, 120],
        },
        "limits": {"free_chlorine_mg_l": [0.8, 5], "ph": [7.0, 7.8]},
        "products": [HYPOCHLORITE, ACID, BICARBONATE],
    }
    return stateless_plan(K, asked | given)


@pytest.mark.parametrize("other", ["blue jug", "BLUE  jug", " Blue jug"])
def test_one_jug_in_two_spellings_is_one_jug(other: str) -> None:
    products = [HYPOCHLORITE | {"jug": "Blue jug"}, ACID | {"jug": other}]
    answer = planned(free_chlorine_mg_l=0.5, ph=7.9, products=products)
    assert answer["steps"] == []
    assert {row["id"] for row in answer["left_out"]} == {"jug-shared"}


@pytest.mark.parametrize(
    ("stated", "most"),
    [
        ({"stock": {"amount": 100, "unit": "g"}}, 100),
        ({"scoop": {"amount": 150, "unit": "g"}}, 300),
    ],
)
def test_a_neutraliser_is_whole_scoops_out_of_what_there_is(
    stated: dict[str, Any], most: int
) -> None:
    answer = planned(free_chlorine_mg_l=8, products=[THIOSULFATE | stated])
    assert [step["amount"] for step in answer["steps"]] == [most]


@pytest.mark.parametrize(
    "stated",
    [
        {"stock": {"amount": 0, "unit": "g"}},
        {"scoop": {"amount": 5, "unit": "kg"}},
        {"scoop": {"amount": 50, "unit": "mL"}},
    ],
)
def test_a_neutraliser_that_cannot_be_handed_out_so_is_refused(stated: dict[str, Any]) -> None:
    answer = planned(free_chlorine_mg_l=8, products=[THIOSULFATE | stated])
    assert [row["id"] for row in answer["refusals"]] == ["too-little-to-measure"]
    assert answer["steps"] == []


@pytest.mark.parametrize(("known", "most_m3"), [("meter", 128), ("guess", 64)])
def test_of_a_guessed_volume_half_as_much_is_drained_at_once(known: str, most_m3: float) -> None:
    answer = planned(
        volume_known=known,
        cyanuric_acid_mg_l=80,
        targets={
            "free_chlorine_mg_l": [1, 2],
            "ph": [7.2, 7.6],
            "cyanuric_acid_mg_l": [0, 50],
        },
        fresh_water={"ph": 7.6, "temperature_c": 20, "total_alkalinity_mg_l": 80},
    )
    drained = [step["amount"] for step in answer["steps"] if step["purpose"] == "dilute"]
    assert drained
    assert max(drained) <= most_m3
    assert max(drained) > most_m3 / 2


# --- targets, readings and limits that would lead astray -----------------------------------------


def refused_for(answer: dict[str, Any]) -> set[str]:
    """Give the names of an answer's refusals; an answer that has steps is none."""
    assert answer["steps"] == []
    return {row["id"] for row in answer["refusals"]}


def test_nothing_is_added_where_ph_has_neither_target_nor_limits() -> None:
    for targets in ({"saturation_index": [-1.5, -1.2]}, {"free_chlorine_mg_l": [1, 2]}):
        assert "target-missing" in refused_for(planned(targets=targets, ph=7.6, limits=None))


def test_a_target_that_no_pool_is_kept_at_is_taken_for_a_slip() -> None:
    for targets in (
        {"ph": [5.0, 5.5], "free_chlorine_mg_l": [1, 2]},
        {"ph": [9, 9.5], "free_chlorine_mg_l": [1, 2]},
        {"ph": [7.2, 7.6], "free_chlorine_mg_l": [20, 25]},
    ):
        assert "target-not-believable" in refused_for(planned(targets=targets))


def test_free_that_reads_none_is_repeated_before_anything_is_added() -> None:
    assert "free-reads-none" in refused_for(planned(free_chlorine_mg_l=0))


def test_a_miss_that_is_larger_than_test_error_is_not_called_one() -> None:
    answer = planned(volume_m3=0.001, ph=7.9, free_chlorine_mg_l=0.5)
    assert answer["state"] != "plan"
    assert all(row["id"] != "within-test-error" for row in answer["unreached"])


def test_two_kinds_of_chlorine_are_never_in_one_plan() -> None:
    answer = planned(
        free_chlorine_mg_l=0.5,
        feeder="none",
        products=[
            {**HYPOCHLORITE, "stock": {"amount": 1, "unit": "L"}},
            {
                "product": "calcium-hypochlorite",
                "strength_percent_w_w": 65,
                "stock": {"amount": 300, "unit": "g"},
            },
        ],
    )
    assert answer["steps"] == []
    assert "feeder-not-stated" in {row["id"] for row in answer["left_out"]}


def test_a_limit_of_one_figure_leaves_the_other_no_freedom() -> None:
    for limits in ({}, {"free_chlorine_mg_l": [1, 3]}):
        answer = planned(free_chlorine_mg_l=0.5, limits=limits)
        assert "limits-not-given" in {row["id"] for row in answer["assumed"]}


def test_ph_does_not_fall_under_the_rules_once_the_chlorine_is_used() -> None:
    answer = planned(
        free_chlorine_mg_l=0.5,
        ph=7.3,
        total_alkalinity_mg_l=50,
        targets={
            "free_chlorine_mg_l": [7, 8],
            "ph": [7.2, 7.4],
            "total_alkalinity_mg_l": [40, 60],
        },
        limits={"ph": [7.2, 7.8], "free_chlorine_mg_l": [1, 10]},
    )
    assert answer["steps"] == [] or answer["after_use"]["ph"] >= 7.2


def test_a_water_outside_the_tested_range_is_refused_whatever_else_is_missing() -> None:
    assert "water-outside-range" in refused_for(planned(total_alkalinity_mg_l=3, ph=7.9))
    assert "water-outside-range" in refused_for(planned(temperature_c=2, ph=7.9))
    assert "stabiliser-missing" in refused_for(planned(cyanuric_acid_mg_l=None, ph=7.9))


@pytest.mark.parametrize(
    ("targets", "limits"),
    [
        ({"free_chlorine_mg_l": [1, 2], "ph": [5.0, 5.5]}, [4, 9]),
        ({"free_chlorine_mg_l": [1, 2], "ph": [5.2, 7.0]}, [2, 7.8]),
        ({"free_chlorine_mg_l": [1, 2], "saturation_index": [-3, -2]}, [4, 9]),
    ],
)
def test_no_limits_that_are_typed_in_let_acid_go_on(
    targets: dict[str, list[float]], limits: list[float]
) -> None:
    answer = planned(targets=targets, limits={"free_chlorine_mg_l": [0.5, 5], "ph": limits})
    assert [row["id"] for row in answer["refusals"]] == ["target-not-believable"]
    assert answer["steps"] == []


def test_a_usual_target_inside_wide_limits_is_planned_for() -> None:
    limits = {"free_chlorine_mg_l": [0.5, 5], "ph": [4, 9]}
    assert planned(ph=7.9, limits=limits)["state"] == "plan"


def test_a_neutraliser_is_said_to_be_a_first_quarter() -> None:
    answer = planned(free_chlorine_mg_l=8, products=[THIOSULFATE])
    assert answer["again"]
    assert answer["words"].startswith("A first quarter and nothing else")
