"""Killed as it enters any system call that writes, the record keeps what was acknowledged."""

from __future__ import annotations

import pytest
from tests.faults.interfering import chosen, killed_at
from tests.faults.outcomes import CHECKS, after_rounds
from tests.faults.starting import Starting

# One in so many of the writes, and of all other calls; benchmarks/faults_calls.py takes them all.
EVERY = {
    "rounds": (6, 1),
    "first_start": (10, 2),
    "backup": (40, 5),
    "export": (24, 3),
    "rotate": (24, 3),
    "restore": (12, 2),
}


@pytest.mark.parametrize("name", EVERY)
def test_a_command_killed_at_any_write_loses_nothing_and_can_be_begun_again(
    workflows: Starting, name: str
) -> None:
    workflow, (writes, others) = workflows.named(name), EVERY[name]
    found = chosen(workflow.points(), writes, other=others)
    assert len(found) > 12
    assert killed_at(workflow, found, CHECKS[name]) >= len(found) * 0.9


def test_a_round_said_to_be_saved_too_early_is_caught(workflows: Starting) -> None:
    workflow = workflows.named("too_early")
    sync = next(point for point in workflow.points() if point.call == "fdatasync")
    with pytest.raises(AssertionError, match="acknowledged and lost"):
        workflow.killed(sync, after_rounds)
