"""The contact clock: what counts, what does not, and not before when."""

from __future__ import annotations

import random
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.kernel.deciding.contact_cases import MINUTE, START, asked, free_at, round_at, route

from lanewater.kernel.deciding.contacttime import (
    contact_for_germ,
    contact_for_procedure,
    contact_for_target,
)
from lanewater.service.constants import load_table

K = load_table("contact_time")
NIGHT = free_at((0, "20"), (60, "19.5"), (180, "18.8"), (360, "17.9"), (540, "17.2"), (765, "16.5"))
CRYPTOSPORIDIUM = {"germ": "cryptosporidium", "edition": "2008", "logs": 3000}
GIARDIA = {"germ": "giardia", "edition": "2008", "logs": 3000}
POINTS = ("", "deep", "shallow")


def target(readings: list[dict[str, Any]], ct: int) -> dict[str, Any]:
    """Answer for a target in mg min/L."""
    return contact_for_target(readings, None, ct * 1000)


def only(readings: list[dict[str, Any]], **more: Any) -> dict[str, Any]:
    """Answer for a procedure of one route; route keys with an underscore before them."""
    own = {key[1:]: value for key, value in more.items() if key[0] == "_"}
    rest = {key: value for key, value in more.items() if key[0] != "_"}
    return contact_for_procedure(readings, None, asked(routes=[route(**own)], **rest))[0]


def ids(state: dict[str, Any]) -> set[str]:
    """Name the findings."""
    return {one["id"] for one in state["findings"]}


def minute_of(at: int | None) -> int | None:
    """Give minutes after the start."""
    return None if at is None else (at - START) // MINUTE


# What is added up


def test_a_night_comes_to_the_worked_sums_and_only_the_lower_counts() -> None:
    state = target(NIGHT, 15_300)
    assert (state["ct_conservative"], state["ct_trapezoid"]) == (13_456_500, 13_736_250)
    assert state["remaining"] == 15_300_000 - 13_456_500


def test_the_lowest_point_counts_at_each_time() -> None:
    near = free_at((0, "20"), (60, "20"), point="near")
    far = free_at((1, "15"), (61, "12"), point="far")
    assert target(near + far, 9600)["ct_conservative"] == (1 * 15 + 59 * 15 + 1 * 12) * 1000


def test_points_more_than_ten_minutes_apart_are_two_times() -> None:
    readings = free_at((0, "20"), (60, "20")) + free_at((10, "5"), point="far")
    assert target(readings, 9600)["ct_conservative"] == (10 * 5 + 50 * 5) * 1000
    assert "point-missing" in ids(target(readings, 9600))


def test_a_point_read_ten_minutes_ago_counts_no_longer() -> None:
    for minute, level in ((9, 5), (10, 20)):
        readings = free_at((0, "5"), point="far") + free_at((minute, "20"), (60, "20"))
        span = 60 - minute
        assert target(readings, 9600)["ct_conservative"] == (minute * 5 + span * level) * 1000


def test_a_point_that_is_not_read_each_time_is_named() -> None:
    readings = free_at((0, "20"), (60, "20"), point="near") + free_at((0, "19"), point="far")
    found = [one for one in target(readings, 9600)["findings"] if one["id"] == "point-missing"]
    assert [minute_of(at) for at in found[0]["at"]] == [60]


def test_a_round_with_every_point_is_not_said_to_miss_one() -> None:
    near = free_at((0, "20"), (60, "20"), point="near")
    state = target(near + free_at((9, "19"), (69, "19"), point="far"), 9600)
    assert not ids(state) & {"point-missing", "one-point"}


def test_a_night_without_a_reading_is_named() -> None:
    assert "long-gap" in ids(target(free_at((0, "20"), (241, "20")), 9600))
    assert "long-gap" not in ids(target(free_at((0, "20"), (240, "20")), 9600))


def test_over_range_counts_at_its_bound_and_is_named() -> None:
    state = target(free_at((0, ">5.00"), (60, ">5.00")), 9600)
    assert state["ct_conservative"] == 300_000
    assert "over-range" in ids(state)
    assert state["reachable"] is None


