"""A workflow killed at its calls, or with one of its calls failing, in a copy of a data folder."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import TypeVar

from tests.faults.checking import goes_on
from tests.faults.tracing import (
    Ended,
    Nurseries,
    Point,
    counting,
    failing,
    killing,
    points,
)

HANDS = 2
# Each once, and each from then on.
FAULTS = [("EIO", False), ("EIO", True), ("ENOSPC", False), ("ENOSPC", True), ("EROFS", True)]
CALLS = ("pwrite64", "fdatasync", "ftruncate", "unlink", "openat", "write", "fsync", "rename")
CLEAN = ("saved", "stopped", "refused")
T = TypeVar("T")
Check = Callable[[Path, Ended], None]
Fault = tuple[str, bool]


def by_hands(act: Callable[[Point], T], found: Iterable[Point]) -> list[T]:
    """Do something at each point, by several hands."""
    with ThreadPoolExecutor(HANDS) as hands:
        return list(hands.map(act, found))


def chosen(found: list[Point], every: int, first: int = 0, other: int = 1) -> list[Point]:
    """Give every so-manieth write, and every `other`th call of another kind."""
    writes = [point for point in found if point.call == "pwrite64"]
    others = [point for point in found if point.call != "pwrite64"]
    return writes[first % every :: every] + others[first % other :: other]


class Workflow:
    """One workflow, to be run in copies of a data folder.

    Attributes
    ----------
    start : Path or None
        The data folder that each run begins with.
    beside : Path or None
        A backup that lies beside it.
    """

    def __init__(
        self,
        nurseries: Nurseries,
        name: str,
        place: Path,
        start: Path | None = None,
        beside: Path | None = None,
    ) -> None:
        self.nurseries = nurseries
        self.name = name
        self.place = place
        self.start = start
        self.beside = beside

    def folder(self, name: str) -> Path:
        """Make a copy to run in."""
        folder = self.place / name / "data"
        folder.parent.mkdir(parents=True)
        if self.start is not None:
            shutil.copytree(self.start, folder)
        if self.beside is not None:
            shutil.copytree(self.beside, folder.parent / "backup")
        return folder

    def run(self, folder: Path, *strace: str) -> Ended:
        """Run it once, traced."""
        return self.nurseries.run(self.name, folder, *strace)

    def points(self) -> list[Point]:
        """Run it whole and give every call that writes."""
        trace = self.place / "trace"
        ended = self.run(self.folder("whole"), *counting(trace))
        assert ended.status == 0, ended
        return list(points(trace))

    def killed(self, point: Point, check: Check) -> bool:
        """Kill it at a point and check what is left; tell whether it was killed."""
        folder = self.folder(f"{point.call}-{point.number}")
        ended = self.run(folder, *killing(point))
        check(folder, ended)
        shutil.rmtree(folder.parent)
        return ended.killed

    def failed(self, point: Point, fault: Fault) -> tuple[Ended, int]:
        """Let a call fail; hold what was said, and what is on record after a restart.

        Returns
        -------
        tuple
            What was said, and how many rounds are on record that were not said to be saved.
        """
        error, on = fault
        folder = self.folder(f"{point.call}-{point.number}-{error}-{on}")
        ended = self.run(folder, *failing(point, error, on=on))
        assert ended.status == 0, ended
        wrong = [line for line in ended.said if line.split()[0] not in CLEAN]
        assert not wrong, wrong
        assert "stopped without saying so" not in ended.said
        more = goes_on(folder, ended.saved("round"), unsaid=2)
        shutil.rmtree(folder.parent)
        return ended, more


def killed_at(workflow: Workflow, found: list[Point], check: Check) -> int:
    """Kill a workflow at points; give how often it was killed there."""
    return sum(by_hands(lambda point: workflow.killed(point, check), found))


def killed_twice(workflow: Workflow, point: Point) -> int:
    """Kill a workflow, then kill what follows at each of its calls; give how many kills."""
    left = workflow.folder(f"first-{point.call}-{point.number}")
    before = workflow.run(left, *killing(point)).saved("round")
    following = Workflow(workflow.nurseries, "rounds", left.parent / "again", left)

    def check(folder: Path, ended: Ended) -> None:
        goes_on(folder, before + ended.saved("round"), unsaid=2)

    kills = killed_at(following, following.points(), check)
    shutil.rmtree(left.parent)
    return kills


def fails_at(workflow: Workflow, jobs: list[tuple[Point, Fault]]) -> list[tuple[Ended, int]]:
    """Let calls fail, one run for each."""
    with ThreadPoolExecutor(HANDS) as hands:
        return list(hands.map(lambda job: workflow.failed(*job), jobs))


def may_fail(found: list[Point], fault: Fault) -> list[Point]:
    """Give the calls that a fault is planted in: not those by which the child speaks."""
    # From then on the program could open none of its own files either.
    calls = [call for call in CALLS if not (fault[1] and call == "openat")]
    return [point for point in found if point.call in calls and not point.speaks]
