"""Superchlorination: never for bromine, never over people, never ten times combined."""

from __future__ import annotations

from collections.abc import Callable
from itertools import product
from typing import Any

import pytest
from tests.kernel.deciding.deciding_cases import reading
from tests.kernel.deciding.superchlorination_cases import asked, drawn_requests, mornings

from lanewater.kernel.deciding.decimals import thousandths
from lanewater.kernel.deciding.superchlorination import superchlorination_of


def answered(*given: Any, **changes: Any) -> dict[str, Any]:
    return superchlorination_of(asked(*given, **changes))


def reasons(answer: dict[str, Any]) -> list[str]:
    return [reason["id"] for reason in answer["reasons"]]


def test_fresh_chloramine_goes_with_half_of_itself_on_top_of_what_is_there() -> None:
    answer = answered()
    assert (answer["state"], reasons(answer)) == ("may-help", [])
    assert answer["free_to_reach_mg_l"] == {"low": "1.30", "high": "1.30"}
    assert answer["removes"] == ["ammonia", "monochloramine", "dichloramine"]
    assert "urea" in answer["leaves"]


def test_ten_times_combined_is_shown_beside_what_it_is_mistaken_for() -> None:
    figures = answered()["figures"]
    assert figures["combined_mg_l"] == "1.60"
    assert figures["half_of_combined_mg_l"] == "0.80"
    assert figures["ten_times_combined_mg_l"] == "16.00"
    assert figures["nitrogen_if_monochloramine_mg_l"] == "0.316"
    assert "ten_times_nitrogen_mg_l" not in figures


def test_eight_to_ten_times_stands_only_where_ammonia_nitrogen_was_tested() -> None:
    answer = answered(ammonia_n_mg_l="0.40")
    assert answer["figures"]["eight_times_nitrogen_mg_l"] == "3.20"
    assert answer["figures"]["ten_times_nitrogen_mg_l"] == "4.00"
    assert answer["free_to_reach_mg_l"] == {"low": "3.20", "high": "4.00"}


def test_no_amount_is_ever_ten_times_combined() -> None:
    for free, combined in product((0.05, 0.3, 0.6), (0.6, 1.1, 2.4, 3.0)):
        answer = answered(
            f"{free:.2f}", f"{free + combined:.2f}", maximum_combined_mg_l="0.5", nobody_due="yes"
        )
        if answer["free_to_reach_mg_l"] is not None:
            high = thousandths(answer["free_to_reach_mg_l"]["high"])
            assert high <= 1000 * (free + combined)


@pytest.mark.parametrize(
    ("family", "why"),
    [
        ("bromine", "bromine"),
        ("other", "other-disinfectant"),
        ("unknown", "disinfectant-unknown"),
        (None, "disinfectant-unknown"),
    ],
)
def test_it_is_never_for_bromine_nor_for_what_is_not_known_to_be_chlorine(
    family: str | None, why: str
) -> None:
    answer = answered(pool={"disinfectant": family})
    assert (answer["state"], reasons(answer)) == ("refused", [why])
    assert answer["figures"] == {}
    assert answer["free_to_reach_mg_l"] is None


def test_it_is_never_for_sea_water_whose_chlorine_is_bromine() -> None:
    answer = answered(pool={"water": "sea"})
    assert (answer["state"], reasons(answer)) == ("refused", ["sea-water"])
    assert answer["free_to_reach_mg_l"] is None


def test_people_who_are_due_count_though_somebody_says_that_nobody_is() -> None:
    answer = answered(
        maximum_free_mg_l="1.0",
        nobody_due="yes",
        people_due_in_minutes=30,
        under_maximum_in_minutes=300,
    )
    assert "people-due-too-soon" in reasons(answer)
    assert answer["free_to_reach_mg_l"] is None


@pytest.mark.parametrize("said", ["", None])
def test_monopersulfate_is_asked_first(said: str | None) -> None:
    answer = answered(monopersulfate=said)
    assert (answer["state"], answer["ask"]) == ("ask-first", ["monopersulfate"])
    assert answer["figures"] == {}


def test_with_monopersulfate_the_test_is_not_believed() -> None:
    answer = answered(monopersulfate="yes")
    assert answer["state"] == "test-first"
    assert reasons(answer) == ["monopersulfate-reads-as-combined"]