def test_under_range_counts_as_none() -> None:
    assert target(free_at((0, "<0.10"), (60, "20")), 9600)["ct_conservative"] == 0


def test_a_diluted_reading_counts_in_full() -> None:
    readings = [{**one, "dilution": 5} for one in free_at((0, "4.1"), (60, "4.0"))]
    assert target(readings, 9600)["ct_conservative"] == 60 * 20_000


def test_one_reading_starts_the_clock_and_counts_nothing() -> None:
    state = target(free_at((0, "20")), 15_300)
    assert (state["ct_conservative"], minute_of(state["started"])) == (0, 0)
    assert minute_of(state["not_before"]) == 765
    assert state["reachable"] is None
    assert "decay-not-known" in ids(state)


# When


def test_not_before_is_rounded_up_to_a_whole_minute() -> None:
    state = target(free_at((0, "7"), (10, "7")), 100)
    assert state["remaining"] == 30_000
    assert minute_of(state["not_before"]) == 15
    odd = [{**one, "at": one["at"] + 1} for one in free_at((0, "6"), (10, "6"))]
    assert minute_of(target(odd, 90)["not_before"]) == 16


def test_a_falling_chlorine_puts_the_time_off() -> None:
    falling = free_at((0, "20"), (300, "14.14"))
    state = target(falling, 15_300)
    flat = 300 + (15_300 - 300 * 14.14) / 14.14
    assert (minute_of(state["not_before"]) or 0) > flat + 60
    assert state["reachable"] is True


def test_a_chlorine_used_up_before_cannot_reach_it_from_here() -> None:
    # Half gone in five hours: all that can ever come from 20 mg/L is 8,656, and 15,300 is asked.
    state = target(free_at((0, "20"), (300, "10")), 15_300)
    assert state["reachable"] is False
    assert state["not_before"] is None
    assert "cannot-be-reached" in ids(state)
    assert state["most_ct"] == pytest.approx(4_328_085, abs=2)


def test_the_same_fall_reaches_a_target_that_is_left_within_it() -> None:
    assert target(free_at((0, "20"), (300, "10")), 3_000 + 4_300)["reachable"] is True
    assert target(free_at((0, "20"), (300, "10")), 3_000 + 4_400)["reachable"] is False


def test_a_fall_within_test_error_is_not_called_hopeless() -> None:
    state = target(free_at((0, "20"), (5, "19.6")), 15_300)
    assert state["reachable"] is None
    assert "decay-not-clear" in ids(state)


def test_after_chlorine_is_added_the_rate_of_the_fall_before_stands() -> None:
    state = target(free_at((0, "20"), (300, "10"), (301, "20")), 15_300)
    assert "rose-between" in ids(state)
    assert state["reachable"] is False
    assert state["most_ct"] == pytest.approx(8_656_170, abs=2)


def test_no_chlorine_left_cannot_reach_it() -> None:
    assert target(free_at((0, "20"), (60, "0")), 15_300)["reachable"] is False


def test_what_is_complete_stays_complete_and_says_when() -> None:
    readings = free_at((0, "2.0"), (30, "2.0"), (60, "0.5"))
    state = only(readings, _free_least=2000, _seconds=1800)
    assert minute_of(state["reached"]) == minute_of(state["not_before"]) == 30
    assert state["ct_conservative"] == 60_000
    assert "restarted" not in ids(state)
    assert state["remaining"] == 0
    on = only([*readings[:2], *free_at((60, "2.0"))], _free_least=2000, _seconds=1800)
    assert minute_of(on["reached"]) == 30
    assert state["reachable"] is True


# What a route asks


def test_a_level_that_is_held_is_counted_by_time() -> None:
    before = only(free_at((0, "2.0"), (29, "2.0")), _free_least=2000, _seconds=1800)
    assert before["reached"] is None
    assert before["remaining"] == 2000
    assert minute_of(before["not_before"]) == 30


