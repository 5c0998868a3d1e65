"""Readings as typed: kept as they are, converted by unit alone, refused by field."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lanewater.kernel.deciding.decimals import thousandths
from lanewater.measurement.reading import Interval, Reading, reading_from
from lanewater.terms.errors import InputError


def read(value: Any, parameter: str = "free_chlorine", **more: Any) -> Reading:
    return reading_from({"parameter": parameter, "value": value, **more})


@pytest.mark.parametrize(
    ("typed", "value", "decimals"),
    [
        ("1.52", "1.52", 2),
        ("1,5", "1.5", 1),
        (">5.00", ">5.00", 2),
        ("7", "7", 0),
        (" 2.0 ", "2.0", 1),
    ],
)
def test_the_text_stays_as_typed_and_the_value_has_a_point(
    typed: str, value: str, decimals: int
) -> None:
    reading = read(typed)
    assert reading.text == typed.strip()
    assert reading.value == value
    assert reading.decimals == decimals


def test_over_and_under_range_are_readings() -> None:
    assert read(">5.00").over_range
    assert not read(">5.00").under_range
    assert read("<6.8", "ph").under_range


def test_a_comma_that_can_be_read_two_ways_is_kept_and_never_guessed() -> None:
    reading = read("1,520")
    assert reading.value == "1,520"
    assert not reading.legible
    assert read("1,52").legible


@pytest.mark.parametrize(("typed", "celsius"), [("82", "27.778"), ("32", "0.00"), ("104", "40.00")])
def test_fahrenheit_is_converted_by_its_unit_only(typed: str, celsius: str) -> None:
    reading = read(typed, "temperature_c", unit="F")
    assert reading.value == celsius
    assert reading.text == typed
    assert reading.typed_unit == "F"
    assert read(typed, "temperature_c").value == typed
    assert read(typed, "temperature_c", unit="°C").value == typed


@settings(max_examples=200, deadline=None)
@given(st.integers(-40_000, 250_000))
def test_fahrenheit_is_exact_to_the_thousandth(number: int) -> None:
    sign = "-" if number < 0 else ""
    typed = f"{sign}{abs(number) // 1000}.{abs(number) % 1000:03d}"
    exact = Fraction(number - 32_000) * 5 / 9
    got = thousandths(read(typed, "temperature_c", unit="°F").value)
    assert abs(got - exact) <= Fraction(1, 2)


def test_ppm_is_mg_per_litre_and_salt_may_be_grams() -> None:
    assert read("1.5", unit="ppm").value == "1.5"
    assert read("3.2", "salt", unit="g/L").value == "3200.00"


def test_between_two_colours_is_an_interval_judged_at_its_middle() -> None:
    reading = reading_from(
        {"parameter": "free_chlorine", "between": {"low": "1.0", "high": "1.5"}, "kit": "c"}
    )
    assert reading.between == Interval("1.0", "1.5")
    assert reading.value == "1.25"
    assert reading.text == "1.0 to 1.5"


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"value": "1.52 mg/L"}, "reading.value"),
        ({"value": "1.52mg"}, "reading.value"),
        ({"value": "82 °F"}, "reading.value"),
        ({"value": "3 %"}, "reading.value"),
        ({"value": ""}, "reading.value"),
        ({"value": None}, "reading.value"),
        ({"value": 1.52}, "reading.value"),
        ({"value": True}, "reading.value"),
        ({"value": "NaN"}, "reading.value"),
        ({"value": "1e400"}, "reading.value"),
        ({"value": "1.2.3"}, "reading.value"),
        ({"value": "1.2345"}, "reading.value"),
        ({"value": "9" * 50}, "reading.value"),
        ({"value": "١.٥"}, "reading.value"),
        ({"unit": "gal"}, "reading.unit"),
        ({"unit": 3}, "reading.unit"),
        ({"parameter": "moon"}, "reading.parameter"),
        ({"parameter": ["ph"]}, "reading.parameter"),
        ({"dilution": 0}, "reading.dilution"),
        ({"dilution": "5"}, "reading.dilution"),
        ({"dilution": 101}, "reading.dilution"),
        ({"point": "x" * 61}, "reading.point"),
        ({"point": "deep\x00"}, "reading.point"),
        ({"taken": -1}, "reading.taken"),
        ({"entered": 1.5}, "reading.entered"),
        ({"moon": 1}, "reading.moon"),
        ({"between": {"low": "1", "high": "2"}}, "reading.value"),
        ({"value": None, "between": {"low": "2", "high": "1"}}, "reading.between"),
        ({"value": None, "between": {"low": "2"}}, "reading.between"),
        ({"value": None, "between": {"low": "<2", "high": "3"}}, "reading.between.low"),
    ],
)
def test_a_bad_field_is_named(change: dict[str, Any], field: str) -> None:
    with pytest.raises(InputError) as caught:
        reading_from({"parameter": "free_chlorine", "value": "1.52", **change})
    assert caught.value.field == field


def test_clarity_is_told_in_its_own_words() -> None:
    assert read("not-visible", "clarity").value == "not-visible"
    with pytest.raises(InputError):
        read("fine", "clarity")


@settings(max_examples=200, deadline=None)
@given(st.text(max_size=12))
def test_any_text_is_read_or_refused_by_field(text: str) -> None:
    refused = ""
    try:
        kept = read(text).text
    except InputError as error:
        refused = error.field
    else:
        assert kept == text.strip()
    assert refused in {"", "reading.value"}