@pytest.mark.parametrize(
    ("given", "why"),
    [
        (("0.50", "2.10", 1), "read-once"),
        (("2.10", "0.50"), "doubtful"),
        (("0.50", ">5.00"), "out-of-range"),
        (("0.50", "x"), "free-and-total-not-read"),
    ],
)
def test_a_difference_of_two_tests_is_repeated_first(given: tuple[Any, ...], why: str) -> None:
    answer = answered(*given)
    assert answer["state"] == "test-first"
    assert why in reasons(answer)
    assert answer["free_to_reach_mg_l"] is None


def test_combined_inside_its_limit_or_the_tests_error_needs_nothing() -> None:
    assert answered("1.00", "1.90")["state"] == "not-needed"
    assert answered("1.00", "1.05", 1, maximum_combined_mg_l="")["state"] == "not-needed"


def test_what_outlasts_nights_at_normal_free_is_not_sold_more_chlorine() -> None:
    answer = answered(rounds=mornings("1.50", "2.60"))
    assert answer["state"] == "will-not-help"
    assert answer["free_to_reach_mg_l"] is None
    assert answer["instead"][0] == "fresh-water"
    assert answer["removes"] == []


def test_the_record_counts_for_more_than_what_is_said_of_the_night() -> None:
    assert answered(rounds=mornings("1.50", "2.60"), lasted_overnight="no")["state"] == (
        "will-not-help"
    )
    assert answered(rounds=mornings("1.50", "1.60"), lasted_overnight="yes")["state"] == "may-help"
    assert answered(lasted_overnight="yes")["state"] == "will-not-help"


def test_a_night_with_little_free_chlorine_says_nothing() -> None:
    low = answered(rounds=mornings("0.30", "1.60"), heavy_load="")
    assert (low["state"], "monochloramine-test" in low["ask"]) == ("not-known-which", True)


@pytest.mark.parametrize("stabiliser", ["used", None])
def test_in_stabilised_water_a_night_does_not_decide(stabiliser: str | None) -> None:
    answer = answered(lasted_overnight="yes", pool={"stabiliser": stabiliser})
    assert (answer["state"], reasons(answer)) == (
        "not-known-which",
        ["stabiliser-slows-the-reactions"],
    )
    with_test = answered(more=(reading("cyanuric_acid", "40"),), lasted_overnight="yes")
    assert with_test["state"] == "not-known-which"


def test_a_test_of_monochloramine_decides() -> None:
    lasting = answered(monochloramine_mg_l="0.05", lasted_overnight="no")
    assert lasting["state"] == "will-not-help"
    partly = answered(monochloramine_mg_l="0.60", lasted_overnight="yes", free="0.20", total="1.8")
    assert partly["free_to_reach_mg_l"] == {"low": "0.50", "high": "0.50"}
    assert partly["figures"]["at_most_removed_mg_l"] == "0.60"


def test_where_free_is_enough_already_nothing_is_to_be_reached() -> None:
    answer = answered("1.20", "2.80")
    assert answer["state"] == "enough-already"
    assert answer["free_to_reach_mg_l"] is None
    assert answer["ask"] == ["look-again-in-an-hour"]
    assert answered("1.20", "2.80", pool={"stabiliser": "used"})["ask"] == ["look-again-tomorrow"]


@pytest.mark.parametrize(
    ("changes", "why"),
    [
        ({"everybody_out": "no"}, "people-in-the-water"),
        ({"everybody_out": ""}, "people-unknown"),
        ({"fresh_air": "no"}, "no-fresh-air"),
        ({"fresh_air": ""}, "fresh-air-unknown"),
        ({"fresh_air": "", "pool": {"location": "roofed"}}, "fresh-air-unknown"),
        ({"fresh_air": "", "pool": {"location": None}}, "fresh-air-unknown"),
        ({"pool": {"kind": "spa"}}, "kind-not-superchlorinated"),
        ({"pool": {"kind": None}}, "kind-not-superchlorinated"),
        ({"maximum_free_mg_l": ""}, "maximum-unknown"),
        ({"ammonia_n_mg_l": "1.01", "nobody_due": "yes"}, "more-than-is-ever-reached"),
        ({"maximum_free_mg_l": "1.0"}, "people-due-unknown"),
        ({"maximum_free_mg_l": "1.0", "people_due_in_minutes": 600}, "time-under-maximum-unknown"),
        (
            {
                "maximum_free_mg_l": "1.0",
                "people_due_in_minutes": 600,
                "under_maximum_in_minutes": 601,
            },
            "people-due-too-soon",
        ),
        ({"more": (reading("clarity", "not-visible"),)}, "house-stop"),
    ],
)
def test_nothing_is_to_be_reached_while_something_stands_against_it(
    changes: dict[str, Any], why: str
) -> None:
    answer = answered(**changes)
    assert why in reasons(answer)
    assert answer["free_to_reach_mg_l"] is None


