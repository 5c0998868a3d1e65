"""House stops stand without rules, and only where they should."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from tests.kernel.deciding.deciding_cases import CASES, case, reading

from lanewater.kernel.deciding.housestops import house_stops


def ids(round_: dict[str, Any]) -> list[str]:
    return [stop["id"] for stop in house_stops(round_)]


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        ("visible", []),
        ("not-visible", ["bottom-not-seen"]),
        ("cannot-tell", ["bottom-cannot-tell"]),
    ],
)
@pytest.mark.parametrize("kind", ["pool", "spray"])
def test_a_bottom_that_is_not_seen_stops(value: str, expected: list[str], kind: str) -> None:
    assert ids(case(reading("clarity", value), pool={"kind": kind})) == expected


def test_a_spray_pad_is_asked_about_its_tank_and_grates_not_a_bottom() -> None:
    for value in ("not-visible", "cannot-tell"):
        (stop,) = house_stops(case(reading("clarity", value), pool={"kind": "spray"}))
        assert "bottom" not in stop["why"]
        assert "grate" in stop["why"]


@pytest.mark.parametrize(
    ("value", "expected"),
    [("running", []), ("unknown", []), ("stopped", ["circulation-stopped"])],
)
def test_stopped_circulation_stops(value: str, expected: list[str]) -> None:
    assert ids(case(reading("circulation", value))) == expected


@pytest.mark.parametrize(
    ("value", "kind", "expected"),
    [
        ("40", "spa", False),
        ("40.1", "spa", True),
        (">40", "spa", True),
        ("41", "pool", True),
        ("59", "pool", True),  # no likely Fahrenheit: 15 C
        ("82", "pool", False),  # a slip: 27.7 C
        ("104", "spa", False),  # a slip: 40.0 C
        ("105", "spa", True),  # 40.6 C: too hot either way
        ("79", "spa", True),  # a spa at 26 C is less likely than a failed heater
        ("50", "cold-plunge", True),
    ],
)
def test_a_hot_pool_stops_unless_it_is_most_likely_fahrenheit(
    value: str, kind: str, expected: bool
) -> None:
    found = ids(case(reading("temperature_c", value), pool={"kind": kind}))
    assert found == (["hot-pool"] if expected else [])


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        ("0.05", ["disinfectant-none"]),
        ("0.06", []),
        ("<0.10", ["disinfectant-none"]),
        (">5.00", ["disinfectant-over-range"]),
        ("5.00", []),
    ],
)
@pytest.mark.parametrize(
    ("parameter", "family"), [("free_chlorine", "chlorine"), ("total_bromine", "bromine")]
)
def test_no_disinfectant_or_over_range_stops_until_repeated(
    value: str, expected: list[str], parameter: str, family: str
) -> None:
    pool = {"kind": "pool", "disinfectant": family}
    assert ids(case(reading(parameter, value), pool=pool)) == expected
    repeated = case(reading(parameter, value), reading(parameter, "2.0"), pool=pool)
    assert ids(repeated) == []


def test_the_repeat_must_be_at_the_same_point() -> None:
    deep = reading("free_chlorine", "0.00", point="deep")
    shallow = reading("free_chlorine", "1.00", point="shallow")
    assert ids(case(deep, shallow)) == ["disinfectant-none"]


def test_a_stop_never_says_that_a_law_is_broken() -> None:
    round_ = case(
        reading("clarity", "not-visible"),
        reading("circulation", "stopped"),
        reading("free_chlorine", "0.0"),
        reading("temperature_c", "41"),
    )
    stops = house_stops(round_)
    assert len(stops) == 4
    for stop in stops:
        assert "House stop, not a legal verdict." in stop["do"]


@settings(max_examples=200, deadline=None)
@given(CASES)
def test_no_round_whatever_makes_a_stop_raise(round_: dict[str, Any]) -> None:
    for stop in house_stops(round_):
        assert set(stop) == {"id", "about", "why", "do"}