def test_a_higher_chlorine_does_not_shorten_a_printed_time() -> None:
    state = only(free_at((0, "9.0"), (20, "9.0")), _free_least=2000, _seconds=1800)
    assert state["ct_conservative"] > state["target_ct"]
    assert state["reached"] is None
    assert state["remaining"] == 20_000
    assert minute_of(state["not_before"]) == 30


def test_where_time_and_contact_time_are_printed_the_stricter_stands() -> None:
    # 20 mg/L for 28 h beside 31,500 mg min/L, which would be 26 h 15 min.
    def state(hours: int) -> dict[str, Any]:
        readings = free_at((0, "20"), (hours * 60, "20"))
        return only(readings, _free_least=20_000, _seconds=28 * 3600, _ct=31_500_000)

    assert state(27)["target_ct"] == 33_600_000
    assert state(27)["ct_conservative"] > 31_500_000
    assert state(27)["reached"] is None
    assert state(28)["reached"] is not None


def test_a_level_that_will_not_hold_cannot_be_reached_from_here() -> None:
    state = only(free_at((0, "24"), (120, "21")), _free_least=20_000, _seconds=8 * 3600)
    assert state["reachable"] is False
    assert state["not_before"] is None


def test_a_reading_that_falls_short_begins_the_time_anew() -> None:
    readings = free_at((0, "20"), (240, "19.9"), (241, "21"), (300, "21"))
    state = only(readings, _free_least=20_000, _seconds=8 * 3600)
    assert minute_of(state["started"]) == 241
    assert state["held_seconds"] == 59 * MINUTE
    assert {"restarted", "restart-assumed", "free-under"} <= ids(state)


def test_where_the_rules_say_so_the_time_before_stands() -> None:
    readings = free_at((0, "20"), (240, "20"), (300, "19.9"), (360, "21"), (400, "21"))
    state = only(readings, _free_least=20_000, _seconds=8 * 3600, broken="hold")
    assert state["held_seconds"] == (240 + 40) * MINUTE
    assert "held" in ids(state)
    assert "restart-assumed" not in ids(state)


@pytest.mark.parametrize(
    ("limits", "good", "bad", "why"),
    [
        ({"ph_most": 7500}, {"ph": "7.5"}, {"ph": "7.51"}, "ph-over"),
        ({"ph_most": 7500}, {"ph": "<6.8"}, {"ph": ">8.4"}, "ph-over"),
        ({"ph_most": 7500}, {"ph": "7.5"}, {"ph": ">7.0"}, "ph-over"),
        ({"ph_most": 7500}, {"ph": "7.5"}, {}, "ph-not-known"),
        (
            {"temperature_least": 25_000},
            {"temperature_c": "25.0"},
            {"temperature_c": "24.9"},
            "temperature-under",
        ),
        ({"temperature_least": 25_000}, {"temperature_c": "25"}, {}, "temperature-not-known"),
        (
            {"cyanuric_most": 15_000},
            {"cyanuric_acid": "15"},
            {"cyanuric_acid": "16"},
            "cyanuric-over",
        ),
        (
            {"cyanuric_most": 15_000},
            {"cyanuric_acid": "<15"},
            {"cyanuric_acid": ">10"},
            "cyanuric-over",
        ),
        ({"cyanuric_most": 15_000}, {"cyanuric_acid": "0"}, {}, "cyanuric-not-known"),
    ],
)
def test_only_a_reading_inside_every_limit_counts(
    limits: dict[str, int], good: dict[str, str], bad: dict[str, str], why: str
) -> None:
    def state(values: dict[str, str]) -> dict[str, Any]:
        readings = [
            *round_at(0, free_chlorine="20", **values),
            *round_at(60, free_chlorine="20", **values),
        ]
        return only(readings, _ct=9_600_000, **limits)

    assert state(good)["ct_conservative"] == 1_200_000
    assert state(bad)["ct_conservative"] == 0
    assert state(bad)["not_before"] is None
    assert {why, "clock-not-running"} <= ids(state(bad))


