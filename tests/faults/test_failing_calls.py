"""One call after the other fails: nothing is called saved that is not, and the book says so."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from tests.faults.checking import goes_on
from tests.faults.tracing import Ended, Nurseries, Point, counting, failing, points

HANDS = 2
# Each once, and each from then on.
FAULTS = [("EIO", False), ("EIO", True), ("ENOSPC", False), ("ENOSPC", True), ("EROFS", True)]
CALLS = ("pwrite64", "fdatasync", "ftruncate", "unlink", "openat", "write", "fsync", "rename")
EVERY = 16
CLEAN = ("saved", "stopped", "refused")


@pytest.fixture(scope="module")
def nurseries() -> Iterator[Nurseries]:
    """Give as many nurseries as there are hands."""
    made = Nurseries(HANDS)
    yield made
    made.close()


class Failing:
    """Rounds recorded in a copy of a site, with faults in chosen calls."""

    def __init__(self, nurseries: Nurseries, workflow: str, place: Path, start: Path) -> None:
        self.nurseries = nurseries
        self.workflow = workflow
        self.place = place
        self.start = start

    def run(self, name: str, *strace: str) -> tuple[Path, Ended]:
        """Run it once."""
        folder = self.place / name / "data"
        shutil.copytree(self.start, folder)
        return folder, self.nurseries.run(self.workflow, folder, *strace)

    def points(self) -> list[Point]:
        """Give the calls that can fail, but for those by which the child speaks."""
        trace = self.place / "trace"
        self.run("whole", *counting(trace))
        return [point for point in points(trace) if point.call in CALLS and not point.speaks]

    def at(self, point: Point, fault: tuple[str, bool]) -> Ended:
        """Let a call fail; hold what was said, and what is on record after a restart."""
        error, on = fault
        name = f"{point.call}-{point.number}-{error}-{on}"
        folder, ended = self.run(name, *failing(point, error, on=on))
        wrong = [line for line in ended.said if line.split()[0] not in CLEAN]
        assert ended.status == 0, ended
        assert not wrong, wrong
        assert "stopped without saying so" not in ended.said
        goes_on(folder, ended.saved("round"), unsaid=2)
        shutil.rmtree(folder.parent)
        return ended


def chosen(found: list[Point], fault: int, every: int) -> list[Point]:
    """Give every so-manieth write and every other call of another kind, others for each fault."""
    writes = [point for point in found if point.call == "pwrite64"]
    others = [point for point in found if point.call != "pwrite64"]
    return writes[fault * 3 % every :: every] + others[fault % 2 :: 2]


def test_a_call_that_fails_never_makes_an_acknowledgement_untrue(
    template: Path, tmp_path: Path, nurseries: Nurseries
) -> None:
    failing = Failing(nurseries, "through_trouble", tmp_path, template)
    found = failing.points()
    jobs = [
        (point, fault)
        for number, fault in enumerate(FAULTS)
        for point in chosen(found, number, EVERY)
        # From then on the program could open none of its own files either.
        if not (fault[1] and point.call == "openat")
    ]
    with ThreadPoolExecutor(HANDS) as hands:
        ended = list(hands.map(lambda job: failing.at(*job), jobs))
    assert len(ended) > 80
    # The faults reached the book: it stopped, or would not open at all.
    noticed = [one for one in ended if set(one.said) & {"stopped"} or not one.saved("round")]
    assert len(noticed) > len(ended) / 2


def test_a_writer_that_takes_a_failure_for_a_success_is_caught(
    template: Path, tmp_path: Path, nurseries: Nurseries
) -> None:
    failing = Failing(nurseries, "fickle", tmp_path, template)
    point = next(point for point in failing.points() if point.call == "fdatasync")
    with pytest.raises(AssertionError):
        failing.at(point, ("EIO", True))
