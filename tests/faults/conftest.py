"""The invented site, for the tests of this folder, and the nurseries whose children are hurt."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.baths import baths, template
from tests.faults.interfering import HANDS
from tests.faults.starting import Starting
from tests.faults.tracing import Nurseries

__all__ = ["baths", "nurseries", "template", "workflows"]


@pytest.fixture(scope="session")
def nurseries() -> Iterator[Nurseries]:
    """Give as many nurseries as there are hands."""
    made = Nurseries(HANDS)
    yield made
    made.close()


@pytest.fixture
def workflows(template: Path, tmp_path: Path, nurseries: Nurseries) -> Starting:
    """Give the workflows, each with what it starts from."""
    return Starting(nurseries, tmp_path, template)
