"""A question that stands alone: what it may leave out, and what it may not."""

from __future__ import annotations

from copy import deepcopy
from typing import Any

import pytest

from lanewater.dosing.plan_answer import stateless_plan
from lanewater.service.constants import load_constants
from lanewater.terms.errors import InputError

K = load_constants()
HYPO = {"product": "sodium-hypochlorite", "strength_g_l": 120}
ACID = {"product": "hydrochloric-acid", "strength_percent_w_w": 31.45, "density_kg_l": 1.157}
BICARB = {"product": "sodium-bicarbonate", "strength_percent_w_w": 100}
WHOLE: dict[str, Any] = {
    "ph": 7.8,
    "temperature_c": 28,
    "total_alkalinity_mg_l": 70,
    "calcium_hardness_mg_l": 150,
    "free_chlorine_mg_l": 0.6,
    "volume_m3": 400,
    "volume_known": "meter",
    "targets": {
        "ph": [7.2, 7.6],
        "free_chlorine_mg_l": [1, 2],
        "total_alkalinity_mg_l": [80, 120],
    },
    "limits": {"ph": [7.2, 7.8], "free_chlorine_mg_l": [0.8, 3]},
    "products": [HYPO, ACID, BICARB],
}


def ask(**changes: Any) -> dict[str, Any]:
    """Ask with some keys changed; None takes one away."""
    question = deepcopy({**WHOLE, **changes})
    return stateless_plan(K, {key: value for key, value in question.items() if value is not None})


def ids(answer: dict[str, Any]) -> set[str]:
    return {row["id"] for row in answer["refusals"]}


def test_a_whole_question_gets_ordered_steps_to_every_target() -> None:
    answer = ask()
    assert answer["state"] == "plan"
    assert answer["complete"]
    assert [row["id"] for row in answer["ask_before_each_step"]] == [
        "everybody_out",
        "pump_running",
        "anything_added",
        "looked",
    ]
    assert "competence" in answer["competence"]
    assert [step["for_now"] for step in answer["steps"]] == [True] + [False] * (
        len(answer["steps"]) - 1
    )
    end = answer["predicted"]
    assert 7.2 <= end["ph"] <= 7.6
    assert 1 <= end["free_chlorine_mg_l"] <= 2
    assert 80 <= end["total_alkalinity_mg_l"] <= 120


@pytest.mark.parametrize(
    ("key", "name"),
    [
        ("volume_m3", "volume-missing"),
        ("targets", "target-missing"),
        ("free_chlorine_mg_l", "free-chlorine-missing"),
        ("total_alkalinity_mg_l", "alkalinity-missing"),
        ("ph", "ph-missing"),
        ("temperature_c", "temperature-missing"),
    ],
)
def test_what_is_missing_is_refused_by_name(key: str, name: str) -> None:
    answer = ask(**{key: None})
    assert answer["state"] == "refused"
    assert name in ids(answer)
    assert answer["steps"] == []
    assert answer["predicted"] is None


def test_a_product_without_its_strength_is_refused_by_name() -> None:
    assert "strength-missing" in ids(ask(products=[{"product": "sodium-hypochlorite"}, ACID]))


def test_a_volume_by_weight_without_density_is_refused_by_name() -> None:
    acid = {"product": "hydrochloric-acid", "strength_percent_w_w": 31.45}
    assert "density-missing" in ids(ask(products=[HYPO, acid, BICARB]))


def test_a_strength_in_the_wrong_unit_is_refused_by_name() -> None:
    twelve = {"product": "sodium-hypochlorite", "strength_g_l": 12}
    assert "strength-not-believable" in ids(ask(products=[twelve, ACID, BICARB]))


@pytest.mark.parametrize("fact", [{"disinfectant": "bromine"}, {"water": "sea"}, {"kind": "spa"}])
def test_pools_that_no_amounts_are_made_for_get_none(fact: dict[str, str]) -> None:
    assert ask(pool=fact)["state"] == "refused"


