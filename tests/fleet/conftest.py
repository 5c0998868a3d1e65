"""Compiled once for the whole run, and kept beside what else the tests keep."""

from __future__ import annotations

from pathlib import Path

import pytest

from lanewater.fleet.engine import Engine, load_engine

# All that the suites of the water ask; other rooms of kernel/water take too long to compile here.
ASKED = ("additions", "saturation", "search", "spread", "batches")


@pytest.fixture(scope="session")
def compiled_code(request: pytest.FixtureRequest) -> Path:
    """Where compiled code is kept from run to run."""
    return Path(request.config.cache.mkdir("fleet"))


@pytest.fixture(scope="session")
def engine(compiled_code: Path) -> Engine:
    """The compiled engine."""
    return load_engine(compiled_code, wanted=ASKED)
