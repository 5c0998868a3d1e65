"""What each workflow starts from."""

from __future__ import annotations

from functools import cached_property
from pathlib import Path

from tests.faults.interfering import Workflow
from tests.faults.tracing import Nurseries, Point, killing
from tests.faults.workflows import clock

from lanewater.service.actor import SHELL
from lanewater.service.backup import make_backup
from lanewater.service.book import open_book
from lanewater.service.config import Config


class Starting:
    """Makes workflows that start from nothing, from a site, or from a record and its backup."""

    def __init__(self, nurseries: Nurseries, place: Path, template: Path) -> None:
        self.nurseries = nurseries
        self.place = place
        self.template = template

    def named(self, name: str) -> Workflow:
        """Give a workflow by its name."""
        place = self.place / name
        if name == "first_start":
            return Workflow(self.nurseries, name, place)
        if name == "restore":
            return Workflow(self.nurseries, name, place, *self.cut_off)
        return Workflow(self.nurseries, name, place, self.template)

    @cached_property
    def cut_off(self) -> tuple[Path, Path]:
        """Give a record whose writer was killed, its log ahead of it, and a backup of before."""
        first = Workflow(self.nurseries, "rounds", self.place / "cut-off", self.template)
        folder = first.folder("newer")
        book = open_book(Config(folder), clock=clock)
        make_backup(book, Config(folder), SHELL, self.place / "cut-off" / "older")
        book.close()
        ended = first.run(folder, *killing(Point("writev", 2)))
        assert ended.killed
        assert (folder / "lanewater.db-wal").stat().st_size > 0
        return folder, self.place / "cut-off" / "older"
