"""An invented site for tests: two pools on one filter and one alone, four people, a set clock."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

from lanewater.service.actor import SHELL, Actor
from lanewater.service.book import Book, open_book
from lanewater.service.clock import instant_ms
from lanewater.service.config import Config
from lanewater.service.rounds import record_round
from lanewater.service.set_up import add, new_site

MORNING = instant_ms("2026-07-01T05:51:00-04:00", "at")
MINUTE_MS = 60_000
GOOD = {
    "free_chlorine": "1.52",
    "total_chlorine": "1.68",
    "ph": "7.43",
    "temperature_c": "28.4",
    "clarity": "visible",
    "turbidity_ntu": "0.3",
}
LOW = GOOD | {"free_chlorine": "0.62", "total_chlorine": "0.78"}
PEOPLE = {
    "tester": ("p-tester", "Tove Testerlund", "TT", ["tester"]),
    "manager": ("p-manager", "Dagny Dutyvik", "DD", ["duty-manager"]),
    "operator": ("p-operator", "Olaf Plantmo", "OP", ["plant-operator"]),
    "area": ("p-area", "Arne Areaberg", "AA", ["area-manager"]),
}
PINS = {"p-manager": "283746", "p-tester": "918273"}


@dataclass
class Baths:
    """The site's book with a clock that the test sets."""

    folder: Path
    now_ms: int = MORNING
    server: str = ""
    book: Book = field(init=False)

    def __post_init__(self) -> None:
        self.book = open_book(self.config, clock=self.clock)

    @property
    def config(self) -> Config:
        """Give the settings."""
        return Config(self.folder, server=self.server)

    def clock(self) -> int:
        """Give the set time."""
        return self.now_ms

    def wait(self, minutes: float) -> None:
        """Let time pass."""
        self.now_ms += int(minutes * MINUTE_MS)

    def who(self, name: str) -> Actor:
        """Give somebody of the site, signed in with a PIN."""
        return Actor(PEOPLE[name][0], "pin", verified=True)

    def round(self, pool: str = "main", **changes: Any) -> dict[str, Any]:
        """Record a good round with changes to its readings."""
        given = {"pool": pool, "readings": GOOD | changes}
        return record_round(self.book, self.who("tester"), given)

    def retest(self, pool: str) -> dict[str, Any]:
        """Record a good round at two points."""
        readings = [
            {"parameter": key, "value": value, "point": point}
            for point in ("shallow", "deep")
            for key, value in GOOD.items()
        ]
        return record_round(self.book, self.who("tester"), {"pool": pool, "readings": readings})

    def reopened(self) -> Book:
        """Close the book and open it again, as another day would."""
        self.book.close()
        self.book = open_book(self.config, clock=self.clock)
        return self.book


def set_up(folder: Path, server: str = "") -> None:
    """Make the site's record in a folder, or its keys there and its record on a server."""
    config = Config(folder, server=server)
    command = {"name": "Harbour Baths", "timezone": "America/Toronto", "rules": "ca-qc"}
    new_site(config, command, clock=lambda: MORNING - 60 * MINUTE_MS)
    book = open_book(config, clock=lambda: MORNING - 60 * MINUTE_MS)
    facts = {
        "kind": "pool",
        "location": "indoor",
        "disinfectant": "chlorine",
        "supply": "recirculated",
        "stabiliser": "not-used",
    }
    hours = [{"day": day, "opens": "06:30", "closes": "22:00"} for day in range(7)]
    for what, item in (
        (
            "circuit",
            {
                "circuit": "hall",
                "name": "Hall",
                "volume_m3": "450",
                "volume_known": "drawing",
                "balance_tank": "included",
            },
        ),
        (
            "pool",
            {
                "pool": "main",
                "name": "Main",
                "facts": facts,
                "circuit": "hall",
                "volume_m3": "400",
                "volume_known": "drawing",
                "hours": hours,
                "interval_minutes": 240,
                "points": ["shallow", "deep"],
                "targets": [{"parameter": "free_chlorine", "low": "1.0", "high": "1.5"}],
            },
        ),
        ("pool", {"pool": "teaching", "name": "Teaching", "facts": facts, "circuit": "hall"}),
        ("pool", {"pool": "plunge", "name": "Plunge", "facts": facts | {"kind": "plunge"}}),
        (
            "kit",
            {
                "kit": "bench",
                "name": "Bench",
                "kind": "photometer",
                "ranges": [{"parameter": "free_chlorine", "low": "0.02", "high": "6.00"}],
            },
        ),
        (
            "product",
            {
                "product": "hypo",
                "name": "Hypo",
                "substance": "sodium-hypochlorite",
                "method": "by-hand",
                "strength": {"value": "12.5", "unit": "percent-w-v", "on": "2026-06-20"},
            },
        ),
        ("contact", {"name": "Emergency", "phone": "112", "kind": "emergency"}),
    ):
        add(book, SHELL, what, item)
    for identity, name, initials, roles in PEOPLE.values():
        item: dict[str, Any] = {
            "person": identity,
            "name": name,
            "initials": initials,
            "phone": f"555-{identity}",
            "roles": roles,
        }
        if identity in PINS:
            item["pin"] = PINS[identity]
        if identity == "p-operator":
            item["competences"] = [
                {"covers": "hand-dosing", "product": "sodium-hypochlorite", "from": "2026-01-01"}
            ]
        add(book, SHELL, "person", item)
    book.close()


@pytest.fixture(scope="session")
def template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Make the site once."""
    folder = tmp_path_factory.mktemp("baths") / "data"
    set_up(folder)
    return folder


@pytest.fixture
def baths(template: Path, tmp_path: Path) -> Iterator[Baths]:
    """Give a copy of the site that the test may do anything to."""
    folder = tmp_path / "data"
    shutil.copytree(template, folder)
    made = Baths(folder)
    yield made
    made.book.close()
