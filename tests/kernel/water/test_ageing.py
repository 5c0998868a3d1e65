"""Hypochlorite in its tank: second order, hastened by warmth and salt, or as measured."""

from __future__ import annotations

import math

import pytest

from lanewater.kernel.water.ageing import (
    hypochlorite_ionic_strength,
    hypochlorite_mol_l,
    published_rates,
    rate_between,
    seconds_to_half,
    strength_after,
)
from lanewater.service.constants import load_table

PLANT = load_table("plant")
DAY = 86400.0


def test_the_published_equation_is_as_it_is_printed() -> None:
    # log k2 = 0.149 I + log[2.083e10 T exp(-1.018e5/RT) exp(-56.5/R)], at 25 C and I = 4.
    printed = 0.149 * 4 + math.log10(
        2.083e10
        * 298.15
        * math.exp(-1.018e5 / (8.314462618 * 298.15))
        * math.exp(-56.5 / 8.314462618)
    )
    least, most = published_rates(PLANT, 25.0, 4.0)
    assert math.log10(least) == pytest.approx(printed, abs=1e-9)
    assert most == pytest.approx(3 * least)


def test_ten_degrees_hasten_it_three_to_four_times() -> None:
    # A maker of plants for it prints 3.5 times for 10 C.
    ratio = published_rates(PLANT, 35.0, 3.0)[0] / published_rates(PLANT, 25.0, 3.0)[0]
    assert ratio == pytest.approx(3.5, abs=0.5)


def test_twice_as_strong_is_lost_four_to_five_times_as_fast() -> None:
    # The same maker prints 4 without salt and 5 with its own salt, 200 against 100 g/L.
    strong, weak = (hypochlorite_mol_l(grams) for grams in (200.0, 100.0))
    rates = [
        published_rates(PLANT, 25.0, hypochlorite_ionic_strength(mol, 0.0))[0]
        for mol in (strong, weak)
    ]
    assert (strong / weak) ** 2 == pytest.approx(4)
    assert rates[0] * strong**2 / (rates[1] * weak**2) > 5


def test_a_strength_halves_in_its_half_life_and_then_takes_twice_as_long() -> None:
    rate = 1e-8
    half = seconds_to_half(125.0, rate)
    assert strength_after(125.0, rate, half) == pytest.approx(62.5)
    assert strength_after(125.0, rate, 3 * half) == pytest.approx(31.25)
    assert strength_after(125.0, 0.0, half) == 125.0


def test_two_measurements_lead_through_both_of_them() -> None:
    rate = rate_between(140.0, 120.0, 30 * DAY)
    assert strength_after(140.0, rate, 30 * DAY) == pytest.approx(120.0)
    assert rate_between(120.0, 140.0, 30 * DAY) < 0
