"""What must hold of a record after any crash, asked of our own code and of the file itself."""

from __future__ import annotations

from pathlib import Path

from tests.faults.workflows import READINGS, clock

from lanewater.records.entries import digest, parse
from lanewater.records.signing import check_signature
from lanewater.records.store import log
from lanewater.service.actor import ANYBODY
from lanewater.service.book import Book, open_book
from lanewater.service.config import Config
from lanewater.service.rounds import judge_missing, record_round


def hold_record(book: Book) -> None:
    """Hold every entry to its place, its one form, its signature and its device's chain."""
    devices = book.state.devices
    heads: dict[str, str] = {}
    ids: set[str] = set()
    for place, row in enumerate(log.rows_from(book.connection, book.site, 0)):
        entry = parse(row.raw)
        device = devices[entry.dev]
        check_signature(device.algorithm, device.public_key, row.raw, row.sig)
        assert row.log_index == place
        assert entry.dprev == heads.get(entry.dev, "")
        assert entry.id not in ids
        heads[entry.dev] = digest(row.raw)
        ids.add(entry.id)


def hold_file(book: Book) -> None:
    """Hold the file to SQLite's own check of it."""
    found = book.connection.exec_driver_sql("PRAGMA integrity_check").scalars().all()
    assert found == ["ok"], found[:3]


def rounds_on_record(book: Book) -> list[str]:
    """Give the ids of the rounds on record, in order."""
    return [row.id for row in book.state.rounds.get("plunge", ())]


def hold_saved(book: Book, saved: list[str], unsaid: int = 1) -> int:
    """Hold the record to what was acknowledged: all of it, once; give how many rounds more."""
    found = rounds_on_record(book)
    lost = [one for one in saved if one not in found]
    assert not lost, f"{len(lost)} acknowledged and lost"
    assert len(found) == len(set(found))
    assert [one for one in found if one in set(saved)] == saved
    assert len(found) - len(saved) <= unsaid, "more on record than was ever begun"
    return len(found) - len(saved)


def goes_on(folder: Path, saved: list[str], unsaid: int = 1) -> int:
    """Open a record after a crash, hold it to everything, and record once more.

    Returns
    -------
    int
        How many rounds are on record that were never said to be saved.
    """
    book = open_book(Config(folder), clock=clock)
    try:
        more = hold_saved(book, saved, unsaid)
        hold_file(book)
        judge_missing(book)
        made = record_round(book, ANYBODY, {"pool": "plunge", "readings": READINGS})
        assert made["judged"]
        assert rounds_on_record(book)[-1] == made["round"]
        assert set(book.state.verdicts) >= set(rounds_on_record(book))
        hold_record(book)
    finally:
        book.close()
    return more
