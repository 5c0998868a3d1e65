"""The solver: what it gives back, what it calls by name, and that nothing makes it fall over."""

from __future__ import annotations

import pytest

from lanewater.kernel.water.activity import molality_per_activity
from lanewater.kernel.water.constants import water_constants
from lanewater.kernel.water.equilibrium import (
    first_state,
    given_totals,
    newton_step,
    ph_of_totals,
    solve_totals,
    solve_water,
    totals_of_reading,
    with_carbon,
)
from lanewater.kernel.water.slots import (
    FROM_CARBON,
    FROM_PH,
    INCONSISTENT,
    NOT_CONVERGED,
    S_IONIC,
    SOLVED,
    T_ALKALINITY,
    T_CALCIUM,
    T_CARBON,
    T_CHLORIDE,
    T_MAGNESIUM,
    T_SODIUM,
    T_SULFATE,
)
from lanewater.service.constants import load_constants

PLAIN = (7.4, 28.0, 100.0, 200.0, 0.0, 0.0, 300.0, 0.0, 1.0, 0.0)
FULL = (7.5, 28.0, 100.0, 250.0, 50.0, 50.0, 3000.0, 300.0, 3.0, 20.0)


def charge(totals: tuple[float, ...]) -> float:
    positive = totals[T_SODIUM] + 2 * (totals[T_CALCIUM] + totals[T_MAGNESIUM])
    return positive - totals[T_CHLORIDE] - 2 * totals[T_SULFATE] - totals[T_ALKALINITY]


@pytest.mark.parametrize("reading", [PLAIN, FULL])
def test_totals_lead_back_to_the_ph_that_was_read(reading: tuple[float, ...]) -> None:
    k = load_constants()
    status, totals = totals_of_reading(k, reading)
    assert status == SOLVED
    status, ph = ph_of_totals(k, reading[1], totals)
    assert status == SOLVED
    assert ph == pytest.approx(reading[0], abs=1e-8)


@pytest.mark.parametrize("reading", [PLAIN, FULL])
def test_sodium_closes_the_charge(reading: tuple[float, ...]) -> None:
    totals = given_totals(reading)
    assert charge(totals) == pytest.approx(0.0, abs=1e-15)
    assert totals[T_SODIUM] >= 0


def test_more_parts_than_alkalinity_is_a_named_result() -> None:
    reading = (7.5, 25.0, 10.0, 200.0, 100.0, 0.0, 300.0, 0.0, 2.0, 0.0)
    status, totals = totals_of_reading(load_constants(), reading)
    assert status == INCONSISTENT
    assert totals[T_CARBON] == 0.0


def test_no_carbon_below_nothing() -> None:
    k = load_constants()
    _status, totals = totals_of_reading(k, PLAIN)
    c = water_constants(k, 28.0)
    assert solve_totals(c, with_carbon(totals, -1e-6))[0] == INCONSISTENT
    assert solve_totals(c, with_carbon(totals, 0.0))[0] == SOLVED


def test_a_solve_that_cannot_settle_says_so() -> None:
    k = load_constants()
    c = water_constants(k, 28.0)
    broken = tuple(float("nan") for _ in range(10))
    start = first_state(c, given_totals(PLAIN), 7.0)
    assert solve_water(c, broken, FROM_CARBON, 0.0, start)[0] == NOT_CONVERGED


def test_pure_water_is_neutral() -> None:
    k = load_constants()
    status, ph = ph_of_totals(k, 25.0, (0.0,) * 7 + (1e-9, 1e-9, 0.0))
    assert status == SOLVED
    assert ph == pytest.approx(6.998, abs=0.001)


def test_a_warm_start_ends_where_a_cold_one_does() -> None:
    k = load_constants()
    c = water_constants(k, 28.0)
    _status, totals = totals_of_reading(k, FULL)
    _status, cold = solve_totals(c, totals)
    _status, warm = solve_water(c, totals, FROM_CARBON, 0.0, cold)
    for one, other in zip(cold[:9], warm[:9], strict=True):
        assert one == pytest.approx(other, rel=1e-8)


def test_steps_are_held_so_that_none_runs_away() -> None:
    assert newton_step(1e3, 0.0, 1e-9, 0.0, 0.0) == (4.0, 0.0)
    assert newton_step(-1e3, 0.0, 1e-9, 0.0, 0.0) == (-4.0, 0.0)
    step, turn = newton_step(0.0, -1e3, 1.0, 0.0, 1e-9)
    assert (step, turn) == (0.0, 4.0)


def test_ionic_strength_of_salt_is_its_molality() -> None:
    c = water_constants(load_constants(), 25.0)
    salt = 0.1
    totals = (1e-6, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, salt + 1e-6, salt, 0.0)
    status, state = solve_water(c, totals, FROM_PH, 0.0, first_state(c, totals, 7.5))
    assert status == SOLVED
    assert state[S_IONIC] == pytest.approx(salt, rel=1e-4)


def test_activity_falls_with_the_square_of_the_charge() -> None:
    c = water_constants(load_constants(), 25.0)
    neutral, single, double, triple = molality_per_activity(c, 0.01)
    assert 1 / single == pytest.approx(0.9020, abs=0.0005)  # Davies at 0.01, any textbook
    assert double == pytest.approx(single**4)
    assert triple == pytest.approx(single**9)
    assert neutral == pytest.approx(10**-0.001)
    assert molality_per_activity(c, 0.0) == (1.0, 1.0, 1.0, 1.0)


def test_the_linear_term_is_held_from_one_half_on_without_a_jump() -> None:
    c = water_constants(load_constants(), 25.0)
    below, above = molality_per_activity(c, 0.5 - 1e-9), molality_per_activity(c, 0.5 + 1e-9)
    assert below[1] == pytest.approx(above[1], rel=1e-8)
    # Unheld, the coefficient would rise again with more salt; held, it goes on falling.
    assert molality_per_activity(c, 1.0)[1] > molality_per_activity(c, 0.5)[1]
