"""Lanes say what the kernel says, within their stated error, and know where they cannot."""

from __future__ import annotations

import math
import random
from collections.abc import Callable
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest
from tests.agreement.waters import drawn_waters

from lanewater.fleet.batches import (
    EACH_CARBON,
    EACH_HOCL,
    EACH_PH,
    EACH_SATURATION,
    EACH_STATUS,
    EACH_WIDTH,
    each_reading,
    each_total,
)
from lanewater.fleet.closeexp import close_exp, lane_exp, lane_log
from lanewater.fleet.lanes import Lanes, fitted, load_lanes
from lanewater.fleet.lanesource import LANES, TERMS, lane_text
from lanewater.kernel.water.constants import water_constants
from lanewater.kernel.water.slots import INCONSISTENT, R_TEMPERATURE, SOLVED
from lanewater.service.constants import load_constants
from lanewater.terms.errors import InputError

Floats = npt.NDArray[np.float64]

PH = 1e-6
HOCL = 1e-4
CARBON = 1e-4
SATURATION = 1e-4
# Not a multiple of the lanes, so that a part of a block is among them.
COUNT = 40 * LANES + 7


@pytest.fixture(scope="module")
def lanes(compiled_code: Path) -> Lanes:
    """Lanes on one core."""
    return load_lanes(load_constants(), compiled_code)


@pytest.fixture(scope="module")
def readings() -> Floats:
    """Readings over the whole range, a column a water."""
    waters = drawn_waters(load_constants(), COUNT, seed=41)
    return np.array([reading for reading, _totals in waters]).T.copy()


def kernels(call: Callable[[list[list[float]]], None], count: int) -> Floats:
    """Give what the kernel says, a column a water."""
    found = [[0.0] * EACH_WIDTH for _ in range(count)]
    call(found)
    return np.array(found).T


def hold_close(found: Floats, wanted: Floats) -> None:
    """Hold an answer to the kernel's within the stated error."""
    assert found[EACH_STATUS].tolist() == wanted[EACH_STATUS].tolist()
    solved = wanted[EACH_STATUS] == SOLVED
    there, here = found[:, solved], wanted[:, solved]
    assert np.abs(there[EACH_PH] - here[EACH_PH]).max() < PH
    assert np.abs(there[EACH_SATURATION] - here[EACH_SATURATION]).max() < SATURATION
    for figure, within in ((EACH_HOCL, HOCL), (EACH_CARBON, CARBON)):
        assert (np.abs(there[figure] - here[figure]) <= within * here[figure]).all()


def test_waters_that_were_read_are_the_kernels(lanes: Lanes, readings: Floats) -> None:
    rows = readings.T.tolist()
    wanted = kernels(lambda found: each_reading(lanes.k, rows, found), COUNT)
    assert (wanted[EACH_HOCL] > 0).sum() > COUNT / 3
    hold_close(lanes.from_readings(readings), wanted)


def test_waters_of_known_totals_are_the_kernels(lanes: Lanes) -> None:
    waters = drawn_waters(lanes.k, COUNT, seed=42)
    temperatures = [reading[1] for reading, _totals in waters]
    rows = [list(totals) for _reading, totals in waters]
    wanted = kernels(lambda found: each_total(lanes.k, temperatures, rows, found), COUNT)
    found = lanes.from_totals(np.array(temperatures), np.array(rows).T)
    hold_close(found, wanted)


def test_readings_that_cannot_all_be_right_are_told_as_such(lanes: Lanes) -> None:
    draw = random.Random(43)  # noqa: S311 - waters, not secrets
    rows = [
        [8.0, 25.0, draw.uniform(1, 60), 200.0, draw.uniform(50, 300), 0.0, 500.0, 0.0, 2.0, 0.0]
        for _ in range(3 * LANES)
    ]
    wanted = kernels(lambda found: each_reading(lanes.k, rows, found), len(rows))
    assert set(wanted[EACH_STATUS]) == {SOLVED, INCONSISTENT}
    hold_close(lanes.from_readings(np.array(rows).T), wanted)


def test_what_lies_outside_the_lanes_is_the_kernels_own(lanes: Lanes, readings: Floats) -> None:
    outside = readings[:, :5].copy()
    outside[R_TEMPERATURE, 2] = 55.0
    rows = outside.T.tolist()
    wanted = kernels(lambda found: each_reading(lanes.k, rows, found), 5)
    assert lanes.from_readings(outside)[:, 2].tolist() == wanted[:, 2].tolist()


def test_another_set_of_constants_takes_no_other_code(lanes: Lanes, compiled_code: Path) -> None:
    other = load_lanes(load_constants("WA2019"), compiled_code)
    assert other.module is lanes.module
    assert not np.array_equal(other.table, lanes.table)


def test_a_constant_that_is_off_would_be_seen(lanes: Lanes, readings: Floats) -> None:
    rows = readings.T.tolist()
    wanted = kernels(lambda found: each_reading(lanes.k, rows, found), COUNT)
    table = lanes.table.copy()
    table[: TERMS * 6] *= 1.001
    off = Lanes(lanes.module, lanes.k, table, 1)
    with pytest.raises(AssertionError):
        hold_close(off.from_readings(readings), wanted)


def test_the_polynomials_are_the_kernels_constants() -> None:
    k = load_constants()
    table = fitted(k).reshape(-1, TERMS)
    for temperature in np.linspace(0.0, 50.0, 101):
        wanted = [number for group in water_constants(k, float(temperature)) for number in group]
        found = np.polynomial.polynomial.polyval((temperature - 25.0) / 25.0, table.T)
        assert np.abs(found / np.array(wanted) - 1).max() < 1e-7


def test_the_lanes_step_is_the_kernels_own_text() -> None:
    text = lane_text((5, 4, 2, 9, 3, 6, 4))
    assert text.count("def next_state(") == 1
    assert text.count("state = next_state((") == 2


def test_waters_must_be_ten_rows(lanes: Lanes, readings: Floats) -> None:
    with pytest.raises(InputError, match="10 rows"):
        lanes.from_readings(readings[:9])
    with pytest.raises(InputError, match="one for each"):
        lanes.from_totals(np.full(3, 25.0), readings)


def test_exponentials_are_close() -> None:
    draw = random.Random(44)  # noqa: S311 - numbers, not secrets
    for x in (draw.uniform(-690, 690) for _ in range(2000)):
        assert close_exp(x) == pytest.approx(math.exp(x), rel=1e-15)
        assert lane_exp(x) == pytest.approx(math.exp(x), rel=1e-11)
    assert close_exp(-1000.0) == 0.0
    with pytest.raises(OverflowError):
        close_exp(1000.0)


def test_logarithms_are_close() -> None:
    draw = random.Random(45)  # noqa: S311 - numbers, not secrets
    for x in (math.exp(draw.uniform(-600, 600)) for _ in range(2000)):
        assert lane_log(x) == pytest.approx(math.log(x), rel=1e-12, abs=1e-12)
    for x in (0.7, 0.99999, 1.0, 1.00001, 1.41, 1.42, 2.0):
        assert lane_log(x) == pytest.approx(math.log(x), rel=1e-12, abs=1e-12)
