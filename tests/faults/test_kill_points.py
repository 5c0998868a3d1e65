"""Killed as it enters any system call that writes, the record keeps what was acknowledged."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from threading import Lock

import pytest
from tests.faults.checking import goes_on
from tests.faults.tracing import Ended, Nurseries, Point, counting, killing, points
from tests.faults.workflows import clock

from lanewater.service.actor import SHELL
from lanewater.service.book import open_book
from lanewater.service.config import Config
from lanewater.service.set_up import add, new_site
from lanewater.terms.errors import RefusedError

HANDS = 2
EVERY = 5
ONE_AT_A_TIME = Lock()  # what brings a store up to date is not made for threads


@pytest.fixture(scope="module")
def nurseries() -> Iterator[Nurseries]:
    """Give as many nurseries as there are hands."""
    made = Nurseries(HANDS)
    yield made
    made.close()


class Killing:
    """One workflow, to be killed at each of its points in a copy of a data folder."""

    def __init__(self, nurseries: Nurseries, workflow: str, place: Path, start: Path | None):
        self.nurseries = nurseries
        self.workflow = workflow
        self.place = place
        self.start = start

    def run(self, name: str, *strace: str) -> tuple[Path, Ended]:
        """Run it once, traced."""
        folder = self.place / name / "data"
        if self.start is not None:
            shutil.copytree(self.start, folder)
        return folder, self.nurseries.run(self.workflow, folder, *strace)

    def points(self) -> list[Point]:
        """Run it whole and give every call that writes."""
        trace = self.place / "trace"
        _, ended = self.run("whole", *counting(trace))
        assert ended.status == 0, ended
        return list(points(trace))

    def at(self, point: Point, check: Callable[[Path, Ended], None]) -> bool:
        """Kill it at a point and check what is left; tell whether it was killed."""
        folder, ended = self.run(f"{point.call}-{point.number}", *killing(point))
        check(folder, ended)
        shutil.rmtree(folder.parent)
        return ended.killed


def chosen(found: list[Point], every: int) -> list[Point]:
    """Give every so-manieth write, and each call of any other kind."""
    writes = [point for point in found if point.call == "pwrite64"]
    return writes[::every] + [point for point in found if point not in writes]


def killed_at_all(
    killing: Killing, check: Callable[[Path, Ended], None], every: int = EVERY
) -> tuple[int, int]:
    """Kill a workflow at its points; give how many there are and how many kills."""
    found = chosen(killing.points(), every)
    with ThreadPoolExecutor(HANDS) as hands:
        kills = sum(hands.map(lambda point: killing.at(point, check), found))
    return len(found), kills


def round_check(folder: Path, ended: Ended) -> None:
    """Hold a site whose rounds were being recorded."""
    goes_on(folder, ended.saved("round"))


def first_start_check(folder: Path, ended: Ended) -> None:
    """Begin again where a first start was cut off, as whoever stands there would."""
    command = {"name": "Harbour Baths", "timezone": "America/Toronto", "rules": "ca-qc"}
    again = True
    with ONE_AT_A_TIME:
        try:
            new_site(Config(folder), command, clock=clock)
        except RefusedError:
            again = False
    book = open_book(Config(folder), clock=clock)
    try:
        assert not (again and ended.said), "a site that was acknowledged is gone"
        assert ended.saved("site") in ([], [book.site])
        assert set(ended.saved("pool")) <= set(book.state.pools)
        facts = {"kind": "plunge", "location": "indoor", "disinfectant": "chlorine"}
        if "plunge" not in book.state.pools:
            add(book, SHELL, "pool", {"pool": "plunge", "name": "Plunge", "facts": facts})
    finally:
        book.close()
    goes_on(folder, ended.saved("round"))


def test_a_round_killed_at_any_write_is_there_or_was_never_said_to_be(
    template: Path, tmp_path: Path, nurseries: Nurseries
) -> None:
    number, kills = killed_at_all(Killing(nurseries, "rounds", tmp_path, template), round_check)
    assert number > 50
    assert kills >= number * 0.95


def test_a_first_start_killed_at_any_write_can_be_begun_again(
    tmp_path: Path, nurseries: Nurseries
) -> None:
    killing = Killing(nurseries, "first_start", tmp_path, None)
    number, kills = killed_at_all(killing, first_start_check)
    assert number > 50
    assert kills >= number * 0.95


def test_a_round_said_to_be_saved_too_early_is_caught(
    template: Path, tmp_path: Path, nurseries: Nurseries
) -> None:
    killing = Killing(nurseries, "too_early", tmp_path, template)
    last_sync = next(point for point in killing.points() if point.call == "fdatasync")
    with pytest.raises(AssertionError, match="acknowledged and lost"):
        killing.at(last_sync, round_check)