def test_a_ph_stands_for_later_tests_of_the_day_and_it_is_said() -> None:
    readings = [*round_at(0, ph="7.4"), *free_at((1, "20"), (60, "20"), (1440, "20"), (1441, "20"))]
    state = only(readings, _ct=40_000_000, ph_most=7500)
    assert "carried" in ids(state)
    assert state["ct_conservative"] == 0
    assert "ph-not-known" in ids(state)
    assert only(readings[:3], _ct=40_000_000, ph_most=7500)["ct_conservative"] == 59 * 20_000


def test_a_ph_read_before_chlorine_was_added_stands_no_longer() -> None:
    readings = [
        *round_at(0, ph="7.4", free_chlorine="10"),
        *free_at((60, "20"), (120, "20")),
    ]
    state = only(readings, _ct=9_600_000, ph_most=7500)
    assert state["ct_conservative"] == 0
    assert "ph-not-known" in ids(state)
    again = [*readings, *round_at(55, ph="7.4")]
    assert only(again, _ct=9_600_000, ph_most=7500)["ct_conservative"] > 0


def test_a_ph_read_in_much_chlorine_is_doubted_where_it_matters() -> None:
    def state(free: str, limit: int | None) -> set[str]:
        readings = [*round_at(0, free_chlorine=free, ph="7.0")]
        return ids(only(readings, _ct=9_600_000, ph_most=limit))

    assert "ph-in-doubt" in state("10.1", 7500)
    assert "ph-in-doubt" not in state("10.0", 7500)
    assert "ph-in-doubt" not in state("20", None)
    apart = [*round_at(0, ph="7.0"), *round_at(15, free_chlorine="20")]
    assert "ph-in-doubt" not in ids(only(apart, _ct=9_600_000, ph_most=7500))


def test_the_highest_ph_of_the_points_decides() -> None:
    readings = [
        *round_at(0, "near", free_chlorine="20", ph="7.2"),
        *round_at(0, "far", free_chlorine="20", ph="7.6"),
        *round_at(60, "near", free_chlorine="20", ph="7.2"),
        *round_at(60, "far", free_chlorine="20", ph="7.6"),
    ]
    assert only(readings, _ct=9_600_000, ph_most=7500)["ct_conservative"] == 0


def test_an_archived_procedure_gives_no_time() -> None:
    state = only(free_at((0, "20"), (60, "20")), _ct=1_000_000, archived=True)
    assert (state["not_before"], state["reached"], state["reachable"]) == (None, None, None)
    assert state["remaining"] == 0
    assert "archived" in ids(state)


def test_routes_stand_in_the_rules_order_whichever_ends_first() -> None:
    routes = [route(id=name, ct=ct * 1000) for name, ct in (("long", 9600), ("short", 60))]
    for order in (routes, routes[::-1]):
        states = contact_for_procedure(free_at((0, "20")), None, asked(routes=order))
        assert [one["route"] for one in states] == [one["id"] for one in order]


def test_stabiliser_without_a_limit_of_it_is_named() -> None:
    readings = free_at((0, "20"), (60, "20"))
    assert "stabiliser-present" in ids(contact_for_procedure(readings, 30_000, asked())[0])
    assert "stabiliser-present" not in ids(contact_for_procedure(readings, 0, asked())[0])
    assert "stabiliser-present" in ids(contact_for_target(readings, 1000, 1000))


# By a germ's table


def germ(said: int | None, asked_for: dict[str, Any], **values: str) -> dict[str, Any]:
    """Answer for a germ in an hour at 20 mg/L."""
    readings = [
        *round_at(0, free_chlorine="20", **values),
        *round_at(60, free_chlorine="20", **values),
    ]
    return contact_for_germ(K, readings, said, asked_for)


WARM = {"ph": "7.5", "temperature_c": "25"}


def test_cryptosporidium_without_stabiliser_is_the_edition_of_2008() -> None:
    state = germ(0, CRYPTOSPORIDIUM, **WARM)
    assert state["target_ct"] == 15_300_000
    assert minute_of(state["not_before"]) == 765


def test_cryptosporidium_with_stabiliser_up_to_15_is_31_500() -> None:
    for said in (1, 15_000):
        state = germ(said, CRYPTOSPORIDIUM, **WARM)
        assert state["target_ct"] == 31_500_000
        assert minute_of(state["not_before"]) == 1575


