"""A plan: the guards of the one-step advice, steps that hold, and what it says of itself."""

from __future__ import annotations

from copy import deepcopy
from typing import Any

import pytest
from tests.kernel.deciding.advice_cases import DAY, HYPOCHLORITE, change, full, without
from tests.kernel.deciding.deciding_cases import AT, reading

from lanewater.kernel.deciding.advice import advise
from lanewater.kernel.deciding.amounts import measurable
from lanewater.kernel.deciding.plan import (
    needs_search,
    plan,
    plan_told,
    plan_without_search,
    prepared_plan,
)
from lanewater.kernel.deciding.planproblem import plan_start
from lanewater.kernel.water.planningslots import BINDS_STEPS, BINDS_STOCK, PLAN_FOUND, PLAN_NO_PLAN
from lanewater.service.constants import load_constants

K = load_constants()
HARD = {"free_chlorine": "1.5", "total_chlorine": "1.6", "ph": "7.9", "total_alkalinity": "60"}


def sour(**values: str) -> dict[str, Any]:
    """Give a complete request whose pH is high and whose alkalinity is low."""
    return full(**{**HARD, "calcium_hardness": "150", **values})


def ids(answer: dict[str, Any]) -> set[str]:
    """Give the names of an answer's refusals."""
    return {entry["id"] for entry in answer["refusals"]}


def number(text: str) -> float:
    return float(text)


# --- the guards ----------------------------------------------------------------------------------

GUARDS: tuple[tuple[str, Any, str], ...] = (
    ("questions.everybody_out", "no", "people-in-the-water"),
    ("questions.everybody_out", "", "people-unknown"),
    ("questions.pump_running", "no", "circulation-stopped"),
    ("questions.pump_running", "unknown", "circulation-unknown"),
    ("questions.anything_added", "yes", "added-since-reading"),
    ("questions.anything_added", "unknown", "added-unknown"),
    ("questions.looked", "no", "plant-not-looked-at"),
    ("case.pool.disinfectant", "bromine", "bromine"),
    ("case.pool.water", "sea", "sea-water"),
    ("case.pool.kind", "spa", "kind-not-configured"),
    ("case.pool.kind", "spray", "kind-not-configured"),
    ("taken_at", AT - 7200, "reading-old"),
    ("late", True, "entered-late"),
    ("volume.m3", "", "volume-missing"),
    ("volume.known", "", "volume-source-missing"),
    ("volume.known", "guess", "volume-guess-not-accepted"),
    ("volume.of", "", "volume-kind-not-stated"),
    ("targets.ph", None, "target-missing"),
    ("limits", None, "rules-not-chosen"),
    ("blocks", None, "waits-not-known"),
    ("blocks", [{"id": "wait-running", "why": "It waits.", "do": "Wait."}], "wait-running"),
)


@pytest.mark.parametrize(("path", "value", "name"), GUARDS)
def test_whatever_stands_against_one_step_stands_against_a_plan(
    path: str, value: Any, name: str
) -> None:
    answer = plan(K, change(sour(), path, value))
    assert answer["state"] == "refused"
    assert name in ids(answer)
    assert answer["steps"] == []
    assert answer["totals"] == []


@pytest.mark.parametrize(
    ("parameter", "name"),
    [
        ("total_alkalinity", "alkalinity-missing"),
        ("temperature_c", "temperature-missing"),
        ("free_chlorine", "reading-missing"),
        ("ph", "reading-missing"),
    ],
)
def test_without_a_reading_that_it_rests_on_there_is_no_plan(parameter: str, name: str) -> None:
    answer = plan(K, full(**{parameter: ""}))
    assert answer["state"] == "refused"
    assert name in ids(answer)


def test_where_stabiliser_may_be_in_the_water_a_plan_needs_its_level() -> None:
    request = change(full(), "case.pool.stabiliser", "used")
    assert "stabiliser-missing" in ids(plan(K, request))


def test_through_the_plant_every_pool_on_the_filter_is_tested_first() -> None:
    volume = {"of": "circuit", "m3": "450", "known": "meter", "balance_tank": "included"}
    request = change(sour(), "volume", volume | {"shared": ["b"]})
    assert "other-pool-not-tested" in ids(plan(K, request))


# --- beside the advice ---------------------------------------------------------------------------


@pytest.mark.parametrize("values", [{}, HARD, {"ph": "7.75"}, {"ph": "6.9"}])
def test_what_is_for_now_comes_from_the_advice_alone(values: dict[str, str]) -> None:
    request = full(**{**values, "calcium_hardness": "150"})
    advice, answer = advise(K, request), plan(K, request)
    assert advice["state"] == "add"
    assert answer["first"]["product"] == advice["product"]
    assert answer["first"]["predicted"] == advice["predicted"]
    assert "amount" not in answer["first"]
    assert not any(step["for_now"] for step in answer["steps"])


