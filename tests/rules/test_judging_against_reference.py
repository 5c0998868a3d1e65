"""A small run of the campaign that holds the kernel to a second judge, and a fault it must find."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from lanewater.service.packs import pack_ids

BENCHMARKS = Path(__file__).parents[2] / "benchmarks"


@pytest.fixture(scope="module")
def campaign() -> Any:
    """Give the campaign's own script."""
    place = BENCHMARKS / "judging_against_reference.py"
    spec = importlib.util.spec_from_file_location("judging_against_reference", place)
    assert spec is not None
    assert spec.loader is not None
    module: ModuleType = importlib.util.module_from_spec(spec)
    sys.path.insert(0, str(BENCHMARKS))
    try:
        spec.loader.exec_module(module)
    finally:
        sys.path.remove(str(BENCHMARKS))
    return module


def test_every_pack_is_judged_as_its_text_says(campaign: Any) -> None:
    differ, verdicts, told = campaign.campaign(1500, 20261126, pack_ids())
    assert told == []
    assert differ == 0
    assert verdicts["does-not-meet"] > 0
    assert verdicts["meets"] > 0


@pytest.mark.parametrize("identity", ["ca-qc", "us-tx-mansfield"])
def test_a_comparison_turned_round_is_found(campaign: Any, identity: str) -> None:
    assert campaign.campaign(200, 1, [identity], fault=True)[0] > 0