def test_cryptosporidium_over_15_of_stabiliser_is_not_reached() -> None:
    state = germ(15_001, CRYPTOSPORIDIUM, **WARM)
    assert (state["target_ct"], state["remaining"], state["not_before"]) == (None, None, None)
    assert state["reachable"] is False
    assert state["ct_conservative"] == 1_200_000
    assert "stabiliser-too-high" in ids(state)


def test_a_reading_of_stabiliser_stands_before_what_was_said() -> None:
    state = germ(0, CRYPTOSPORIDIUM, cyanuric_acid="50", **WARM)
    assert "stabiliser-too-high" in ids(state)


def test_without_a_known_stabiliser_no_time_is_given() -> None:
    for asked_for in (CRYPTOSPORIDIUM, GIARDIA):
        state = germ(None, asked_for, **WARM)
        assert state["target_ct"] is not None
        assert (state["not_before"], state["reached"]) == (None, None)
        assert state["reachable"] is not True
        assert "stabiliser-not-known" in ids(state)


def test_the_edition_of_2001_drives_no_clock() -> None:
    state = germ(0, {**CRYPTOSPORIDIUM, "edition": "2001"}, **WARM)
    assert state["target_ct"] == 9_600_000
    assert state["not_before"] is None
    assert "superseded" in ids(state)


def test_cryptosporidium_in_colder_or_less_acid_water_does_not_count() -> None:
    assert germ(0, CRYPTOSPORIDIUM, ph="7.6", temperature_c="25")["ct_conservative"] == 0
    assert germ(0, CRYPTOSPORIDIUM, ph="7.5", temperature_c="24.9")["ct_conservative"] == 0


def test_giardia_is_read_at_the_worst_of_the_readings() -> None:
    readings = [
        *round_at(0, free_chlorine="1.2", ph="7.5", temperature_c="15"),
        *round_at(30, free_chlorine="0.8", ph="7.2", temperature_c="20"),
    ]
    state = contact_for_germ(K, readings, 0, GIARDIA)
    assert state["target_ct"] == 92_000
    assert state["ct_conservative"] == 24_000


def test_above_the_last_row_of_the_table_no_time_is_given() -> None:
    """The last row stands for more by the agency's rule, and its regression asks for more."""
    water = {"ph": "7.5", "temperature_c": "20"}
    states = [
        contact_for_germ(
            K,
            [
                *round_at(0, free_chlorine=free, **water),
                *round_at(60, free_chlorine=free, **water),
            ],
            0,
            GIARDIA,
        )
        for free in ("3.00", "3.01")
    ]
    assert [state["target_ct"] for state in states] == [83_000, 83_000]
    assert ["beyond-table" in ids(state) for state in states] == [False, True]
    assert states[0]["not_before"] is not None
    assert states[1]["not_before"] is None


def test_half_the_logs_are_half_the_time_rounded_up() -> None:
    state = germ(0, {**GIARDIA, "logs": 1500}, ph="7.5", temperature_c="25")
    assert state["target_ct"] == 27_500


def test_viruses_over_ph_9_have_a_figure_only_for_4_log() -> None:
    high = {"ph": "9.5", "temperature_c": "25"}
    assert germ(0, {"germ": "virus", "logs": 4000}, **high)["target_ct"] == 15_000
    assert germ(0, {"germ": "virus", "logs": 3000}, **high)["target_ct"] is None
    assert (
        germ(0, {"germ": "virus", "logs": 4000}, ph="5.9", temperature_c="25")["target_ct"] is None
    )


def test_a_table_without_ph_or_temperature_has_no_figure() -> None:
    for values in ({"ph": "7.5"}, {"temperature_c": "25"}, {}):
        state = germ(0, GIARDIA, **values)
        assert (state["target_ct"], state["not_before"], state["reachable"]) == (None, None, None)
        assert "no-figure" in ids(state)


def test_with_stabiliser_the_table_gives_no_time() -> None:
    state = germ(30_000, GIARDIA, **WARM)
    assert state["not_before"] is None
    assert "table-without-stabiliser" in ids(state)


