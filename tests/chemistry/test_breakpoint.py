"""`calc breakpoint`: what must be given, what is looked at, and what a course is said not to be."""

from __future__ import annotations

from typing import Any

import pytest

from lanewater.chemistry.breakpoint import REQUIRED, breakpoint_from, describe_breakpoint
from lanewater.chemistry.water import describe, water_from
from lanewater.service.constants import load_constants, load_table
from lanewater.terms.errors import InputError

LEAST: dict[str, Any] = {
    "ph": 7.4,
    "temperature_c": 28,
    "total_alkalinity_mg_l": 100,
    "free_chlorine_mg_l": 3,
    "ammonia_n_mg_l": 0.2,
    "minutes": 30,
}
DESIGNED = {
    "minute",
    "free_chlorine_mg_l",
    "monochloramine_mg_l",
    "dichloramine_mg_l",
    "trichloramine_mg_l",
    "total_chlorine_mg_l",
}


def answered(**changed: Any) -> dict[str, Any]:
    k, q = load_constants(), load_table("chloramine")
    return describe_breakpoint(k, q, breakpoint_from({**LEAST, **changed}))


def ids(answer: dict[str, Any]) -> set[str]:
    return {one["id"] for one in answer["findings"]}


def test_a_course_has_a_row_a_minute_and_its_total_is_its_sum() -> None:
    course = answered()["course"]
    assert [row["minute"] for row in course] == list(range(31))
    assert course[0]["free_chlorine_mg_l"] == pytest.approx(3.0)
    for row in course:
        assert set(row) >= DESIGNED
        parts = ("free_chlorine_mg_l", "monochloramine_mg_l", "dichloramine_mg_l")
        total = sum(row[name] for name in parts) + row["trichloramine_mg_l"]
        assert row["total_chlorine_mg_l"] == pytest.approx(total)
        assert min(row.values()) >= 0


@pytest.mark.parametrize("name", REQUIRED)
def test_what_is_required_is_asked_for_by_name(name: str) -> None:
    given = {key: value for key, value in LEAST.items() if key != name}
    with pytest.raises(InputError, match=name):
        breakpoint_from(given)


@pytest.mark.parametrize(
    "changed",
    [
        {"minutes": -1},
        {"minutes": "5"},
        {"minutes": []},
        {"minutes": [5, 1]},
        {"minutes": 1e9},
        {"minutes": True},
        {"ammonia_n_mg_l": -0.1},
        {"urea_mg_l": None},
        {"trichloramine_to_air_per_h": float("nan")},
        {"chloramine": 1},
    ],
)
def test_what_is_out_of_its_range_is_refused(changed: dict[str, Any]) -> None:
    with pytest.raises(InputError):
        breakpoint_from({**LEAST, **changed})


@pytest.mark.parametrize(
    ("minutes", "looked_at"),
    [(0, [0]), (1.5, [0, 1, 1.5]), ([2, 2, 60], [2, 2, 60]), (240, [*range(0, 241, 2)])],
)
def test_it_is_looked_at_when_it_is_asked_to_be(minutes: Any, looked_at: list[float]) -> None:
    assert [row["minute"] for row in answered(minutes=minutes)["course"]] == looked_at


def test_a_long_course_has_few_rows_and_its_end() -> None:
    course = answered(minutes=10001)["course"]
    assert len(course) < 125
    assert course[-1]["minute"] == 10001


def test_the_same_water_is_the_same_however_often_it_is_looked_at() -> None:
    end = answered()["course"][-1]
    alone = answered(minutes=[30])["course"][0]
    for name, value in alone.items():
        assert end[name] == pytest.approx(value, 1e-5, 1e-9)


def test_what_is_not_bound_is_what_calc_water_says() -> None:
    water = {name: LEAST[name] for name in list(LEAST)[:4]} | {"cyanuric_acid_mg_l": 40}
    said = describe(load_constants(), load_constants("WA2019"), water_from(water))
    row = answered(cyanuric_acid_mg_l=40, minutes=[0])["course"][0]
    assert row["unbound_chlorine_mg_l"] == pytest.approx(said["hocl_mg_l"] + said["ocl_mg_l"], 1e-6)


def test_stabiliser_slows_the_breakpoint() -> None:
    ends = [answered(cyanuric_acid_mg_l=cya)["course"][-1] for cya in (0, 20, 60, 120)]
    combined = [row["combined_chlorine_mg_l"] for row in ends]
    assert combined == sorted(combined)
    assert combined[-1] > 5 * combined[0]


def test_urea_outlasts_the_night_and_takes_its_chlorine() -> None:
    course = answered(ammonia_n_mg_l=0, free_chlorine_mg_l=1.7, urea_mg_l=1.08, minutes=60)[
        "course"
    ]
    gone = 1 - course[-1]["urea_mg_l"] / 1.08
    assert gone == pytest.approx(0.01, abs=0.002)
    molar = gone * 1.08 / 60.056 * 5 * 70.906
    assert course[-1]["chlorine_gone_mg_l"] == pytest.approx(molar, 1e-6)


def test_trichloramine_leaves_only_at_the_rate_that_is_given() -> None:
    start = {"ammonia_n_mg_l": 0, "free_chlorine_mg_l": 0, "trichloramine_mg_l": 0.5, "minutes": 60}
    held, blown = answered(**start), answered(**start, trichloramine_to_air_per_h=1.0)
    assert held["course"][-1]["trichloramine_mg_l"] == pytest.approx(0.5)
    assert blown["course"][-1]["trichloramine_mg_l"] == pytest.approx(0.5 / 2.718281828, 1e-4)
    assert blown["course"][-1]["trichloramine_to_air_mg_l"] == pytest.approx(0.31606, 1e-4)
    assert {"trichloramine-over-predicted"} <= ids(held) & ids(blown)


def test_a_water_that_cannot_be_has_no_course() -> None:
    answer = answered(ph=8.2, total_alkalinity_mg_l=5, cyanuric_acid_mg_l=100)
    assert answer["course"] is None
    assert ids(answer) == {"readings-cannot-all-be-right"}


@pytest.mark.parametrize(
    ("changed", "about"),
    [
        ({"ph": 6.4}, {"ph"}),
        ({"ph": 9.6}, {"ph"}),
        ({"temperature_c": 31}, {"temperature_c"}),
        ({"ammonia_n_mg_l": 0.05}, {"free_chlorine"}),
        ({"ammonia_n_mg_l": 5}, {"free_chlorine"}),
        ({}, set()),
    ],
)
def test_what_lies_outside_the_fitted_range_is_named(
    changed: dict[str, Any], about: set[str]
) -> None:
    found = answered(**{"ammonia_n_mg_l": 0.5, **changed})["findings"]
    assert {one["about"] for one in found if one["id"] == "outside-the-fitted-range"} == about


def test_no_course_goes_without_saying_that_it_is_a_model() -> None:
    assert "a-model-not-a-promise" in ids(answered())
    extra = answered(cyanuric_acid_mg_l=30, urea_mg_l=1)
    assert {"bound-chlorine-waits", "urea-is-one-apparent-step"} <= ids(extra)


def test_without_nitrogen_there_is_no_ratio_and_nothing_happens() -> None:
    answer = answered(ammonia_n_mg_l=0)
    assert answer["chlorine_for_nitrogen_mol_mol"] is None
    assert answer["course"][-1]["free_chlorine_mg_l"] == pytest.approx(3.0)
    assert answer["course"][-1]["combined_chlorine_mg_l"] == pytest.approx(0.0, abs=1e-12)
