"""`calc air`: the course at a rate, the rate out of nights, and nothing where none is known."""

from __future__ import annotations

from typing import Any

import pytest

from lanewater.chemistry.aircourse import describe_air, in_air_from
from lanewater.service.constants import load_constants, load_table
from lanewater.terms.errors import InputError

WATER = {
    "ph": 7.4,
    "temperature_c": 28,
    "total_alkalinity_mg_l": 100,
    "calcium_hardness_mg_l": 250,
    "salt_mg_l": 300,
    "depth_m": 1.5,
    "air_co2_ppm": 420,
}


def told(**changes: Any) -> dict[str, Any]:
    given = {name: value for name, value in {**WATER, **changes}.items() if value is not None}
    k, k_low = load_constants(), load_constants("WA2019")
    return describe_air(k, k_low, load_table("plant"), in_air_from(given))


def night(before: float, after: float, hours: float = 10, **more: float) -> dict[str, float]:
    return {"ph_before": before, "ph_after": after, "hours": hours, **more}


def ids(answer: dict[str, Any]) -> list[str]:
    return [found["id"] for found in answer["findings"]]


def test_the_course_is_told_at_the_hours_that_are_asked_for() -> None:
    answer = told(rate_cm_h=2.4)
    assert [row["ph"] for row in answer["course"]] == pytest.approx(
        [7.43, 7.54, 7.66, 7.76, 8.03], abs=0.013
    )
    assert answer["air_ph"] == pytest.approx(8.41, abs=0.005)
    assert answer["rate_from"] == "given"
    assert [row["hours"] for row in told(rate_cm_h=2.4, hours=[12, 3])["course"]] == [3, 12]


def test_volume_over_surface_is_the_depth() -> None:
    answer = told(rate_cm_h=5, depth_m=None, volume_m3=450, surface_m2=300)
    assert answer["course"] == told(rate_cm_h=5)["course"]


@pytest.mark.parametrize("rate", [1.0, 5.0, 20.0])
def test_a_rate_is_found_again_from_its_own_nights(rate: float) -> None:
    ends = [told(ph=start, rate_cm_h=rate, hours=[10])["course"][0]["ph"] for start in (7.3, 7.45)]
    nights = [night(7.3, ends[0]), night(7.45, ends[1])]
    answer = told(nights=nights, ph_error=0.01)
    assert answer["rate_from"] == "nights"
    assert answer["rate_cm_h"] == pytest.approx(rate, rel=0.005)
    assert answer["rate_low_cm_h"] < rate < answer["rate_high_cm_h"]
    assert all(one["counted"] for one in answer["nights"])
    course = answer["course"][1]
    assert course["ph_slow"] < course["ph"] < course["ph_fast"]


def test_more_nights_leave_the_rate_less_open() -> None:
    one, four = (told(nights=[night(7.4, 7.55)] * count) for count in (1, 4))
    assert four["rate_cm_h"] == pytest.approx(one["rate_cm_h"])

    def width(answer: dict[str, Any]) -> float:
        return float(answer["rate_high_cm_h"] - answer["rate_low_cm_h"])

    assert width(four) == pytest.approx(width(one) / 2)


def test_chlorine_used_overnight_hides_some_of_the_air() -> None:
    plain = told(nights=[night(7.4, 7.5)])
    more = {"free_chlorine_before_mg_l": 2.0, "free_chlorine_after_mg_l": 1.0}
    used = told(nights=[night(7.4, 7.5, **more)])
    assert used["rate_cm_h"] > plain["rate_cm_h"]


def test_a_night_that_air_does_not_explain_is_left_out_and_said() -> None:
    good = told(nights=[night(7.4, 7.55)])
    mixed = told(nights=[night(7.4, 7.55), night(7.5, 7.3)])
    assert mixed["rate_cm_h"] == pytest.approx(good["rate_cm_h"])
    assert [one["counted"] for one in mixed["nights"]] == [True, False]
    assert "not-the-air-alone" in ids(mixed)


def test_without_a_rate_there_is_no_course() -> None:
    answer = told(nights=[night(7.5, 7.3), night(8.0, 8.9)])
    assert answer["rate_cm_h"] is None
    assert answer["course"] == []
    assert {"no-rate-found", "not-the-air-alone"} <= set(ids(answer))


def test_a_ph_that_hardly_moved_leaves_the_rate_open() -> None:
    answer = told(nights=[night(7.4, 7.42)])
    assert answer["rate_low_cm_h"] == 0
    assert "rate-loosely-known" in ids(answer)


def test_open_water_stands_beside_and_is_never_the_rate() -> None:
    answer = told(nights=[night(7.4, 7.7)], wind_m_s=2)
    assert answer["open_water_rate_cm_h"] == pytest.approx(3.2, abs=0.05)
    assert answer["rate_cm_h"] > 2 * answer["open_water_rate_cm_h"]
    assert "open-water-is-no-pool" in ids(answer)
    assert told(rate_cm_h=1)["open_water_rate_cm_h"] is None
    assert told(rate_cm_h=1, wind_m_s=2, temperature_c=38)["open_water_rate_cm_h"] is None


def test_a_water_that_cannot_be_has_no_course() -> None:
    answer = told(rate_cm_h=5, cyanuric_acid_mg_l=900, total_alkalinity_mg_l=20)
    assert answer["course"] == []
    assert answer["air_ph"] is None
    assert "readings-cannot-all-be-right" in ids(answer)


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({}, "rate_cm_h"),
        ({"rate_cm_h": 2, "nights": [night(7.4, 7.5)]}, "rate_cm_h"),
        ({"rate_cm_h": -1}, "rate_cm_h"),
        ({"rate_cm_h": 2, "air_co2_ppm": None}, "air_co2_ppm"),
        ({"rate_cm_h": 2, "depth_m": None}, "depth_m"),
        ({"rate_cm_h": 2, "volume_m3": 400}, "depth_m"),
        ({"rate_cm_h": 2, "depth_m": 20}, "depth_m"),
        ({"rate_cm_h": 2, "hours": []}, "hours"),
        ({"rate_cm_h": 2, "hours": [1, 1000]}, "hours[1]"),
        ({"rate_cm_h": 2, "wind_m_s": 99}, "wind_m_s"),
        ({"nights": []}, "nights"),
        ({"nights": [{"ph_before": 7.4}]}, "nights[0].ph_after"),
        ({"nights": [night(7.4, 7.5, 0)]}, "nights[0].hours"),
        (
            {"nights": [night(7.4, 7.5, free_chlorine_before_mg_l=1)]},
            "nights[0].free_chlorine_before_mg_l",
        ),
        (
            {"nights": [night(7.4, 7.5, free_chlorine_before_mg_l=1, free_chlorine_after_mg_l=2)]},
            "nights[0].free_chlorine_after_mg_l",
        ),
    ],
)
def test_what_is_missing_or_odd_is_refused_by_name(changes: dict[str, Any], field: str) -> None:
    with pytest.raises(InputError) as raised:
        told(**changes)
    assert raised.value.field == field