def test_a_plan_starts_from_the_water_foreseen_after_the_advice() -> None:
    request = sour()
    advice, answer = advise(K, request), plan(K, request)
    for name, value in advice["predicted"].items():
        assert answer["before"][name] == value


def test_where_the_advice_adds_nothing_there_is_no_step() -> None:
    request = full(free_chlorine="1.5", total_chlorine="1.6", calcium_hardness="150")
    assert advise(K, request)["state"] == "nothing"
    assert plan(K, request)["state"] == "nothing"


def test_a_figure_that_nobody_tested_is_not_added_for() -> None:
    answer = plan(K, full())
    assert not any(step["substance"] == "calcium-chloride" for step in answer["steps"])
    assert {"parameter": "calcium_hardness", "id": "not-tested"}.items() <= answer["unreached"][
        0
    ].items()


def test_a_product_for_the_feeder_gives_no_amount() -> None:
    request = full()
    request["products"] = [dict(HYPOCHLORITE, method="feeder-only")]
    answer = plan(K, request)
    assert answer["state"] == "feed"
    assert answer["steps"] == []


# --- the steps -----------------------------------------------------------------------------------


def test_every_step_is_one_product_with_a_wait_and_a_test_at_two_points() -> None:
    answer = plan(K, sour())
    assert answer["state"] == "plan"
    assert len(answer["steps"]) > 2
    for step in answer["steps"]:
        assert isinstance(step["product"], str)
        assert step["wait_s"] >= 2400
        assert step["retest"] == {"points": 2, "also": []}
        assert "one-product" in step["cautions"]


def test_no_step_moves_ph_by_more_than_two_tenths_or_passes_a_cap() -> None:
    answer = plan(K, sour(ph="8.3", calcium_hardness="60"))
    water = {name: number(text) for name, text in answer["before"].items()}
    caps = {"ph": 0.2, "free_chlorine": 3, "total_alkalinity": 15, "calcium_hardness": 30}
    assert len(answer["steps"]) > 4
    for step in answer["steps"]:
        after = {name: number(text) for name, text in step["predicted"].items()}
        for name, cap in caps.items():
            assert abs(after[name] - water[name]) <= cap + 0.011
        water = after


def test_the_plan_ends_inside_every_target_by_test_error() -> None:
    answer = plan(K, sour())
    assert answer["unreached"] == []
    assert 7.2 <= number(answer["predicted"]["ph"]) <= 7.55
    assert 80 <= number(answer["predicted"]["total_alkalinity"]) <= 120


def test_amounts_are_whole_scoops() -> None:
    request = sour()
    for product in request["products"]:
        product["scoop"] = {"amount": "300", "unit": "mL" if product["jug"] else "g"}
    steps = plan(K, request)["steps"]
    assert steps
    assert all(step["amount"] % 300 == 0 for step in steps)


def test_no_plan_takes_more_than_there_is() -> None:
    request = sour()
    for product in request["products"]:
        if product["substance"] == "sodium-bicarbonate":
            product["stock"] = {"amount": "3", "unit": "kg"}
    answer = plan(K, request)
    assert answer["state"] == "no-plan" or all(
        row["amount"] <= 3000 for row in answer["totals"] if row["product"] == "bicarb-1"
    )


def test_the_advice_first_step_comes_out_of_the_same_store() -> None:
    request = sour()
    acid = next(row for row in request["products"] if row["product"] == "acid-1")
    advice = advise(K, request)
    acid["stock"] = {"amount": str(advice["amount"] + 100), "unit": "mL"}
    answer = plan(K, request)
    taken = [row["amount"] for row in answer["totals"] if row["product"] == "acid-1"]
    assert sum(taken) <= 100


def test_a_guessed_volume_gives_every_portion_in_halves() -> None:
    request = change(sour(), "volume.known", "guess")
    request["volume"]["accepted"] = True
    answer = plan(K, request)
    amounts = [(step["product"], step["amount"]) for step in answer["steps"]]
    assert amounts[::2] == amounts[1::2]
    assert "half-portions" in {row["id"] for row in answer["assumed"]}


def test_a_total_holds_its_own_range_and_its_steps_add_up_to_it() -> None:
    answer = plan(K, sour())
    for row in answer["totals"]:
        mine = [step["amount"] for step in answer["steps"] if step["product"] == row["product"]]
        assert row["low"] < row["amount"] < row["high"]
        assert sum(mine) == row["amount"]
        assert len(mine) == row["additions"]