def test_over_the_maximum_only_with_nobody_due_or_time_enough() -> None:
    over: dict[str, Any] = {"maximum_free_mg_l": "1.0"}
    assert answered(**over, nobody_due="yes")["free_to_reach_mg_l"] is not None
    enough = {"people_due_in_minutes": 600, "under_maximum_in_minutes": 600}
    assert answered(**over, **enough)["free_to_reach_mg_l"] is not None


def test_outdoors_the_air_is_not_asked() -> None:
    answer = answered(fresh_air="", pool={"location": "outdoor"})
    assert answer["free_to_reach_mg_l"] is not None


def test_in_stabilised_water_the_bound_chlorine_is_asked_of() -> None:
    assert "free-to-cyanuric-acid" in answered(pool={"stabiliser": "used"})["ask"]


def test_an_empty_request_gives_nothing() -> None:
    answer = superchlorination_of({})
    assert (answer["state"], answer["free_to_reach_mg_l"]) == ("refused", None)


def test_the_other_points_may_be_worse() -> None:
    deep = [
        reading("free_chlorine", "0.30", point="deep"),
        reading("total_chlorine", "2.30", point="deep"),
    ] * 2
    assert answered(more=tuple(deep))["figures"]["combined_mg_l"] == "2.00"


def test_every_combination_with_something_against_it_has_nothing_to_reach() -> None:
    for out, air, due, known in product(
        ("yes", "no", ""), ("yes", "no", ""), (None, 10), (None, 60)
    ):
        answer = answered(
            everybody_out=out,
            fresh_air=air,
            people_due_in_minutes=due,
            under_maximum_in_minutes=known,
            maximum_free_mg_l="1.0",
        )
        assert answer["reasons"] != []
        assert answer["free_to_reach_mg_l"] is None


def wrong_amounts(decide: Callable[[dict[str, Any]], dict[str, Any]]) -> int:
    """Count the drawn requests that are told what to reach though something stands against it."""
    return sum(
        decide(request)["free_to_reach_mg_l"] is not None and not may_be_told(request)
        for request in drawn_requests(3000, 73)
    )


def may_be_told(request: dict[str, Any]) -> bool:
    """Say the rules over again, without the kernel."""
    pool = request["case"]["pool"]
    people = request["everybody_out"] == "yes" and pool["kind"] == "pool"
    air = pool["location"] == "outdoor" or request["fresh_air"] == "yes"
    sort = pool["disinfectant"] == "chlorine" and request["monopersulfate"] == "no"
    most = request["maximum_free_mg_l"]
    total = [one["value"] for one in request["case"]["readings"] if "total" in one["parameter"]][-1]
    if most not in ("1.0", "5") or total.startswith(">"):
        return False
    due, back = request["people_due_in_minutes"], request["under_maximum_in_minutes"]
    known = due is not None and back is not None and due >= back
    time = known or (due is None and request["nobody_due"] == "yes")
    # Half of combined and ten times the ammonia stay under 5 in all that is drawn.
    return people and air and sort and (time or most == "5" or reached(request) <= 1000)


def reached(request: dict[str, Any]) -> int:
    """Give what is to be reached where that is told."""
    answer = superchlorination_of(request)["free_to_reach_mg_l"]
    return 10**6 if answer is None else thousandths(answer["high"])


def test_of_many_requests_none_is_told_what_to_reach_against_a_rule() -> None:
    assert wrong_amounts(superchlorination_of) == 0


@pytest.mark.parametrize(
    "blind",
    [
        {"everybody_out": "yes"},
        {"fresh_air": "yes"},
        {"nobody_due": "yes"},
        {"monopersulfate": "no"},
        {"maximum_free_mg_l": "20"},
    ],
)
def test_a_kernel_that_does_not_ask_is_found_out(blind: dict[str, Any]) -> None:
    assert wrong_amounts(lambda request: superchlorination_of(request | blind)) > 0
