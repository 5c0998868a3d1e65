"""An older or another record than was seen here is noticed, said and not written to."""

from __future__ import annotations

import shutil
import sqlite3
from pathlib import Path

import pytest
from tests.baths import Baths

from lanewater.records.errors import BrokenPromiseError, NotRecordingError
from lanewater.records.store.schema import GUARDS
from lanewater.service.book import open_book
from lanewater.service.stamping import stamp
from lanewater.terms.errors import InputError


def copy_of_record(baths: Baths, to: Path) -> None:
    """Copy the closed record's file, as a backup by hand would."""
    baths.book.close()
    shutil.copy(baths.config.store, to)
    baths.book = open_book(baths.config, clock=baths.clock)


def change(path: Path, *statements: str) -> None:
    """Change a closed record with the file in hand, its guards taken off and put back."""
    with sqlite3.connect(path) as raw:
        for name in GUARDS:
            raw.execute(f"DROP TRIGGER {name}")
        for statement in statements:
            raw.execute(statement)
        for guard in GUARDS.values():
            raw.execute(guard)
    raw.close()


def test_an_older_record_put_back_opens_for_reading_and_takes_nothing(
    baths: Baths, tmp_path: Path
) -> None:
    baths.round()
    copy_of_record(baths, tmp_path / "older.db")
    baths.wait(20)
    later = baths.round()["round"]
    stamp(baths.book)
    baths.book.close()
    shutil.copy(tmp_path / "older.db", baths.config.store)
    baths.book = open_book(baths.config, clock=baths.clock)
    assert baths.book.trouble.startswith("ROLLED BACK")
    assert baths.book.state.round_by_id(later) is None
    with pytest.raises(NotRecordingError, match="ROLLED BACK"):
        baths.round()


def test_another_record_of_the_same_length_is_noticed(baths: Baths, tmp_path: Path) -> None:
    baths.round()
    copy_of_record(baths, tmp_path / "fork.db")
    baths.wait(20)
    baths.round()
    stamp(baths.book)
    baths.book.close()
    held = baths.config.seen.read_text()
    shutil.copy(tmp_path / "fork.db", baths.config.store)
    baths.config.seen.unlink()
    baths.book = open_book(baths.config, clock=baths.clock)
    baths.round(ph="7.11")
    stamp(baths.book)
    baths.book.close()
    baths.config.seen.write_text(held)
    baths.book = open_book(baths.config, clock=baths.clock)
    assert baths.book.trouble.startswith("CHANGED")


def test_the_same_record_opens_without_trouble(baths: Baths) -> None:
    baths.round()
    stamp(baths.book)
    assert baths.reopened().trouble == ""
    assert baths.round()["round"]


def test_a_damaged_note_of_what_was_seen_is_named(baths: Baths) -> None:
    stamp(baths.book)
    baths.config.seen.write_text("nothing of the kind")
    with pytest.raises(InputError, match=r"seen\.txt"):
        open_book(baths.config)


@pytest.mark.parametrize(
    ("statement", "said"),
    [
        ("UPDATE entry SET received_at = '2026-01-01T00:00:00.000Z' WHERE seq = 8", "leaf"),
        ("UPDATE tree_node SET hash = zeroblob(32) WHERE level = 0 AND position = 7", "leaf"),
        ("UPDATE tree_node SET hash = zeroblob(32) WHERE level >= 3", "newest stamp"),
        ("UPDATE stamp SET root = zeroblob(32)", "newest stamp"),
        ("UPDATE stamp SET text = replace(text, '/1', '/2')", "no key of the log"),
        ("UPDATE entry SET sig = zeroblob(64) WHERE seq = 8", "signature"),
    ],
)
def test_a_changed_tail_is_found_when_the_record_is_opened(
    baths: Baths, statement: str, said: str
) -> None:
    baths.round()
    stamp(baths.book)
    baths.book.close()
    change(baths.config.store, statement)
    with pytest.raises(BrokenPromiseError, match=said):
        open_book(baths.config)
    change(baths.config.store)
    shutil.rmtree(baths.folder)
