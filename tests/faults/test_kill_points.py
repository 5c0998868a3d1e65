"""Killed as it enters any system call that writes, the record keeps what was acknowledged."""

from __future__ import annotations

import pytest
from tests.faults.interfering import chosen, killed_at
from tests.faults.outcomes import CHECKS, after_rounds
from tests.faults.starting import Starting

# Of the writes; every other call is a point too. benchmarks/faults_calls.py takes all of them.
EVERY = {"rounds": 5, "first_start": 8, "backup": 16, "export": 16, "rotate": 12, "restore": 12}


@pytest.mark.parametrize("name", EVERY)
def test_a_command_killed_at_any_write_loses_nothing_and_can_be_begun_again(
    workflows: Starting, name: str
) -> None:
    workflow = workflows.named(name)
    found = chosen(workflow.points(), EVERY[name])
    assert len(found) > 20
    assert killed_at(workflow, found, CHECKS[name]) >= len(found) * 0.95


def test_a_round_said_to_be_saved_too_early_is_caught(workflows: Starting) -> None:
    workflow = workflows.named("too_early")
    sync = next(point for point in workflow.points() if point.call == "fdatasync")
    with pytest.raises(AssertionError, match="acknowledged and lost"):
        workflow.killed(sync, after_rounds)
