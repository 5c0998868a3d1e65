"""One call after the other fails: nothing is called saved that is not, and the book says so."""

from __future__ import annotations

import pytest
from tests.faults.interfering import FAULTS, chosen, fails_at, may_fail
from tests.faults.starting import Starting

# Of the writes, other ones for each fault. benchmarks/faults_calls.py takes all of them.
EVERY = 16


def test_a_call_that_fails_never_makes_an_acknowledgement_untrue(workflows: Starting) -> None:
    workflow = workflows.named("through_trouble")
    found = workflow.points()
    jobs = [
        (point, fault)
        for number, fault in enumerate(FAULTS)
        for point in chosen(may_fail(found, fault), EVERY, number * 3, other=2)
    ]
    ended = fails_at(workflow, jobs)
    assert len(ended) > 70
    # The faults reached the book: it stopped, or would not open at all.
    noticed = [one for one, _ in ended if "stopped" in one.said or not one.saved("round")]
    assert len(noticed) > len(ended) / 2


def test_a_writer_that_takes_a_failure_for_a_success_is_caught(workflows: Starting) -> None:
    workflow = workflows.named("fickle")
    sync = next(point for point in workflow.points() if point.call == "fdatasync")
    with pytest.raises(AssertionError):
        workflow.failed(sync, ("EIO", True))
