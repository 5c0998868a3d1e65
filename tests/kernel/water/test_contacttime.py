"""Contact times by the tables' own rule, and what readings add up to."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lanewater.kernel.water.contacttime import (
    NO_FIGURE,
    conservative_ct,
    ct_at_temperature,
    decay_fitted,
    free_after,
    giardia_ct,
    minutes_to_ct,
    most_ct,
    trapezoid_ct,
    virus_ct,
)
from lanewater.kernel.water.contacttimeslots import (
    CT_FORMED_STOOL,
    CT_GIARDIA_CHLORAMINE,
    CT_GIARDIA_CHLORINE_DIOXIDE,
    CT_STEP_TEMPERATURES,
    CT_VIRUS_CHLORAMINE,
    CT_VIRUS_CHLORINE_DIOXIDE,
)
from lanewater.service.constants import load_table

K = load_table("contact_time")
# disinfection.md 2.3: a night of readings whose both sums are worked out there.
NIGHT = ([0.0, 60.0, 180.0, 360.0, 540.0, 765.0], [20.0, 19.5, 18.8, 17.9, 17.2, 16.5])
levels = st.floats(0, 40)


@st.composite
def series(draw: st.DrawFn) -> tuple[list[float], list[float]]:
    """Draw rising times with a free chlorine each."""
    times = sorted(set(draw(st.lists(st.integers(0, 3000), min_size=2, max_size=12))))
    free = [draw(levels) for _ in times]
    return [float(at) for at in times], free


@pytest.mark.parametrize(
    ("temperature_c", "ph", "free_chlorine", "ct"),
    [
        (15, 7.5, 1.2, 92),  # the worked example of the guidance manual
        (25, 7.5, 1.0, 45),
        (25, 7.5, 2.0, 50),
        (25, 7.5, 3.0, 55),
        (10, 7.0, 1.0, 112),
        (20, 8.0, 3.0, 101),
        (0.5, 7.5, 2.2, 297),
    ],
)
def test_cells_of_the_giardia_table_are_as_printed(
    temperature_c: float, ph: float, free_chlorine: float, ct: float
) -> None:
    assert giardia_ct(K, temperature_c, ph, free_chlorine) == ct


def test_between_edges_the_colder_higher_and_stronger_cell_is_read() -> None:
    assert giardia_ct(K, 14.9, 7.01, 0.61) == giardia_ct(K, 10, 7.5, 0.8)
    assert giardia_ct(K, 31, 7.5, 2) == giardia_ct(K, 25, 7.5, 2)
    assert giardia_ct(K, -1, 5, 0.1) == giardia_ct(K, 0.5, 6, 0.4)
    assert giardia_ct(K, 20, 7.5, 20) == giardia_ct(K, 20, 7.5, 3)


def test_over_ph_9_the_giardia_table_has_no_figure() -> None:
    assert giardia_ct(K, 20, 9.0, 1) > 0
    assert giardia_ct(K, 20, 9.001, 1) == NO_FIGURE


@given(st.floats(0, 40), st.floats(5, 9), st.floats(0, 4), st.floats(0, 2))
def test_colder_or_higher_ph_or_stronger_never_needs_less(
    temperature_c: float, ph: float, free: float, step: float
) -> None:
    here = giardia_ct(K, temperature_c, ph, free)
    assert giardia_ct(K, temperature_c - 10 * step, ph, free) >= here
    assert giardia_ct(K, temperature_c, ph, free + step) >= here
    higher = giardia_ct(K, temperature_c, ph + step, free)
    assert higher == NO_FIGURE or higher >= here


def test_viruses_are_read_by_temperature_and_only_4_log_goes_to_ph_10() -> None:
    assert [virus_ct(K, t, 7.5, 4) for t in (0.5, 5, 10, 15, 20, 25)] == [12, 8, 6, 4, 3, 2]
    assert [virus_ct(K, t, 9.1, 4) for t in (0.5, 5, 10, 15, 20, 25)] == [90, 60, 45, 30, 22, 15]
    assert virus_ct(K, 19.9, 9.0, 3) == 3
    assert virus_ct(K, 20, 7, 2) == 1
    assert virus_ct(K, 20, 9.1, 3) == NO_FIGURE
    assert virus_ct(K, 20, 10.1, 4) == NO_FIGURE
    assert virus_ct(K, 20, 5.9, 4) == NO_FIGURE
    assert virus_ct(K, 20, 7, 1) == NO_FIGURE
    assert virus_ct(K, 20, 7, 5) == NO_FIGURE


@pytest.mark.parametrize(
    ("table", "figures"),
    [
        (CT_GIARDIA_CHLORAMINE, [3800, 2200, 1850, 1500, 1000, 750]),
        (CT_VIRUS_CHLORAMINE, [2883, 1988, 1491, 994, 746, 497]),
        (CT_GIARDIA_CHLORINE_DIOXIDE, [63, 26, 23, 19, 15, 11]),
        (CT_VIRUS_CHLORINE_DIOXIDE, [50.1, 33.4, 25.1, 16.7, 12.5, 8.4]),
    ],
)
def test_chloramine_and_chlorine_dioxide_are_as_printed(table: int, figures: list[float]) -> None:
    edges = (1, 5, 10, 15, 20, 25)
    assert [ct_at_temperature(K, CT_STEP_TEMPERATURES, table, t) for t in edges] == figures
    assert ct_at_temperature(K, CT_STEP_TEMPERATURES, table, 24.9) == figures[4]


def test_the_minutes_for_formed_stool_are_those_of_the_giardia_table() -> None:
    free, minutes = K[CT_FORMED_STOOL : CT_FORMED_STOOL + 3], K[CT_FORMED_STOOL + 3 :]
    assert [math.ceil(giardia_ct(K, 25, 7.5, one) / one) for one in free] == list(minutes)


def test_a_night_of_readings_sums_to_the_worked_figures() -> None:
    assert conservative_ct(*NIGHT) == pytest.approx(13456.5)
    assert trapezoid_ct(*NIGHT) == pytest.approx(13736.25)


def test_one_reading_is_no_contact_time() -> None:
    assert conservative_ct([5.0], [20.0]) == trapezoid_ct([5.0], [20.0]) == 0


@given(series())
def test_the_conservative_sum_is_never_over_the_trapezoid(
    both: tuple[list[float], list[float]],
) -> None:
    assert conservative_ct(*both) <= trapezoid_ct(*both) * (1 + 1e-12)


@given(series(), st.data())
def test_a_reading_between_never_adds_more_than_its_neighbours_higher_end(
    both: tuple[list[float], list[float]], data: st.DataObject
) -> None:
    minutes, free = both
    if len(minutes) < 2:
        return
    at = data.draw(st.integers(0, len(minutes) - 2))
    where = minutes[at] + (minutes[at + 1] - minutes[at]) * data.draw(st.floats(0.01, 0.99))
    more = conservative_ct(
        [*minutes[: at + 1], where, *minutes[at + 1 :]],
        [*free[: at + 1], data.draw(levels), *free[at + 1 :]],
    )
    span, ends = minutes[at + 1] - minutes[at], free[at : at + 2]
    most = conservative_ct(minutes, free) + span * (max(ends) - min(ends))
    assert more <= most * (1 + 1e-12) + 1e-9


@given(series(), st.data())
def test_a_lower_reading_never_raises_the_conservative_sum(
    both: tuple[list[float], list[float]], data: st.DataObject
) -> None:
    minutes, free = both
    at = data.draw(st.integers(0, len(minutes) - 1))
    lower = [*free[:at], free[at] * data.draw(st.floats(0, 1)), *free[at + 1 :]]
    assert conservative_ct(minutes, lower) <= conservative_ct(minutes, free)


@pytest.mark.parametrize(
    ("half_life_h", "hours"), [(5, None), (10, 31.05), (20, 16.83), (40, 14.41)]
)
def test_a_falling_chlorine_takes_the_worked_hours_or_never_comes_there(
    half_life_h: float, hours: float | None
) -> None:
    rate = math.log(2) / half_life_h / 60
    minutes = minutes_to_ct(20, rate, 15_300)
    if hours is None:
        assert most_ct(20, rate) == pytest.approx(8656, abs=0.5)
        assert minutes == NO_FIGURE
    else:
        assert minutes / 60 == pytest.approx(hours, abs=0.005)


def test_without_decay_the_time_is_a_plain_quotient() -> None:
    assert minutes_to_ct(20, 0, 15_300) == 765
    assert minutes_to_ct(10, -0.1, 15_300) == 1530
    assert minutes_to_ct(0, 0, 1) == NO_FIGURE
    assert minutes_to_ct(0, 0, 0) == 0


@given(st.floats(1, 40), st.floats(1e-5, 1e-2), st.floats(10, 1e5))
def test_the_time_to_a_contact_time_is_the_integral_s(free: float, rate: float, ct: float) -> None:
    minutes = minutes_to_ct(free, rate, ct)
    if minutes == NO_FIGURE:
        assert most_ct(free, rate) <= ct * (1 + 1e-9)
    else:
        assert free / rate * -math.expm1(-rate * minutes) == pytest.approx(ct, rel=1e-6)


def test_a_rate_is_found_again_from_two_points_that_differ_in_level() -> None:
    minutes = [0.0, 60.0, 240.0, 5.0, 65.0, 245.0]
    runs = [0, 0, 0, 1, 1, 1]
    free = [
        (20.0, 15.0)[run] * math.exp(-0.002 * at) for at, run in zip(minutes, runs, strict=True)
    ]
    rate, strength = decay_fitted(minutes, free, runs, 2)
    assert rate == pytest.approx(0.002)
    assert strength > 0.06


def test_a_run_of_one_reading_tells_no_rate() -> None:
    assert decay_fitted([3.0, 9.0], [20.0, 10.0], [0, 1], 2) == (0, 0)


def test_after_a_half_life_half_is_left() -> None:
    assert free_after(20, math.log(2) / 300, 300) == pytest.approx(10)
