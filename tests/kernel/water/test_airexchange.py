"""pH in air: the tabled courses, the way back from them, and where air alone does not lead."""

from __future__ import annotations

import pytest

from lanewater.kernel.water.additions import use_up_chlorine
from lanewater.kernel.water.airexchange import (
    NO_WAY,
    course_in_air,
    open_water_rate,
    way_between,
)
from lanewater.kernel.water.calcite import ceiling_ph
from lanewater.kernel.water.constants import water_constants
from lanewater.kernel.water.equilibrium import solve_totals, totals_of_reading
from lanewater.kernel.water.slots import INCONSISTENT, NOT_CONVERGED, SOLVED, T_HYPOCHLORITE
from lanewater.service.constants import load_constants, load_table

K = load_constants()
HOURS = (6, 24, 48, 72, 168)
OUTDOORS, HALL = 420e-6, 1000e-6


def water(
    ph: float, celsius: float = 28.0, stabiliser: float = 0.0, free: float = 0.0
) -> tuple[float, ...]:
    reading = (ph, celsius, 100.0, 250.0, stabiliser, 0.0, 300.0, 0.0, free, 0.0)
    status, totals = totals_of_reading(K, reading)
    assert status == SOLVED
    return totals


# The table was worked out apart from this program, by a solver of its own, to two decimals.
@pytest.mark.parametrize(
    ("rate", "air", "ph", "celsius", "stabiliser", "depth", "course"),
    [
        (1.0, HALL, 7.4, 28.0, 0.0, 1.5, (7.41, 7.45, 7.50, 7.54, 7.69)),
        (2.4, OUTDOORS, 7.4, 28.0, 0.0, 1.5, (7.43, 7.54, 7.66, 7.76, 8.03)),
        (5.0, OUTDOORS, 7.4, 28.0, 0.0, 1.5, (7.47, 7.67, 7.86, 8.00, 8.23)),
        (5.0, OUTDOORS, 7.4, 28.0, 50.0, 1.5, (7.45, 7.58, 7.73, 7.85, 8.12)),
        (5.0, OUTDOORS, 7.2, 28.0, 0.0, 1.5, (7.28, 7.50, 7.74, 7.92, 8.21)),
        (15.0, OUTDOORS, 7.4, 28.0, 0.0, 1.5, (7.61, 8.00, 8.20, 8.28, 8.38)),
        (30.0, OUTDOORS, 7.4, 38.0, 0.0, 0.9, (7.92, 8.28, 8.39, 8.43, 8.45)),
    ],
)
def test_the_course_is_the_tabled_one(
    rate: float,
    air: float,
    ph: float,
    celsius: float,
    stabiliser: float,
    depth: float,
    course: tuple[float, ...],
) -> None:
    ways = [rate / 100 * hours / depth for hours in HOURS]
    status, found = course_in_air(K, celsius, water(ph, celsius, stabiliser), air, ways)
    assert status == SOLVED
    assert found == pytest.approx(course, abs=0.013)


@pytest.mark.parametrize("ph", [6.8, 7.4, 9.8])
@pytest.mark.parametrize("air", [OUTDOORS, HALL])
def test_every_course_ends_at_the_ceiling_and_never_passes_it(ph: float, air: float) -> None:
    totals = water(ph)
    c = water_constants(K, 28.0)
    _, state = solve_totals(c, totals)
    status, ceiling = ceiling_ph(c, totals, air, state)
    assert status == SOLVED
    status, course = course_in_air(K, 28.0, totals, air, [0.1, 1.0, 10.0, 100.0, 1e4])
    assert status == SOLVED
    assert course[-1] == pytest.approx(ceiling, abs=1e-4)
    way = 1 if ceiling > ph else -1
    gaps = [way * (ceiling - here) for here in (ph, *course)]
    assert gaps == sorted(gaps, reverse=True)
    assert gaps[-1] > -1e-4


def test_smaller_stretches_give_the_same_course() -> None:
    whole = course_in_air(K, 28.0, water(7.2), OUTDOORS, [3.0])[1]
    parts = course_in_air(K, 28.0, water(7.2), OUTDOORS, [n / 50 for n in range(151)])[1]
    assert whole[0] == pytest.approx(parts[-1], abs=2e-5)


@pytest.mark.parametrize("way", [0.02, 0.4, 3.0])
@pytest.mark.parametrize("ph", [7.2, 8.9])
def test_the_way_is_found_again_from_its_ends(way: float, ph: float) -> None:
    status, course = course_in_air(K, 28.0, water(ph), OUTDOORS, [way])
    assert status == SOLVED
    status, found = way_between(K, 28.0, water(ph), water(course[0]), OUTDOORS)
    assert status == SOLVED
    assert found == pytest.approx(way, rel=2e-3)


def test_chlorine_used_overnight_is_not_taken_for_air() -> None:
    # Chlorine that is used leaves acid; the pH rises less than by air alone, and the carbon tells.
    before = water(7.4, free=3.0)
    used = use_up_chlorine(before, before[T_HYPOCHLORITE] * 2 / 3)
    ways = [0.2]
    _, course = course_in_air(K, 28.0, used, OUTDOORS, ways)
    reading = (course[0], 28.0, 100.0 - 2 * 0.7058, 250.0, 0.0, 0.0, 300.0, 0.0, 1.0, 0.0)
    after = totals_of_reading(K, reading)[1]
    status, found = way_between(K, 28.0, before, after, OUTDOORS)
    assert status == SOLVED
    # Here it went all at once before the air came; the way takes it as spread evenly.
    assert found == pytest.approx(0.2, rel=0.06)
    blind = totals_of_reading(K, (*reading[:2], 100.0, *reading[3:8], 3.0, 0.0))[1]
    assert way_between(K, 28.0, before, blind, OUTDOORS)[1] < 0.8 * found


def test_a_ph_that_fell_towards_acid_is_no_work_of_the_air() -> None:
    status, way = way_between(K, 28.0, water(7.5), water(7.4), OUTDOORS)
    assert status == SOLVED
    assert way < 0


def test_a_ph_beyond_the_ceiling_is_not_reached_by_air() -> None:
    assert way_between(K, 28.0, water(8.0), water(8.7), OUTDOORS)[0] == NO_WAY


def test_a_water_that_cannot_be_gives_no_course() -> None:
    broken = (1e-3, -1e-3, *([0.0] * 8))
    assert course_in_air(K, 28.0, broken, OUTDOORS, [1.0]) == (INCONSISTENT, [])
    assert way_between(K, 28.0, broken, water(7.4), OUTDOORS)[0] == INCONSISTENT
    empty = water(7.4)
    gone = (*empty[:1], 0.0, *empty[2:])
    assert way_between(K, 28.0, empty, gone, OUTDOORS)[0] in (NOT_CONVERGED, NO_WAY)


@pytest.mark.parametrize(("wind", "rate"), [(0.0, 2.4), (2.0, 3.2), (4.0, 5.1)])
def test_open_water_exchanges_as_it_is_told(wind: float, rate: float) -> None:
    assert open_water_rate(load_table("plant"), 28.0, wind) == pytest.approx(rate, abs=0.05)
