"""Two waters mixed by PHREEQC, and carbon dioxide lost by an integrator that is not ours."""

from __future__ import annotations

import random

import pytest
from scipy.integrate import solve_ivp
from tests.agreement.phreeqc import Phreeqc, water_text
from tests.agreement.waters import drawn_waters

from lanewater.kernel.water.additions import mixed_totals
from lanewater.kernel.water.airexchange import course_in_air, excess_dioxide
from lanewater.kernel.water.constants import water_constants
from lanewater.kernel.water.dilution import flushed_share, flushed_totals
from lanewater.kernel.water.equilibrium import (
    ph_of_totals,
    solve_totals,
    totals_of_reading,
    with_carbon,
)
from lanewater.kernel.water.slots import SOLVED, T_CARBON
from lanewater.service.constants import load_constants

K = load_constants()
CLOSE = 2e-6


def mixed_by_phreeqc(
    first: tuple[float, tuple[float, ...]], second: tuple[float, tuple[float, ...]], share: float
) -> float:
    """Give the pH of two waters that PHREEQC solves by itself and mixes, heat as well."""
    engine = Phreeqc(K)
    texts = [water_text(1, *first, None), water_text(2, *second, None)]
    mix = f"END\nMIX 1\n 1 {1 - share!r}\n 2 {share!r}\n"
    return engine.solve([*texts, mix])[-1][0]


def pairs(count: int) -> list[tuple[tuple[float, tuple[float, ...]], ...]]:
    """Give pairs of random waters, with temperature and totals."""
    drawn = drawn_waters(K, 2 * count, seed=11)
    waters = [(reading[1], totals) for reading, totals in drawn]
    return list(zip(waters[::2], waters[1::2], strict=True))


@pytest.mark.parametrize("place", range(20))
def test_two_waters_mix_as_phreeqc_mixes_them(place: int) -> None:
    first, second = pairs(20)[place]
    share = random.Random(place).uniform(0.05, 0.95)  # noqa: S311 - waters, not secrets
    warm = (1 - share) * first[0] + share * second[0]
    mixed = mixed_totals(first[1], second[1], share)
    status, ph = ph_of_totals(K, warm, mixed)
    assert status == SOLVED
    assert ph == pytest.approx(mixed_by_phreeqc(first, second, share), abs=CLOSE)
    # Flowing through until the same share is fresh is the same water.
    volumes = 0.7
    flowed = flushed_totals(first[1], second[1], volumes)
    assert flowed == mixed_totals(first[1], second[1], flushed_share(volumes))


def test_a_share_a_thousandth_off_is_noticed() -> None:
    first, second = pairs(1)[0]
    warm = 0.7 * first[0] + 0.3 * second[0]
    ph = ph_of_totals(K, warm, mixed_totals(first[1], second[1], 0.3003))[1]
    assert abs(ph - mixed_by_phreeqc(first, second, 0.3)) > 10 * CLOSE


@pytest.mark.parametrize(
    ("ph", "celsius", "alkalinity", "stabiliser", "free", "pressure"),
    [
        (7.2, 28.0, 100.0, 0.0, 0.0, 420e-6),
        (7.5, 28.0, 80.0, 60.0, 2.0, 1000e-6),
        (8.9, 24.0, 120.0, 0.0, 1.0, 420e-6),
        (6.6, 36.0, 60.0, 30.0, 3.0, 420e-6),
    ],
)
def test_another_integrator_takes_the_same_course(
    ph: float, celsius: float, alkalinity: float, stabiliser: float, free: float, pressure: float
) -> None:
    reading = (ph, celsius, alkalinity, 250.0, stabiliser, 0.0, 500.0, 0.0, free, 0.0)
    totals = totals_of_reading(K, reading)[1]
    c = water_constants(K, celsius)

    def loss(_way: float, carbon: list[float]) -> list[float]:
        status, state = solve_totals(c, with_carbon(totals, float(carbon[0])))
        assert status == SOLVED
        return [-excess_dioxide(c, pressure, state)]

    ways = [0.05, 0.5, 2.0, 8.0, 30.0]
    other = solve_ivp(
        loss, (0.0, ways[-1]), [totals[T_CARBON]], "LSODA", ways, rtol=1e-9, atol=1e-13
    )
    status, course = course_in_air(K, celsius, totals, pressure, ways)
    assert status == SOLVED
    for found, carbon in zip(course, other.y[0], strict=True):
        expected = ph_of_totals(K, celsius, with_carbon(totals, float(carbon)))[1]
        assert found == pytest.approx(expected, abs=2e-5)