def test_without_a_free_chlorine_nothing_is_told() -> None:
    state = target(round_at(0, ph="7.4"), 60)
    assert (state["ct_conservative"], state["not_before"], state["reachable"]) == (0, None, None)
    assert ids(state) == {"no-readings"}


# Whatever comes


@st.composite
def incidents(draw: st.DrawFn) -> list[dict[str, Any]]:
    """Draw readings of an incident: several points, over range and under, pH at some of them."""
    found: list[dict[str, Any]] = []
    for _ in range(draw(st.integers(1, 8))):
        minute = draw(st.integers(0, 400))
        values = {"free_chlorine": draw(st.sampled_from(("", "", "", ">", "<"))) + level(draw)}
        if draw(st.booleans()):
            values["ph"] = f"{draw(st.integers(68, 78)) / 10}"
        found += round_at(minute, draw(st.sampled_from(POINTS)), **values)
    return found


def level(draw: st.DrawFn) -> str:
    """Draw a free chlorine."""
    return f"{draw(st.integers(0, 250)) / 10}"


def every_state(readings: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Answer in several ways."""
    return [
        target(readings, 500),
        only(readings, _ct=500_000, ph_most=7500),
        only(readings, _ct=500_000, ph_most=7500, broken="hold"),
        only(readings, _free_least=5000, _seconds=1800),
    ]


def test_a_chlorine_of_hundreds_is_taken_for_a_slip_and_counts_as_none() -> None:
    readings = [*round_at(0, free_chlorine="204"), *round_at(60, free_chlorine="204")]
    state = target(readings, 500)
    assert state["ct_conservative"] == 0
    assert "not-believed" in ids(state)


def test_much_chlorine_that_was_not_diluted_is_named_and_a_diluted_one_is_not() -> None:
    plain = free_at((0, "20.4"), (60, "20.4"))
    assert "not-diluted" in ids(target(plain, 500))
    diluted = [row | {"value": "4.08", "dilution": 5} for row in plain]
    assert "not-diluted" not in ids(target(diluted, 500))
    assert target(diluted, 500)["ct_conservative"] == target(plain, 500)["ct_conservative"]


@pytest.mark.parametrize(("ph", "said"), [("7.5", False), ("8.6", True), ("", True)])
def test_a_target_without_a_ph_speaks_of_ph_all_the_same(ph: str, said: bool) -> None:
    values = {"free_chlorine": "5.0"} | ({"ph": ph} if ph else {})
    state = target([*round_at(0, **values), *round_at(60, **values)], 500)
    assert ("ph-not-asked" in ids(state)) is said


def test_two_points_of_one_ph_say_the_same_in_either_order() -> None:
    """Which of two equal pH counts decides whether it was read since chlorine was added."""
    readings = [
        *round_at(0, "shallow", free_chlorine="10", ph="7.4"),
        *round_at(9, "deep", free_chlorine="20", ph="7.4"),
        *round_at(10, "shallow", free_chlorine="20"),
    ]
    assert every_state(readings[::-1]) == every_state(readings)


@given(incidents(), st.randoms(use_true_random=False))
def test_the_order_of_the_readings_does_not_matter(
    readings: list[dict[str, Any]], shuffling: random.Random
) -> None:
    shuffled = list(readings)
    shuffling.shuffle(shuffled)
    assert every_state(shuffled) == every_state(readings)


@given(incidents())
def test_the_conservative_sum_never_passes_the_trapezoid(readings: list[dict[str, Any]]) -> None:
    for state in every_state(readings):
        assert 0 <= state["ct_conservative"] <= state["ct_trapezoid"]


@given(incidents(), st.integers(0, 400), st.sampled_from(POINTS))
def test_a_reading_lower_than_all_never_raises_what_has_counted(
    readings: list[dict[str, Any]], minute: int, point: str
) -> None:
    lower = readings + free_at((minute, "0"), point=point)
    inside = [one["at"] for one in readings if one["parameter"] == "free_chlorine"]
    if min(inside) <= START + minute * MINUTE <= max(inside):
        assert target(lower, 500)["ct_conservative"] <= target(readings, 500)["ct_conservative"]


@given(incidents(), st.integers(0, 7), st.integers(1, 50))
def test_a_lower_point_at_a_time_never_raises_a_sum(
    readings: list[dict[str, Any]], place: int, less: int
) -> None:
    moments = sorted({one["at"] for one in readings if one["parameter"] == "free_chlorine"})
    at = moments[place % len(moments)]
    near = [one for one in readings if one["parameter"] == "free_chlorine"]
    lowest = min(lowest_of(one) for one in near if at - 600 < one["at"] <= at)
    text = f"{max(lowest - less / 10, 0):.1f}"
    lower = [*readings, *[{**one, "at": at} for one in free_at((0, text), point="far")]]
    before, after = target(readings, 500), target(lower, 500)
    assert after["ct_conservative"] <= before["ct_conservative"]
    held_before, held_after = (
        only(one, _free_least=5000, _seconds=1800) for one in (readings, lower)
    )
    assert not (held_before["reached"] is None and held_after["reached"] is not None)


def lowest_of(one: dict[str, Any]) -> float:
    """Give what a free chlorine counts as."""
    return 0.0 if one["value"][0] == "<" else float(one["value"].strip(">"))


@given(incidents())
def test_a_time_is_told_only_where_something_is_left_and_is_never_before_the_last_reading(
    readings: list[dict[str, Any]],
) -> None:
    last = max(one["at"] for one in readings if one["parameter"] == "free_chlorine")
    for state in every_state(readings):
        if state["reached"] is not None:
            assert state["remaining"] == 0
        else:
            assert state["remaining"] > 0
            assert state["not_before"] is None or state["not_before"] > last
        assert (state["not_before"] is None) or (state["not_before"] % MINUTE == 0)
        assert state["reachable"] is not False or state["not_before"] is None


@given(st.integers(1, 250), st.integers(1, 600), st.integers(1, 20_000))
def test_a_chlorine_that_holds_is_complete_at_the_time_told_and_not_a_minute_before(
    tenths: int, minutes: int, ct: int
) -> None:
    text = f"{tenths / 10}"
    readings = free_at((0, text), (minutes, text))
    state = target(readings, ct)
    at = minute_of(state["not_before"])
    assert at is not None
    if state["reached"] is None:
        assert target([*readings, *free_at((at, text))], ct)["reached"] is not None
        if at - 1 > minutes:
            assert target([*readings, *free_at((at - 1, text))], ct)["reached"] is None


def test_a_time_runs_only_from_all_the_points_that_are_asked_for() -> None:
    three = [
        one
        for minute in (0, 30)
        for point in ("a", "b", "c")
        for one in round_at(minute, point, free_chlorine="2.0")
    ]
    held = asked(routes=[route(free_least=2000, seconds=1800)], points_least=3)
    [found] = contact_for_procedure(three, None, held)
    assert found["reached"] == START + 30 * MINUTE
    [two] = contact_for_procedure([one for one in three if one["point"] != "c"], None, held)
    assert two["started"] is None
    assert "points-under" in [one["id"] for one in two["findings"]]
    late = [one for one in three if one["point"] != "c" or one["at"] == START]
    [thin] = contact_for_procedure(late, None, held)
    assert (thin["started"], thin["reached"]) == (START, None)


def test_a_test_of_too_few_points_counts_no_higher_than_the_one_before() -> None:
    full = [one for point in ("a", "b") for one in round_at(0, point, free_chlorine="2.0")]
    more = [one for point in ("a", "b") for one in round_at(60, point, free_chlorine="9.0")]
    held = asked(routes=[route(ct=90_000)], points_least=2)
    high = round_at(30, "a", free_chlorine="9.0")
    [found] = contact_for_procedure([*full, *high, *more], None, held)
    assert found["ct_conservative"] == 120_000
    low = round_at(30, "a", free_chlorine="0.5")
    [less] = contact_for_procedure([*full, *low, *more], None, held)
    assert less["ct_conservative"] == 30_000
