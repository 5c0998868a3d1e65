"""Courses beside the drinking-water model's published ones, and beside LSODA on the same rates."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from tests.kernel.water.chloramine_cases import (
    EQUIVALENT_50,
    NO_RING,
    Course,
    drawn,
    published,
    started,
)

from lanewater.kernel.water.chloramine import change_of, rates_at, slopes_of
from lanewater.kernel.water.chloraminecourse import breakpoint_course
from lanewater.kernel.water.chloramineslots import G_FREE, G_MONO, G_TOTAL, HELD, REACTING
from lanewater.kernel.water.stiffsteps import react
from lanewater.service.constants import load_constants, load_table

Q = load_table("chloramine")
COURSES = published()
# A species below a hundred-thousandth of the chlorine that was given is no main one.
MAIN = 1e-5
WITHIN = 1e-3
# Of the four published courses, those that the slip of the released tidywater moves.
CAUGHT = 3
# Milligrams of chlorine a litre for one molecule's worth, as free, mono, di and tri.
AS_CHLORINE = (71.0e3, 71.0e3, 142.0e3, 213.0e3)


Rates = Callable[[Course], tuple[float, ...]]


def ours(course: Course) -> tuple[float, ...]:
    """Give a course's rates as they are."""
    return course.rates(Q)


def faults(rates: Rates, courses: list[Course]) -> list[str]:
    """Name every main species that is off by more than a thousandth."""
    found = []
    for course in courses:
        ends = course.ends(Q, rates(course))
        for place, expected in enumerate(course.there):
            if expected > MAIN * course.start[0] and abs(ends[place] / expected - 1) > WITHIN:
                found.append(f"{course.start[:2]} {place}: {ends[place]:.6g} for {expected:.6g}")
    return found


@pytest.mark.parametrize(("origin", "count"), [("EPA-script", 4), ("computed", 13)])
def test_the_courses_are_met_to_a_thousandth(origin: str, count: int) -> None:
    courses = [course for course in COURSES if course.origin.startswith(origin)]
    assert len(courses) == count
    assert faults(ours, courses) == []


def with_ammonium(course: Course) -> tuple[float, ...]:
    """Give the slip of the released tidywater: NH4+ for NH3 in r1 and r6."""
    v = course.rates(Q)
    kelvin = course.temperature_c + 273.15
    slip = 10 ** (1.03e-4 * kelvin**2 - 9.21e-2 * kelvin + 27.6 - course.ph)
    return (v[0] * slip, *v[1:5], v[5] * slip, *v[6:])


def test_the_share_of_ammonium_taken_for_that_of_ammonia_is_caught() -> None:
    caught = [course for course in COURSES[:4] if faults(with_ammonium, [course])]
    assert len(caught) >= CAUGHT


# All but r6, which does not show in any of these courses: nothing outside checks it.
@pytest.mark.parametrize("place", [place for place in range(14) if place != 5])
def test_any_other_rate_is_caught(place: int) -> None:
    def wrong(course: Course) -> tuple[float, ...]:
        v = course.rates(Q)
        return (*v[:place], v[place] * 1.5, *v[place + 1 :])

    assert faults(wrong, COURSES) != []


def lsoda(v: tuple[float, ...], start: list[float], seconds: float) -> np.ndarray:
    """Follow the same rates with LSODA at 1e-9."""

    def change(_t: float, y: np.ndarray) -> list[float]:
        return change_of(v, list(y))

    def matrix(_t: float, y: np.ndarray) -> np.ndarray:
        whole = np.zeros((HELD, HELD))
        whole[:, :REACTING] = np.array(slopes_of(v, list(y))).reshape(HELD, REACTING)
        return whole

    found = solve_ivp(
        change, (0, seconds), start, method="LSODA", jac=matrix, rtol=1e-9, atol=1e-18
    )
    assert found.success
    return np.asarray(found.y[:, -1])


def test_random_courses_are_those_of_lsoda() -> None:
    worst = 0.0
    for water, start, seconds in drawn(40, 91):
        v = rates_at(Q, *water[:4], water[4:])  # type: ignore[arg-type]  # a water unpacked
        _status, ours, _step = react(Q, v, start, seconds, 0.0)
        theirs = lsoda(v, start, seconds)
        floor = MAIN * max(start)
        for place in range(HELD):
            if theirs[place] > floor:
                worst = max(worst, abs(ours[place] / theirs[place] - 1))
    assert worst < 3e-5


def total_after(ratio: float, temperature_c: float, ph: float, minutes: float) -> float:
    """Give total chlorine after a time, for chlorine on 1 mg/L of ammonia nitrogen. [mg/L]"""
    v = rates_at(Q, temperature_c, ph, 100 / EQUIVALENT_50, 0.0, NO_RING)
    _status, y, _step = react(Q, v, list(started(ratio, 1.0)), 60 * minutes, 0.0)
    return sum(share * y[place] for share, place in zip(AS_CHLORINE, (0, 2, 3, 4), strict=True))


@pytest.mark.parametrize(
    ("temperature_c", "ph", "minutes", "place", "least"),
    [
        (25, 7.0, 60, 8.75, 0.31),
        (25, 7.5, 10, 9.25, None),
        (25, 7.5, 60, 8.75, 0.28),
        (25, 8.0, 60, 8.75, 0.44),
        (15, 7.5, 60, 9.50, 0.34),
        (30, 7.5, 60, 8.50, 0.26),
        (30, 7.5, 240, 8.50, None),
    ],
)
def test_the_breakpoint_lies_where_it_was_computed_before(
    temperature_c: float, ph: float, minutes: float, place: float, least: float | None
) -> None:
    """By an independent program with the same constants, on a grid of a quarter."""
    totals = {
        r: total_after(r, temperature_c, ph, minutes) for r in (place - 0.25, place, place + 0.25)
    }
    assert min(totals, key=totals.__getitem__) == place
    if least is not None:
        assert totals[place] == pytest.approx(least, abs=0.006)


def monochloramine_and_total(free: float, ph: float, minute: float) -> tuple[float, float]:
    """Give mono- and combined chlorine of 0.4 mg/L of monochloramine at 28 C, in mg/L."""
    reading = (ph, 28.0, 100.0, 0.0, 0.0, 0.0, 0.0, 0.0, free, 0.0)
    _status, row = breakpoint_course(
        load_constants(), Q, reading, (0.0, 0.4, 0.0, 0.0, 0.0, 0.0), [minute]
    )
    return row[G_MONO], row[G_TOTAL] - row[G_FREE]


@pytest.mark.parametrize(
    ("ph", "free", "half_gone"),
    [(7.5, 1, 4.5), (7.5, 2, 2.2), (7.5, 5, 0.9), (7.2, 1, 3.6), (7.2, 3, 1.1), (7.8, 2, 3.0)],
)
def test_half_of_the_monochloramine_goes_when_it_was_computed_before(
    ph: float, free: float, half_gone: float
) -> None:
    """By the same independent program, told to a tenth of a minute."""
    assert monochloramine_and_total(free, ph, half_gone - 0.1)[0] > 0.2
    assert monochloramine_and_total(free, ph, half_gone + 0.1)[0] < 0.2


@pytest.mark.parametrize(("free", "left"), [(1, 0.06), (2, 0.14), (3, 0.21), (5, 0.32), (10, 0.50)])
def test_what_is_left_after_an_hour_is_what_was_computed_before(free: float, left: float) -> None:
    mono, combined = monochloramine_and_total(free, 7.5, 60.0)
    assert combined == pytest.approx(left, abs=0.006)
    assert mono < 0.01 * left
