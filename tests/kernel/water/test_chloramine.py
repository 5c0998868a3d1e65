"""The reactions: every sum is kept, every slope is that of its rate, nothing falls below zero."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from tests.kernel.water.chloramine_cases import NO_RING, drawn, started

from lanewater.kernel.water.chloramine import change_of, rates_at, slopes_of
from lanewater.kernel.water.chloraminecourse import chlorine_of, nitrogen_of
from lanewater.kernel.water.chloramineslots import HELD, Q_COUPLINGS, Q_STAGES, REACTING
from lanewater.kernel.water.stiffsteps import react, stiff_step
from lanewater.kernel.water.unbound import unbound_chlorine
from lanewater.service.constants import load_table

Q = load_table("chloramine")
WATERS = [
    (rates_at(Q, *water[:4], water[4:]), start, seconds)  # type: ignore[arg-type]  # a water unpacked
    for water, start, seconds in drawn(60, 81)
]

# Rates and a start without anything fast, so that the order of the method shows.
CALM = (0, 0, 1e4, 0, 0, 0, 0.02, 3e4, 1e4, 20, 0, 3e8, 1e3, 1e3, 50, 0.1, 0, 5, 0, 0, 0, 0)
CALM_START = (1e-4, 0, 8e-5, 1e-5, 1e-5, 1e-6, 1e-5, 0, 0, 0)


def full(start: list[float]) -> list[float]:
    """Give a start in which nothing is missing, so that every reaction runs."""
    return [number + (1 + place) * 1e-6 for place, number in enumerate(start)]


@pytest.mark.parametrize("count", [nitrogen_of, chlorine_of])
def test_no_reaction_makes_or_loses_nitrogen_or_chlorine(
    count: Callable[[list[float]], float],
) -> None:
    for v, start, _seconds in WATERS:
        change = change_of(v, full(start))
        assert abs(count(change)) <= 1e-14 * max(map(abs, change))


def test_every_slope_is_that_of_its_rate() -> None:
    for v, start, _seconds in WATERS:
        y = full(start)
        slopes = slopes_of(v, y)
        for column in range(REACTING):
            up, down = list(y), list(y)
            up[column] *= 1 + 1e-5
            down[column] *= 1 - 1e-5
            above, below = change_of(v, up), change_of(v, down)
            for row in range(HELD):
                found = (above[row] - below[row]) / (up[column] - down[column])
                size = max(abs(above[row]), abs(below[row])) / y[column]
                assert slopes[row * REACTING + column] == pytest.approx(found, 1e-5, 1e-9 * size)


def test_the_bound_chlorine_has_the_slope_of_its_curve() -> None:
    for v, start, _seconds in WATERS:
        for free in (1e-9, start[0] + 1e-6, 3e-3):
            loose, slope = unbound_chlorine(v, free)
            assert 0 < loose <= free
            more, less = (
                unbound_chlorine(v, free * (1 + 1e-5)),
                unbound_chlorine(v, free * (1 - 1e-5)),
            )
            assert slope == pytest.approx((more[0] - less[0]) / (2e-5 * free), 1e-5)


def test_nothing_falls_below_zero_and_everything_is_still_there() -> None:
    for v, start, seconds in WATERS:
        status, y, _step = react(Q, v, start, seconds, 0.0)
        assert status == 0
        assert min(y[:REACTING]) >= -Q[68]
        assert nitrogen_of(y) == pytest.approx(nitrogen_of(start), 1e-12)
        assert chlorine_of(y) == pytest.approx(chlorine_of(start), 1e-12)


def fall_of_error(q: tuple[float, ...]) -> float:
    """Tell how far the error falls where the steps become a quarter as long."""

    def after(steps: int) -> list[float]:
        y = list(CALM_START)
        for _ in range(steps):
            y = stiff_step(q, CALM, y, slopes_of(CALM, y), 2.0 / steps)[0]
        return y

    best = after(512)
    errors = [max(abs(a - b) for a, b in zip(after(n), best, strict=True)) for n in (8, 32)]
    return errors[0] / errors[1]


def test_the_method_is_of_fourth_order() -> None:
    assert fall_of_error(Q) > 4**4


@pytest.mark.parametrize("slot", [Q_STAGES, Q_STAGES + 3, Q_COUPLINGS + 1, Q_COUPLINGS + 14])
def test_a_coefficient_off_by_a_hundredth_loses_the_order(slot: int) -> None:
    assert fall_of_error((*Q[:slot], Q[slot] * 1.01, *Q[slot + 1 :])) < 4**3


def test_a_step_goes_nowhere_in_no_time() -> None:
    v, start, _seconds = WATERS[0]
    assert react(Q, v, start, 0.0, 0.0)[:2] == (0, start)


def test_a_time_can_be_cut_anywhere() -> None:
    v = rates_at(Q, 28.0, 7.4, 0.002, 0.0, NO_RING)
    whole = react(Q, v, list(started(2.0, 0.3)), 1800.0, 0.0)[1]
    y, step = list(started(2.0, 0.3)), 0.0
    for _ in range(30):
        _status, y, step = react(Q, v, y, 60.0, step)
    for place in range(HELD):
        assert y[place] == pytest.approx(whole[place], 1e-5, 1e-12)
