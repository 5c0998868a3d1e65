"""Text to thousandths and back, exactly."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lanewater.kernel.deciding.decimals import (
    decimal_text,
    relation_of,
    thousandths,
    thousandths_of_float,
)

DECIMALS = st.decimals(min_value=-99999, max_value=99999, places=3, allow_nan=False)


@given(DECIMALS)
def test_every_three_decimal_text_is_read_exactly(value: Decimal) -> None:
    assert thousandths(format(value, "f")) == int(value * 1000)


@given(st.integers(min_value=-(10**9), max_value=10**9))
def test_text_written_is_read_back_as_the_same_number(number: int) -> None:
    assert thousandths(decimal_text(number)) == number


@pytest.mark.parametrize(
    ("text", "number"),
    [("1.52", 1520), ("7,4", 7400), (">5.00", 5000), ("<6.8", 6800), ("0", 0), ("-0.3", -300)],
)
def test_readings_as_people_type_them(text: str, number: int) -> None:
    assert thousandths(text) == number


@pytest.mark.parametrize(
    "text",
    [
        "",
        "-",
        ".",
        "5.",
        ".5",
        "1.2.3",
        "1,2,3",
        "1.2345",
        "NaN",
        "1e3",
        "1 2",
        "++1",
        "1,520",
        ">",
        "1234567890",
        "0x1",
        "１.２",
        "1.5 ",
        "∞",
        "<>1",
    ],
)
def test_what_is_no_single_number_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match=r"number|decimals|two ways"):
        thousandths(text)


def test_zeros_beyond_three_decimals_change_nothing() -> None:
    assert thousandths("7.20000") == 7200


@pytest.mark.parametrize(
    ("text", "relation"), [("1.0", "exact"), (">5.00", "above"), ("<6.8", "below"), ("", "exact")]
)
def test_over_and_under_range_are_told_by_the_first_sign(text: str, relation: str) -> None:
    assert relation_of(text) == relation


@pytest.mark.parametrize(
    ("value", "number"), [(0.0005, 1), (0.00049, 0), (-0.0005, 0), (7.5, 7500)]
)
def test_a_computed_number_is_rounded_half_up(value: float, number: int) -> None:
    assert thousandths_of_float(value) == number
