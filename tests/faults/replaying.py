"""Record a workflow once, cut its power many times, and hold what is found to the whole record."""

from __future__ import annotations

import multiprocessing
import shutil
import sqlite3
import tempfile
from collections import Counter
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from random import Random
from typing import Any

from sqlalchemy import Connection
from tests.faults.checking import goes_on, hold_file, hold_record, rounds_on_record
from tests.faults.cutting import Disk, cuts, lay_out
from tests.faults.recording import Change, Reader, recorded
from tests.faults.tracing import Nursery
from tests.faults.workflows import clock

from lanewater.records.store.connection import close_store, open_store
from lanewater.service.book import open_book
from lanewater.service.config import Config

STORE = "data/lanewater.db"
SEVERAL = 500
WHOLE_EVERY = 100
MEMORY = Path("/dev/shm")  # noqa: S108 - states that live for a millisecond, in a private folder

Line = tuple[str, bytes, bytes]
Node = tuple[int, int, bytes]
Stamp = tuple[int, str]
STAMPS = "SELECT size, text FROM stamp"


@dataclass(frozen=True, slots=True)
class Recording:
    """A run that was written down whole, and the record it ended with."""

    start: Path | None
    changes: tuple[Change, ...]
    lines: tuple[Line, ...]
    nodes: tuple[Node, ...]
    ids: tuple[str, ...]
    keys: dict[str, bytes]
    stamps: frozenset[Stamp]

    def needed(self, moment: int) -> tuple[int, list[str]]:
        """Give how long the record must be after some changes, and the rounds it must hold."""
        said = [change.data.decode().split() for change in self.changes[:moment] if is_said(change)]
        rounds = [row[2] for row in said if row[1] == "round"]
        last = 1 + self.ids.index(rounds[-1]) if rounds else int(bool(said))
        return last, rounds


def is_said(change: Change) -> bool:
    """Tell whether a change is an acknowledgement."""
    return change.kind == "said" and change.data.startswith(b"saved ")


def record(nursery: Nursery, workflow: str, place: Path, start: Path | None) -> Recording:
    """Run a workflow in a folder of its own, written down whole."""
    root, trace = place / "root", place / "changes"
    root.mkdir(parents=True)
    if start is not None:
        shutil.copytree(start, root / "data")
    ended = nursery.run(workflow, root / "data", *recorded(trace))
    assert ended.status == 0, ended
    changes = tuple(Reader(root).changes(trace))
    assert sum(map(is_said, changes)) == len(ended.said)
    book = open_book(Config(root / "data"), clock=clock)
    hold_record(book)
    ids = tuple(log_ids(book.connection))
    lines, nodes = on_file(book.connection)
    stamps = frozenset(asked(book.connection, STAMPS))
    book.close()
    keys = {path.name: path.read_bytes() for path in (root / "data/keys").glob("*.key")}
    return Recording(start, changes, lines, nodes, ids, keys, stamps)


def log_ids(connection: Connection) -> list[str]:
    """Give the ids of the entries, in order."""
    return [row[0] for row in asked(connection, "SELECT id FROM entry ORDER BY log_index")]


def asked(connection: Connection, question: str) -> list[tuple[Any, ...]]:
    """Ask the driver itself: thousands of states are asked the same."""
    driver = connection.connection.driver_connection
    assert isinstance(driver, sqlite3.Connection)
    return driver.execute(question).fetchall()


def on_file(connection: Connection) -> tuple[tuple[Line, ...], tuple[Node, ...]]:
    """Give the lines and the tree's nodes of a store."""
    lines = asked(connection, "SELECT received_at, bytes, sig FROM entry ORDER BY log_index")
    return tuple(lines), tuple(asked(connection, "SELECT level, position, hash FROM tree_node"))


def hold_state(folder: Path, recording: Recording, moment: int) -> str:
    """Open what was found after a cut with our own code; give "" or what is wrong."""
    length, _ = recording.needed(moment)
    store = folder / STORE
    if not store.is_file():
        return "lost: the store's file" if length else ""
    connection = open_store(store, create=False)
    try:
        lines, nodes = on_file(connection)
        stamps = set(asked(connection, STAMPS)) | seen_here(folder)
    finally:
        close_store(connection)
    if lines != recording.lines[: len(lines)]:
        return "changed: a line is not as it was written"
    if len(lines) < length:
        return f"lost: {length - len(lines)} acknowledged"
    if not stamps <= {one for one in recording.stamps if one[0] <= len(lines)}:
        return "changed: a stamp is not of this record as far as it goes"
    if length and kept_keys(folder) != recording.keys:
        return "lost: a signing key"
    if set(nodes) != {node for node in recording.nodes if (node[1] + 1) << node[0] <= len(lines)}:
        return "changed: the tree is not that of the record"
    return ""


def seen_here(folder: Path) -> set[Stamp]:
    """Give the stamp that was seen here, with its size: a start would take less for a rollback."""
    path = folder / "data/seen.txt"
    text = path.read_text(encoding="utf-8") if path.is_file() else ""
    return {(int(text.split("\n")[1]), text)} if text else set()


def kept_keys(folder: Path) -> dict[str, bytes]:
    """Give the signing keys that are found."""
    return {path.name: path.read_bytes() for path in (folder / "data/keys").glob("*.key")}


def hold_whole(folder: Path, recording: Recording, moment: int) -> str:
    """Open the book as the next command would, hold it to everything and record once more."""
    length, rounds = recording.needed(moment)
    if length == 0:
        return ""
    if not rounds:
        book = open_book(Config(folder / "data"), clock=clock)
        hold_file(book)
        hold_record(book)
        there = rounds_on_record(book)
        book.close()
        return "" if len(there) <= 1 else "changed: rounds that nobody recorded"
    goes_on(folder / "data", rounds)
    return ""


def replay(
    recording: Recording, count: int, seed: int, whole_every: int = WHOLE_EVERY
) -> Counter[str]:
    """Cut the power `count` times; count what was found, "" being that all is well."""
    draw = Random(seed)  # noqa: S311 - repeatable cuts, no secrets
    found: Counter[str] = Counter()
    place = Path(tempfile.mkdtemp(dir=MEMORY if MEMORY.is_dir() else None))
    disk = Disk(recording.start)
    try:
        for number, (moment, state) in enumerate(cuts(recording.changes, disk, count, draw)):
            folder = place / str(number)
            folder.mkdir()
            lay_out(state, folder)
            found[told(folder, recording, moment, whole=number % whole_every == 0)] += 1
            shutil.rmtree(folder)
    finally:
        shutil.rmtree(place)
    return found


def told(folder: Path, recording: Recording, moment: int, *, whole: bool) -> str:
    """Hold one state; an error is a finding like any other."""
    try:
        wrong = hold_state(folder, recording, moment)
        return wrong or (hold_whole(folder, recording, moment) if whole else "")
    except Exception as error:
        return f"error: {type(error).__name__}: {error}"[:200]


def replay_several(
    recordings: Sequence[Recording], count: int, seed: int, hands: int = 2
) -> Counter[str]:
    """Share the cuts of some recordings out to several processes."""
    spawning = multiprocessing.get_context("spawn")
    found: Counter[str] = Counter()
    with ProcessPoolExecutor(hands, mp_context=spawning) as pool:
        rest, jobs = count, []
        while rest > 0:
            given = recordings[len(jobs) % len(recordings)]
            jobs.append(pool.submit(replay, given, min(SEVERAL, rest), seed + len(jobs)))
            rest -= SEVERAL
        for job in jobs:
            found.update(job.result())
    return found
