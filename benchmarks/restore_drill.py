"""Back up, restore, verify, again and again, while rounds are recorded.

Run with: .venv/bin/python benchmarks/restore_drill.py [--backups 200] [--seed 1] [--plant]

Each backup is made at a drawn moment of the writing. It is put into an empty folder: the record
there is complete, and holds every round that was acknowledged before the backup began. Then a drawn
older one is put in the place of a record that has seen more: it must open as rolled back and take
nothing. Now and then a bit of a backup's file is turned: it must be refused. With --plant what was
seen is taken away before an older one is put back; the drill must miss its rollback and fail.
"""

from __future__ import annotations

import argparse
import shutil
import sys
import tempfile
import threading
import time
from dataclasses import dataclass, field
from pathlib import Path
from random import Random

from lanewater.service.actor import ANYBODY, SHELL
from lanewater.service.backup import make_backup
from lanewater.service.book import Book, open_book
from lanewater.service.clock import system_clock
from lanewater.service.config import Config
from lanewater.service.restore import restore_backup
from lanewater.service.rounds import record_round
from lanewater.service.set_up import add, new_site
from lanewater.service.whole_record import answer_for_site
from lanewater.terms.errors import LanewaterError

READINGS = {"free_chlorine": "1.52", "total_chlorine": "1.68", "ph": "7.43", "clarity": "visible"}
FACTS = {"kind": "pool", "location": "indoor", "disinfectant": "chlorine"}
DAMAGED_EVERY = 10


@dataclass
class Drill:
    """What was done and what was found."""

    rng: Random
    folder: Path
    config: Config
    book: Book
    plant: bool
    saved: list[str] = field(default_factory=list)
    backups: list[Path] = field(default_factory=list)
    found: dict[str, int] = field(default_factory=dict)
    times_s: dict[str, float] = field(default_factory=dict)
    wrong: list[str] = field(default_factory=list)

    def count(self, what: str) -> None:
        """Count something."""
        self.found[what] = self.found.get(what, 0) + 1

    def timed(self, what: str, start: float) -> None:
        """Add the time since a start."""
        self.times_s[what] = self.times_s.get(what, 0.0) + time.perf_counter() - start


def write_on(drill: Drill, stop: threading.Event) -> None:
    """Record rounds until told to stop."""
    while not stop.is_set():
        answer = record_round(drill.book, ANYBODY, {"pool": "main", "readings": READINGS})
        drill.saved.append(answer["round"])
        stop.wait(drill.rng.uniform(0.0, 2.0))


def back_up(drill: Drill, number: int) -> None:
    """Make one backup, then restore it where nothing is."""
    acknowledged = list(drill.saved)
    start = time.perf_counter()
    backup = drill.folder / f"backup-{number}"
    made = make_backup(drill.book, drill.config, SHELL, backup)
    drill.timed("backup", start)
    start = time.perf_counter()
    fresh = Config(drill.folder / "fresh")
    restored = restore_backup(fresh, backup, now_ms=system_clock())
    drill.timed("restore", start)
    answer, _ = answer_for_site(fresh)
    if restored["trouble"] or not answer.complete or answer.lines != made["lines"]:
        drill.wrong.append(f"backup {number}: {restored['trouble']} {answer.outcome}")
    book = open_book(fresh)
    with book.reading() as connection:
        there = {
            row[0]
            for row in connection.exec_driver_sql("SELECT id FROM entry WHERE type LIKE 'r%'")
        }
    book.close()
    gone = [identity for identity in acknowledged if identity not in there]
    if gone:
        drill.wrong.append(f"backup {number}: {len(gone)} acknowledged rounds are not in it")
    drill.count("restored and complete")
    shutil.rmtree(fresh.data)
    drill.backups.append(backup)


def roll_back(drill: Drill) -> None:
    """Put a drawn older backup in the place of a record that has seen more."""
    home = Config(drill.folder / "home")
    shutil.rmtree(home.data, ignore_errors=True)
    restore_backup(home, drill.backups[-1], now_ms=system_clock())
    older = drill.rng.choice(drill.backups[:-1])
    if drill.plant:
        home.seen.unlink()
    restored = restore_backup(home, older, now_ms=system_clock(), replace=True)
    book = open_book(home)
    refused = False
    try:
        record_round(book, ANYBODY, {"pool": "main", "readings": READINGS})
    except LanewaterError:
        refused = True
    book.close()
    seen = restored["trouble"].startswith("ROLLED BACK") and not book.recording and refused
    drill.count("older, seen as rolled back" if seen else "older, NOT seen")
    if not seen:
        drill.wrong.append(f"{older.name} in place of {drill.backups[-1].name} was not seen")


def damage(drill: Drill) -> None:
    """Turn one bit of a backup's record and see it refused."""
    backup = drill.folder / "damaged"
    shutil.rmtree(backup, ignore_errors=True)
    shutil.copytree(drill.rng.choice(drill.backups), backup)
    store = backup / drill.config.store.name
    raw = bytearray(store.read_bytes())
    raw[drill.rng.randrange(len(raw))] ^= 1 << drill.rng.randrange(8)
    store.write_bytes(raw)
    try:
        restore_backup(Config(drill.folder / "never"), backup, now_ms=system_clock())
        drill.wrong.append("a backup with a turned bit was taken")
    except LanewaterError:
        drill.count("damaged, refused")


def begin(folder: Path, seed: int, *, plant: bool) -> Drill:
    """Make the site."""
    config = Config(folder / "site")
    new_site(config, {"name": "Drill", "timezone": "America/Toronto", "rules": "ca-qc"})
    book = open_book(config, "server")
    add(book, SHELL, "pool", {"pool": "main", "name": "Main", "facts": FACTS})
    return Drill(Random(seed), folder, config, book, plant)  # noqa: S311 - drawn moments


def main() -> int:
    """Run the drill; end with 1 where anything was not as it must be."""
    parser = argparse.ArgumentParser(description="Back up and restore, again and again.")
    parser.add_argument("--backups", type=int, default=20)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--plant", action="store_true")
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as held:
        drill = begin(Path(held), given.seed, plant=given.plant)
        stop = threading.Event()
        writer = threading.Thread(target=write_on, args=(drill, stop))
        writer.start()
        try:
            for number in range(given.backups):
                time.sleep(drill.rng.uniform(0.0, 0.3))
                back_up(drill, number)
                if number:
                    roll_back(drill)
                if number % DAMAGED_EVERY == DAMAGED_EVERY - 1:
                    damage(drill)
        finally:
            stop.set()
            writer.join()
        lines = drill.book.state.index + 1
        drill.book.close()
    print(f"{given.backups} backups, seed {given.seed}, {lines} lines at the end: {drill.found}")
    each = {what: f"{took / given.backups:.2f} s" for what, took in drill.times_s.items()}
    print(f"mean: {each}")
    for row in drill.wrong[:10]:
        print(row)
    return 1 if drill.wrong else 0


if __name__ == "__main__":
    sys.exit(main())
