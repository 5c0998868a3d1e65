"""Figures that follow from a solved water."""

from __future__ import annotations

import pytest

from lanewater.kernel.water.calcite import ceiling_ph, less_calcite, precipitation
from lanewater.kernel.water.constants import water_constants
from lanewater.kernel.water.equilibrium import ph_of_totals, solve_totals, totals_of_reading
from lanewater.kernel.water.saturation import (
    F_BORATE_ALKALINITY,
    F_BUFFER,
    F_CALCIUM,
    F_CARBON_DIOXIDE_PRESSURE,
    F_CARBONATE_ALKALINITY,
    F_CCPP,
    F_CYANURATE_ALKALINITY,
    F_FREE_CHLORINE,
    F_HOCL,
    F_HYPOCHLORITE_ALKALINITY,
    F_OCL,
    F_PH,
    F_SATURATION_INDEX,
    F_TOTAL_ALKALINITY,
    F_WATER_ALKALINITY,
    figures_of_reading,
    figures_of_totals,
    hocl_of_reading,
    hocl_of_totals,
    no_figures,
)
from lanewater.kernel.water.slots import INCONSISTENT, SOLVED
from lanewater.kernel.water.units import NO_LOGARITHM
from lanewater.service.constants import load_constants

FULL = (7.5, 28.0, 100.0, 250.0, 50.0, 50.0, 3000.0, 300.0, 3.0, 20.0)
BARE = (7.5, 28.0, 100.0, 0.0, 0.0, 0.0, 300.0, 0.0, 3.0, 0.0)
FALSE = (7.5, 25.0, 10.0, 200.0, 100.0, 0.0, 300.0, 0.0, 2.0, 0.0)


def test_the_parts_of_the_alkalinity_make_the_whole() -> None:
    _status, figures = figures_of_reading(load_constants(), FULL)
    parts = (
        F_CARBONATE_ALKALINITY,
        F_CYANURATE_ALKALINITY,
        F_BORATE_ALKALINITY,
        F_HYPOCHLORITE_ALKALINITY,
        F_WATER_ALKALINITY,
    )
    assert sum(figures[part] for part in parts) == pytest.approx(100.0, abs=1e-6)


def test_what_was_read_is_told_again() -> None:
    _status, figures = figures_of_reading(load_constants(), FULL)
    assert figures[F_PH] == pytest.approx(7.5)
    assert figures[F_TOTAL_ALKALINITY] == pytest.approx(100)
    assert figures[F_CALCIUM] == pytest.approx(250)
    assert figures[F_FREE_CHLORINE] == pytest.approx(3)


def test_without_stabiliser_all_chlorine_is_free() -> None:
    _status, figures = figures_of_reading(load_constants(), BARE)
    assert figures[F_HOCL] + figures[F_OCL] == pytest.approx(3.0)


def test_readings_that_no_water_has_give_no_figures() -> None:
    k = load_constants()
    assert figures_of_reading(k, FALSE) == (INCONSISTENT, no_figures())
    assert hocl_of_reading(k, FALSE) == (INCONSISTENT, 0.0)
    totals = (2e-3, -1e-3, 1e-3, 0.0, 0.0, 0.0, 1e-5, 2e-3, 2e-3, 0.0)
    assert figures_of_totals(k, 25.0, totals) == (INCONSISTENT, no_figures())
    assert hocl_of_totals(k, 25.0, totals) == (INCONSISTENT, 0.0)


def test_the_short_way_to_hocl_is_the_same() -> None:
    k = load_constants()
    _status, figures = figures_of_reading(k, FULL)
    _status, totals = totals_of_reading(k, FULL)
    assert hocl_of_reading(k, FULL)[1] == pytest.approx(figures[F_HOCL], rel=1e-8)
    assert hocl_of_totals(k, 28.0, totals)[1] == pytest.approx(figures[F_HOCL], rel=1e-8)


def test_without_calcium_there_is_no_index_and_chalk_would_dissolve() -> None:
    status, figures = figures_of_reading(load_constants(), BARE)
    assert status == SOLVED
    assert figures[F_SATURATION_INDEX] == NO_LOGARITHM
    assert figures[F_CCPP] < 0


@pytest.mark.parametrize("reading", [FULL, BARE, (8.4, 15.0, 150.0, 300.0, *FULL[4:])])
def test_taking_the_precipitate_out_brings_the_index_to_nothing(
    reading: tuple[float, ...],
) -> None:
    k = load_constants()
    c = water_constants(k, reading[1])
    _status, totals = totals_of_reading(k, reading)
    status, taken, _state = precipitation(c, totals, solve_totals(c, totals)[1])
    assert status == SOLVED
    _status, figures = figures_of_totals(k, reading[1], less_calcite(totals, taken))
    assert figures[F_SATURATION_INDEX] == pytest.approx(0.0, abs=1e-5)
    assert figures[F_CCPP] == pytest.approx(0.0, abs=1e-2)


def test_the_buffer_is_the_slope_of_alkalinity_against_ph() -> None:
    k = load_constants()
    _status, totals = totals_of_reading(k, FULL)
    _status, figures = figures_of_reading(k, FULL)
    step = 1e-6
    up = ph_of_totals(k, 28.0, (totals[0] + step, *totals[1:]))[1]
    down = ph_of_totals(k, 28.0, (totals[0] - step, *totals[1:]))[1]
    assert 2 * step * 1000 / (up - down) == pytest.approx(figures[F_BUFFER], rel=0.002)


def test_water_in_equilibrium_with_air_is_at_its_ceiling() -> None:
    k = load_constants()
    c = water_constants(k, 28.0)
    _status, totals = totals_of_reading(k, FULL)
    _status, figures = figures_of_reading(k, FULL)
    state = solve_totals(c, totals)[1]
    status, ph = ceiling_ph(c, totals, figures[F_CARBON_DIOXIDE_PRESSURE], state)
    assert status == SOLVED
    assert ph == pytest.approx(7.5, abs=1e-7)


@pytest.mark.parametrize(
    ("alkalinity", "outdoors", "indoors"), [(40, 8.03, 7.67), (100, 8.41, 8.05), (200, 8.68, 8.34)]
)
def test_ceilings_are_those_of_the_fact_base(
    alkalinity: float, outdoors: float, indoors: float
) -> None:
    # Computed with PHREEQC at 28 C for 420 and 1000 ppm, to 0.01.
    k = load_constants()
    c = water_constants(k, 28.0)
    reading = (7.5, 28.0, alkalinity, 250.0, 0.0, 0.0, 300.0, 0.0, 1.0, 0.0)
    _status, totals = totals_of_reading(k, reading)
    state = solve_totals(c, totals)[1]
    assert ceiling_ph(c, totals, 420e-6, state)[1] == pytest.approx(outdoors, abs=0.015)
    assert ceiling_ph(c, totals, 1000e-6, state)[1] == pytest.approx(indoors, abs=0.015)