def test_an_empty_question_is_a_refusal_and_no_error() -> None:
    answer = stateless_plan(K, {})
    assert answer["state"] == "refused"
    assert {"volume-missing", "target-missing", "ph-missing"} <= ids(answer)


def test_a_product_that_is_never_given_by_hand_is_named_and_not_planned() -> None:
    gas = {"product": "chlorine", "strength_percent_w_w": 100}
    answer = ask(products=[gas, ACID, BICARB])
    assert answer["not_by_hand"] == ["chlorine"]
    assert not answer["complete"]
    assert all(step["product"] != "chlorine" for step in answer["steps"])
    assert "not-by-hand" in {row["id"] for row in answer["left_out"]}


def test_two_kinds_of_chlorine_are_not_chosen_between_by_price() -> None:
    calcium = {"product": "calcium-hypochlorite", "strength_percent_w_w": 65, "price": 0.01}
    answer = ask(products=[HYPO, calcium, ACID, BICARB])
    assert not any("hypochlorite" in step["product"] for step in answer["steps"])
    assert "feeder-not-stated" in {row["id"] for row in answer["left_out"]}
    said = ask(products=[HYPO, calcium, ACID, BICARB], feeder="sodium-hypochlorite")
    assert {"sodium-hypochlorite"} == {
        step["product"] for step in said["steps"] if "hypochlorite" in step["product"]
    }


def test_stabilised_chlorine_is_not_planned_where_nobody_said_outdoors() -> None:
    dichlor = {"product": "sodium-dichloroisocyanurate", "strength_percent_w_w": 56}
    answer = ask(products=[dichlor, ACID, BICARB], cyanuric_acid_mg_l=10)
    assert all(step["purpose"] != "raise-chlorine" for step in answer["steps"])
    assert "stabilised-not-here" in {row["id"] for row in answer["left_out"]}


def test_soda_ash_is_used_only_where_it_is_approved() -> None:
    soda = {"product": "sodium-carbonate", "strength_percent_w_w": 99}
    low = {"ph": 6.9, "total_alkalinity_mg_l": 100}
    assert ask(**low, products=[HYPO, ACID, soda])["steps"] == [] or all(
        step["product"] != "sodium-carbonate"
        for step in ask(**low, products=[HYPO, ACID, soda])["steps"]
    )
    approved = ask(**low, products=[HYPO, ACID, soda | {"approved": ["raise-ph"]}])
    assert any(step["product"] == "sodium-carbonate" for step in approved["steps"])


def test_borax_is_never_planned() -> None:
    borax = {"product": "borax", "strength_percent_w_w": 100, "approved": True}
    answer = ask(ph=6.9, products=[HYPO, borax])
    assert all(step["product"] != "borax" for step in answer["steps"])
    assert "not-planned" in {row["id"] for row in answer["left_out"]}


def test_too_much_chlorine_takes_a_first_quarter_and_only_where_it_is_approved() -> None:
    salt = {"product": "sodium-thiosulfate", "strength_percent_w_w": 63.7}
    high = {"free_chlorine_mg_l": 8, "ph": 7.4}
    assert ask(**high, products=[HYPO, ACID, BICARB, salt])["steps"] == [] or all(
        step["product"] != "sodium-thiosulfate"
        for step in ask(**high, products=[HYPO, ACID, BICARB, salt])["steps"]
    )
    answer = ask(**high, products=[HYPO, ACID, BICARB, salt | {"approved": True}])
    (step,) = answer["steps"]
    assert answer["again"]
    assert step["product"] == "sodium-thiosulfate"
    # 6.5 mg/L over the middle: a quarter takes 1.6, or an eighth of that.
    assert step["predicted"]["free_chlorine_mg_l"] == pytest.approx(8 - 6.5 / 4, abs=0.05)
    assert step["predicted_between"]["free_chlorine_mg_l"][1] == pytest.approx(7.8, abs=0.02)
    assert "neutraliser-in-portions" in {row["id"] for row in step["cautions"]}


