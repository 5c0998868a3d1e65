"""The compiled engine says what the kernel says in CPython, errors included."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from tests.fleet.parity import close, faults_of, some_rows
from tests.parity.sides import Suite
from tests.parity.suites_water import ITERATED, SUITES, solved, waters

from lanewater.fleet.batches import EACH_PH, EACH_STATUS, EACH_WIDTH, each_reading, each_total
from lanewater.fleet.engine import Engine, load_engine, table
from lanewater.fleet.sources import KERNEL_WATER
from lanewater.kernel.water.slots import INCONSISTENT, SOLVED
from lanewater.service.constants import load_constants
from lanewater.terms.errors import MissingError

ROWS = 60


@pytest.mark.parametrize("suite", SUITES, ids=lambda suite: suite.name)
def test_compiled_and_interpreted_say_the_same(engine: Engine, suite: Suite) -> None:
    assert faults_of(engine, suite, some_rows(suite, ROWS)) == []


def test_a_compiled_constant_that_is_off_would_be_seen(tmp_path: Path) -> None:
    kernel = tmp_path / "water"
    shutil.copytree(KERNEL_WATER, kernel)
    units = kernel / "units.py"
    text = units.read_text(encoding="utf-8").replace("126.04", "126.04000001")
    units.write_text(text, encoding="utf-8")
    off = load_engine(tmp_path / "cache", kernel, wanted=("units",))
    suite = next(suite for suite in SUITES if suite.name == "grams_of_product")
    faults = faults_of(off, suite, list(suite.rows()))
    # The last product, also where it is counted from the end.
    assert [fault.partition(",")[0] for fault in faults] == [
        "grams_of_product(17",
        "grams_of_product(-1",
    ]


def test_a_product_that_there_is_not_raises_as_in_cpython(engine: Engine) -> None:
    with pytest.raises(IndexError):
        engine.function("grams_of_product")(99, 1.0)


def test_whole_numbers_are_taken_where_the_kernel_takes_floats(engine: Engine) -> None:
    totals = solved()[0][1]
    assert engine.function("use_up_chlorine")(totals, 0) == totals


def test_a_function_that_there_is_not_is_named(engine: Engine) -> None:
    with pytest.raises(MissingError, match="solve_wine"):
        engine.function("solve_wine")


def test_a_batch_of_readings_is_each_reading(engine: Engine) -> None:
    k = load_constants()
    readings = [list(reading) for reading in waters()]
    here = [[0.0] * EACH_WIDTH for _ in readings]
    each_reading(k, readings, here)
    there = table(here) * 0
    engine.function("each_reading")(k, table(readings), there)
    statuses = {row[EACH_STATUS] for row in here}
    assert statuses == {SOLVED, INCONSISTENT}
    assert [row[EACH_STATUS] for row in here] == there[:, EACH_STATUS].tolist()
    pairs = zip(here, there.tolist(), strict=True)
    assert all(close(a, b, ITERATED) for a, b in pairs if a[EACH_STATUS] == SOLVED)


def test_a_batch_of_totals_is_each_of_them(engine: Engine) -> None:
    k = load_constants()
    temperatures = [warm for warm, _totals in solved()]
    totals = [list(row) for _warm, row in solved()]
    here = [[0.0] * EACH_WIDTH for _ in totals]
    each_total(k, temperatures, totals, here)
    there = table(here) * 0
    engine.function("each_total")(k, temperatures, table(totals), there)
    assert all(close(a, b, ITERATED) for a, b in zip(here, there.tolist(), strict=True))
    assert len({round(row[EACH_PH], 3) for row in here}) > ROWS
