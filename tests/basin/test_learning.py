"""What additions teach: within their range, and nothing where they do not say enough."""

from __future__ import annotations

import random

import numpy as np
import pytest
from scipy import stats
from scipy.optimize import curve_fit
from tests.parity.drawing import drawer

from lanewater.basin.learning import (
    Estimate,
    Interval,
    Trial,
    learn_drift,
    learn_volume,
    line_through_nothing,
    student_95,
)

VOLUME_M3 = 400.0
ERROR_95 = 0.12


def trials(draw: random.Random, count: int, drift: float = 0.0) -> list[Trial]:
    """Draw additions to a pool of 400 m3, read with a photometer's error."""
    found = []
    for _ in range(count):
        grams, hours = draw.uniform(200, 900), draw.uniform(0.6, 2.0)
        noise = draw.gauss(0, ERROR_95 / 1.96)
        change = grams / VOLUME_M3 + drift * hours + noise
        found.append(Trial(grams, Interval(hours, change, ERROR_95)))
    return found


def intervals(draw: random.Random, count: int, drift: float) -> list[Interval]:
    """Draw times between rounds with nothing added."""
    found = []
    for _ in range(count):
        hours = draw.uniform(1, 10)
        noise = draw.gauss(0, ERROR_95 / 1.96)
        found.append(Interval(hours, drift * hours + noise, ERROR_95))
    return found


def test_the_line_is_that_of_a_general_fit() -> None:
    """Outside check: scipy.optimize.curve_fit with the same errors."""
    draw = drawer(3)
    x = np.array([draw.uniform(100, 900) for _ in range(12)])
    errors = np.array([draw.uniform(0.05, 0.3) for _ in range(12)])
    y = x / VOLUME_M3 + np.array([draw.gauss(0, error) for error in errors])
    fitted, covariance = curve_fit(
        lambda given, slope: slope * given, x, y, sigma=errors / 1.96, absolute_sigma=True
    )
    slope, half, scatter = line_through_nothing(list(zip(x, y, errors, strict=True)))
    assert slope == pytest.approx(fitted[0], rel=1e-7)
    wide = stats.t.ppf(0.975, 11) * max(scatter, 1) * covariance[0, 0] ** 0.5
    assert half == pytest.approx(wide, rel=6e-3)


@pytest.mark.parametrize("freedom", [1, 2, 5, 10, 11, 15, 30, 200])
def test_students_t_is_that_of_the_tables_and_never_less_beyond_them(freedom: int) -> None:
    """Outside check: scipy.stats.t."""
    true = stats.t.ppf(0.975, freedom)
    assert -5e-4 <= student_95(freedom) / true - 1 <= 5e-3


def test_the_true_volume_lies_in_the_range_nineteen_times_of_twenty() -> None:
    draw = drawer(7)
    inside = told = 0
    for _ in range(600):
        drift = learn_drift(intervals(draw, 12, -0.05))
        found = learn_volume(trials(draw, 6, -0.05), drift)
        told += not found.reason
        inside += not found.reason and found.low <= VOLUME_M3 <= found.high
    assert told > 570
    assert 0.92 <= inside / told <= 1.0


def test_a_volume_stated_at_half_is_seen() -> None:
    draw = drawer(11)
    found = learn_volume(trials(draw, 8), Estimate(count=0, reason="too-few"))
    assert found.reason == ""
    assert found.low > VOLUME_M3 / 2


def test_demand_is_not_taken_for_water() -> None:
    """With a loss of 0.3 mg/L an hour the volume without its drift would come out too large."""
    draw = drawer(13)
    seen = trials(draw, 8, -0.3)
    drift = learn_drift(intervals(draw, 20, -0.3))
    assert drift.low < -0.3 < drift.high
    assert learn_volume(seen, drift).low < VOLUME_M3 < learn_volume(seen, drift).high
    assert learn_volume(seen, Estimate(reason="too-few")).value > 1.2 * VOLUME_M3


@pytest.mark.parametrize(
    ("seen", "why"),
    [
        ([], "too-few"),
        ([Trial(400, Interval(1, 1, 0.1))] * 2, "too-few"),
        ([Trial(400, Interval(1, y, 0.1)) for y in (1.0, 0.1, 2.4, 0.0)], "too-scattered"),
        ([Trial(400, Interval(1, -0.5, 0.2))] * 4, "wrong-way"),
        ([Trial(40, Interval(1, 0.1, 0.4))] * 4, "not-precise-enough"),
    ],
)
def test_what_says_too_little_says_nothing(seen: list[Trial], why: str) -> None:
    found = learn_volume(seen, Estimate(reason="too-few"))
    assert (found.reason, found.value, found.low, found.high) == (why, 0, 0, 0)


def test_a_drift_needs_five_times_and_agreement() -> None:
    steady = [Interval(4, -0.2, 0.1)] * 5
    assert learn_drift(steady[:4]).reason == "too-few"
    assert learn_drift(steady).value == pytest.approx(-0.05)
    assert learn_drift([*steady[:4], Interval(0.1, -0.2, 0.1)]).reason == "too-few"
    wild = [Interval(4, change, 0.1) for change in (-2.0, 1.5, 0.2, -0.9, 2.2)]
    assert learn_drift(wild).reason == "too-scattered"