def test_too_much_stabiliser_is_diluted_with_fresh_water_that_is_known() -> None:
    fill = {"ph": 7.8, "temperature_c": 12, "total_alkalinity_mg_l": 90}
    targets = {**WHOLE["targets"], "cyanuric_acid_mg_l": [20, 50]}
    changes = {"cyanuric_acid_mg_l": 90, "targets": targets}
    unknown = ask(**changes)
    assert "fresh-water-not-known" in {row["id"] for row in unknown["unreached"]}
    answer = ask(**changes, fresh_water=fill)
    first = answer["steps"][0]
    assert (first["product"], first["unit"], first["place"]) == (
        "fresh-water",
        "m3",
        "drain-and-refill",
    )
    assert answer["predicted"]["cyanuric_acid_mg_l"] <= 50
    assert "drain-consent" in {row["id"] for row in first["cautions"]}


def test_a_volume_that_nobody_says_how_it_is_known_is_taken_as_a_guess() -> None:
    answer = ask(volume_known=None)
    assert {"volume-source-not-stated", "half-portions"} <= {row["id"] for row in answer["assumed"]}
    amounts = [(step["product"], step["amount"]) for step in answer["steps"]]
    assert amounts[::2] == amounts[1::2]


def test_amounts_keep_to_scoops_and_to_what_is_in_stock() -> None:
    hypo = HYPO | {
        "scoop": {"amount": 0.5, "unit": "L"},
        "stock": {"amount": 1, "unit": "us-gal"},
        "price": 1.1,
    }
    answer = ask(products=[hypo, ACID, BICARB])
    mine = [step for step in answer["steps"] if step["product"] == "sodium-hypochlorite"]
    assert mine
    for step in mine:
        assert step["measure"] == {"amount": 500, "unit": "mL"}
        assert step["measures"] == round(step["amount"] / 0.5)
    total = next(row for row in answer["totals"] if row["product"] == "sodium-hypochlorite")
    assert total["amount"] <= 3.785
    assert total["cost"] == pytest.approx(total["amount"] * 1.1, abs=0.01)


def test_the_cheaper_of_two_acids_is_taken() -> None:
    dry = {"product": "sodium-bisulfate", "strength_percent_w_w": 93}
    products = [HYPO | {"price": 1}, BICARB | {"price": 1}]
    one = ask(products=[*products, ACID | {"price": 90}, dry | {"price": 0.1}])
    other = ask(products=[*products, ACID | {"price": 0.1}, dry | {"price": 90}])
    acids = [
        {step["product"] for step in answer["steps"] if step["purpose"] == "lower-ph"}
        for answer in (one, other)
    ]
    assert acids == [{"sodium-bisulfate"}, {"hydrochloric-acid"}]


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"unknown": 1}, "unknown"),
        ({"ph": "7.8"}, "ph"),
        ({"targets": {"ph": [7.6, 7.2]}}, "targets.ph"),
        ({"targets": {"ph": 7.4}}, "targets.ph"),
        ({"volume_known": "surely"}, "volume_known"),
        ({"pool": {"kind": "lake"}}, "pool.kind"),
        ({"products": [{"product": "elixir"}]}, "products[0].product"),
        ({"products": [HYPO | {"scoop": {"amount": 1, "unit": "gal"}}]}, "products[0].scoop.unit"),
        ({"products": [HYPO | {"strength_percent_w_v": 12}]}, "products[0].strength_g_l"),
        ({"products": [HYPO | {"approved": ["magic"]}]}, "products[0].approved"),
        ({"feeder": "bleach"}, "feeder"),
        ({"mixing_minutes": -1}, "mixing_minutes"),
    ],
)
def test_what_cannot_be_read_names_its_field(changes: dict[str, Any], field: str) -> None:
    with pytest.raises(InputError) as raised:
        ask(**changes)
    assert field in str(raised.value)
