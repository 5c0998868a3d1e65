"""Amounts in US measures, for sites that measure out in them."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lanewater.kernel.deciding.usmeasures import LARGEST_MEASURED, us_measure

# From the definition of the inch and the pound, not from the module.
IN_ML = {"us-fl-oz": Fraction("2.54") ** 3 * 231 / 128, "us-gal": Fraction("2.54") ** 3 * 231}
IN_G = {"oz-weight": Fraction("453.59237") / 16, "lb": Fraction("453.59237")}


@pytest.mark.parametrize(
    ("amount", "unit", "text", "us"),
    [
        (0, "mL", "0.0", "us-fl-oz"),
        (330, "mL", "11.1", "us-fl-oz"),
        (3785, "mL", "127.9", "us-fl-oz"),
        (3786, "mL", "1.00", "us-gal"),
        (10000, "mL", "2.64", "us-gal"),
        (250, "g", "8.8", "oz-weight"),
        (453, "g", "15.9", "oz-weight"),
        (454, "g", "1.00", "lb"),
        (2000, "g", "4.40", "lb"),
    ],
)
def test_an_amount_is_given_in_us_measures(amount: int, unit: str, text: str, us: str) -> None:
    assert us_measure(amount, unit) == {"amount": text, "unit": us}


@given(st.integers(0, LARGEST_MEASURED), st.sampled_from(["mL", "g"]))
def test_it_is_never_more_than_was_advised_and_less_by_under_one_step(
    amount: int, unit: str
) -> None:
    found = us_measure(amount, unit)
    factor = (IN_ML if unit == "mL" else IN_G)[found["unit"]]
    step = Fraction(1, 10) if found["unit"] in ("us-fl-oz", "oz-weight") else Fraction(1, 100)
    assert 0 <= amount - Fraction(found["amount"]) * factor < step * factor


@pytest.mark.parametrize(("amount", "unit"), [(-1, "mL"), (LARGEST_MEASURED + 1, "g"), (5, "L")])
def test_what_is_not_measured_out_is_refused(amount: int, unit: str) -> None:
    with pytest.raises(ValueError, match=r"measured out|neither"):
        us_measure(amount, unit)
