"""PHREEQC run here and now on the same species, constants and activity model."""

from __future__ import annotations

import pytest
from tests.agreement.comparing import largest_differences

from lanewater.service.constants import load_constants

CLOSE = 1e-6


@pytest.mark.parametrize(("cyanurate_set", "count"), [("OBM74_dH", 300), ("WA2019", 100)])
def test_the_same_model_gives_the_same_numbers(cyanurate_set: str, count: int) -> None:
    worst = largest_differences(load_constants(cyanurate_set), count, seed=3, batch=100)
    assert worst["ph"] < CLOSE
    assert worst["index"] < CLOSE
    assert worst["index_from_ph"] < CLOSE
    assert worst["hocl_relative"] < CLOSE
    assert worst["ionic_relative"] < CLOSE
