"""The band that test errors leave the saturation index, and what drives it."""

from __future__ import annotations

import math
import random

import pytest

from lanewater.kernel.water.saturation import F_SATURATION_INDEX, figures_of_reading
from lanewater.kernel.water.slots import (
    INCONSISTENT,
    NO_BAND,
    R_ALKALINITY,
    R_CALCIUM,
    R_CYANURIC_ACID,
    R_PH,
    R_TEMPERATURE,
    SOLVED,
)
from lanewater.kernel.water.spread import index_of_reading, saturation_spread, with_reading
from lanewater.kernel.water.units import NO_LOGARITHM
from lanewater.service.constants import load_constants

PLAIN = (7.5, 28.0, 100.0, 250.0, 0.0, 0.0, 300.0, 0.0, 2.0, 0.0)
STABILISED = (7.5, 28.0, 80.0, 250.0, 50.0, 0.0, 300.0, 0.0, 2.0, 0.0)
SOFT = (7.5, 28.0, 30.0, 250.0, 50.0, 0.0, 300.0, 0.0, 2.0, 0.0)
FALSE = (7.5, 25.0, 10.0, 200.0, 100.0, 0.0, 300.0, 0.0, 2.0, 0.0)
DRY = (7.5, 25.0, 100.0, 0.0, 0.0, 0.0, 300.0, 0.0, 2.0, 0.0)


def errors_of(**errors: float) -> tuple[float, ...]:
    slots = {
        "ph": R_PH,
        "temperature": R_TEMPERATURE,
        "alkalinity": R_ALKALINITY,
        "calcium": R_CALCIUM,
        "cyanuric": R_CYANURIC_ACID,
    }
    row = [0.0] * 10
    for name, value in errors.items():
        row[slots[name]] = value
    return tuple(row)


@pytest.mark.parametrize("reading", [PLAIN, STABILISED, FALSE, DRY])
def test_the_short_way_to_the_index_is_the_same(reading: tuple[float, ...]) -> None:
    k = load_constants()
    status, figures = figures_of_reading(k, reading)
    found, index = index_of_reading(k, reading)
    assert found == status
    expected = figures[F_SATURATION_INDEX] if status == SOLVED else NO_LOGARITHM
    assert index == pytest.approx(expected, abs=1e-12)


@pytest.mark.parametrize(
    ("errors", "width", "within"),
    [
        # facts/chemistry.md 2.2: 0.1 in pH is 0.1, a tenth of calcium or alkalinity 0.04 and
        # a degree 0.013.
        (errors_of(ph=0.1), 0.10, 0.005),
        (errors_of(calcium=25.0), 0.04, 0.006),
        (errors_of(alkalinity=10.0), 0.04, 0.007),
        (errors_of(temperature=1.0), 0.013, 0.001),
    ],
)
def test_one_error_alone_moves_the_index_as_published(
    errors: tuple[float, ...], width: float, within: float
) -> None:
    status, half_width, shares = saturation_spread(load_constants(), PLAIN, errors)
    assert status == SOLVED
    assert half_width == pytest.approx(width, abs=within)
    assert shares == [1.0 if error > 0 else 0.0 for error in errors]


def test_the_shares_add_up_and_the_ph_drives_most() -> None:
    errors = errors_of(ph=0.15, temperature=1.0, alkalinity=8.0, calcium=25.0, cyanuric=10.0)
    status, half_width, shares = saturation_spread(load_constants(), STABILISED, errors)
    assert status == SOLVED
    assert sum(shares) == pytest.approx(1.0)
    assert max(shares) == shares[R_PH]
    assert shares[R_CYANURIC_ACID] > 0.01
    alone = [
        saturation_spread(load_constants(), STABILISED, with_reading((0.0,) * 10, at, error))[1]
        for at, error in enumerate(errors)
    ]
    assert half_width == pytest.approx(math.hypot(*alone))


def test_the_band_holds_what_a_thousand_wrong_tests_say() -> None:
    k = load_constants()
    errors = errors_of(ph=0.1, temperature=1.0, alkalinity=10.0, calcium=25.0, cyanuric=10.0)
    _status, half_width, _shares = saturation_spread(k, STABILISED, errors)
    _status, index = index_of_reading(k, STABILISED)
    draw = random.Random(11)  # noqa: S311 - readings, not secrets
    inside = 0
    for _ in range(1000):
        wrong = tuple(
            draw.gauss(value, error / 1.96) for value, error in zip(STABILISED, errors, strict=True)
        )
        inside += abs(index_of_reading(k, wrong)[1] - index) <= half_width
    assert inside == pytest.approx(955, abs=20)


def test_without_errors_there_is_no_width() -> None:
    assert saturation_spread(load_constants(), PLAIN, (0.0,) * 10) == (SOLVED, 0.0, [0.0] * 10)


@pytest.mark.parametrize(
    ("reading", "errors", "status"),
    [
        (FALSE, errors_of(ph=0.1), INCONSISTENT),
        (DRY, errors_of(ph=0.1), NO_BAND),
        # Twenty too low, the alkalinity would be less than cyanurate alone holds.
        (SOFT, errors_of(ph=0.1, alkalinity=20.0), NO_BAND),
    ],
)
def test_a_band_without_an_end_is_not_given(
    reading: tuple[float, ...], errors: tuple[float, ...], status: int
) -> None:
    assert saturation_spread(load_constants(), reading, errors) == (status, 0.0, [0.0] * 10)


def test_nothing_is_read_below_zero() -> None:
    assert with_reading(PLAIN, R_CYANURIC_ACID, -5.0) == PLAIN
    status, half_width, _shares = saturation_spread(
        load_constants(), PLAIN, errors_of(cyanuric=10.0)
    )
    assert status == SOLVED
    assert half_width > 0
