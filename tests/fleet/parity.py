"""The two sides that have to agree here: a kernel function in CPython, and as Numba compiles it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from tests.parity.sides import Row, Suite, kernel_functions, python_outcome

from lanewater.fleet.engine import Engine
from lanewater.service.translation.generated import kernel_sources


def some_rows(suite: Suite, most: int) -> list[Row]:
    """Give at most about so many rows of a suite, spread over all of it."""
    rows = list(suite.rows())
    return rows[:: max(len(rows) // most, 1)]


def faults_of(engine: Engine, suite: Suite, rows: Sequence[Row]) -> list[str]:
    """Name the rows of which the two say something different."""
    here = kernel_functions(kernel_sources())[suite.name]
    there = engine.function(suite.name)
    found = []
    for row in rows:
        said, compiled = python_outcome(here, row), python_outcome(there, row)
        if not alike(said, compiled, suite.within):
            found.append(f"{suite.name}{tuple(row)!r:.300}: {said!r:.300} and {compiled!r:.300}")
    return found


def alike(said: dict[str, Any], compiled: dict[str, Any], within: float) -> bool:
    """Tell whether two outcomes are the same: one value closely, or an error of one name."""
    if "error" in said or "error" in compiled:
        return said.get("error") == compiled.get("error")
    return close(said["value"], compiled["value"], within)


def close(here: Any, there: Any, within: float) -> bool:
    """Tell whether numbers, however they are put together, lie close; whole ones are equal."""
    if isinstance(here, list | tuple):
        same = isinstance(there, list | tuple) and len(here) == len(there)
        return same and all(close(a, b, within) for a, b in zip(here, there, strict=True))
    if isinstance(here, int):
        return bool(here == there)
    return abs(here - there) <= within * max(1.0, abs(here), abs(there))