def test_an_older_alkalinity_widens_the_range() -> None:
    def range_of(days: int) -> int:
        request = sour(total_alkalinity="")
        earlier = [reading("total_alkalinity", "60")]
        request["case"]["history"] = [{"at": AT - days * DAY, "readings": earlier}]
        row = next(row for row in plan(K, request)["totals"] if row["product"] == "bicarb-1")
        return int(row["high"]) - int(row["low"])

    assert range_of(6) > range_of(0)


def test_a_jug_of_two_products_plans_neither() -> None:
    request = sour()
    for product in request["products"]:
        product["jug"] = "one jug"
    answer = plan(K, request)
    assert answer["state"] == "refused"
    assert "jug-shared" in ids(answer)


# --- no plan -------------------------------------------------------------------------------------


def test_what_only_fresh_water_brings_down_is_named() -> None:
    request = full(ph="7.75", total_alkalinity="180", calcium_hardness="150")
    row = plan(K, request)["unreached"][0]
    assert (row["parameter"], row["id"]) == ("total_alkalinity", "fresh-water-not-known")


def test_a_search_that_finds_nothing_says_what_binds() -> None:
    prepared = prepared_plan(K, sour())
    stock = plan_told(K, prepared, PLAN_NO_PLAN, [], [BINDS_STOCK + 0.0])
    assert stock["state"] == "no-plan"
    assert stock["binding"]["kind"] == "stock"
    assert stock["steps"] == []
    steps = plan_told(K, prepared, PLAN_NO_PLAN, [], [BINDS_STEPS + 0.0])
    assert steps["binding"] == {"kind": "steps"}


@pytest.mark.parametrize("flat", [[0.0, 400.0], [1.0, 0.0], [0.0, 90000.0]])
def test_a_search_whose_steps_do_not_hold_is_refused(flat: list[float]) -> None:
    prepared = prepared_plan(K, sour())
    assert needs_search(prepared)
    answer = plan_told(K, prepared, PLAN_FOUND, flat, [-1.0])
    assert answer["state"] == "refused"
    assert ids(answer) == {"plan-not-held"}


def test_nothing_to_search_needs_no_search() -> None:
    prepared = prepared_plan(
        K, full(calcium_hardness="150", free_chlorine="1.5", total_chlorine="1.6")
    )
    assert not needs_search(prepared)
    assert plan_without_search(K, prepared)["state"] == "nothing"


def test_readings_that_no_water_has_start_nothing() -> None:
    request = sour()
    case = deepcopy(request["case"])
    case["readings"] = [
        row for row in case["readings"] if row["parameter"] != "total_alkalinity"
    ] + [reading("total_alkalinity", "5"), reading("cyanuric_acid", "200")]
    assert plan_start(K, request, case, {}) == {"known": False}


def test_no_request_at_all_is_a_refusal() -> None:
    assert plan(K, {})["state"] == "refused"
    assert plan(K, {"stateless": True})["state"] == "refused"


@pytest.mark.parametrize("path", ["case", "volume", "targets", "products", "questions", "ages"])
def test_without_a_part_of_the_request_there_is_no_amount(path: str) -> None:
    answer = plan(K, without(sour(), path))
    assert answer["state"] == "refused"
    assert answer["steps"] == []


def test_a_limit_that_is_broken_before_does_not_stand_in_the_way_of_its_cure() -> None:
    request = full(
        free_chlorine="1.5",
        total_chlorine="1.6",
        ph="7.72",
        total_alkalinity="70",
        cyanuric_acid="34",
        calcium_hardness="150",
    )
    request["targets"]["total_alkalinity"] = {"low": "85", "high": "110"}
    request["limits"]["total_alkalinity"] = {"low": "80", "high": "120"}
    answer = plan(K, request)
    assert answer["state"] == "plan"
    assert answer["unreached"] == []


def test_every_step_is_an_amount_that_can_be_measured_out() -> None:
    for values in (HARD, {"ph": "8.3", "total_alkalinity": "30"}, {"calcium_hardness": "40"}):
        steps = plan(K, full(**{"calcium_hardness": "150", **values}))["steps"]
        assert steps
        assert all(step["amount"] == measurable(step["amount"]) for step in steps)


def test_calcium_is_not_added_for_what_it_does_to_ph() -> None:
    request = full(free_chlorine="1.5", total_chlorine="1.6", ph="7.65", calcium_hardness="150")
    answer = plan(K, request)
    assert {step["substance"] for step in answer["steps"]} <= {"hydrochloric-acid"}
