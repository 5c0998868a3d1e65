"""A file keeps what it acknowledges, and says so before it takes a word."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest

from lanewater.records.errors import BrokenPromiseError
from lanewater.records.store import sqlite as store
from lanewater.records.store.connection import close_store, open_store, plain_connect, writing
from lanewater.records.store.schema import metadata


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """Give the file of a store that was made and closed."""
    path = tmp_path / "record.db"
    close_store(open_store(path, create=True))
    return path


def test_every_promise_is_read_back_as_it_was_set(file: Path) -> None:
    opened = open_store(file, create=False)
    for name, _, promised in store.PROMISES:
        assert opened.exec_driver_sql(f"PRAGMA {name}").scalar_one() == promised
    close_store(opened)


@pytest.mark.parametrize(
    ("name", "wrong"),
    [
        ("synchronous", "OFF"),
        ("synchronous", "NORMAL"),
        ("journal_mode", "DELETE"),
        ("recursive_triggers", "OFF"),
        ("foreign_keys", "OFF"),
        ("trusted_schema", "ON"),
        ("mmap_size", "1000000"),
    ],
)
def test_a_planted_weaker_setting_is_caught_before_the_first_write(
    file: Path, monkeypatch: pytest.MonkeyPatch, name: str, wrong: str
) -> None:
    planted = tuple(
        (key, wrong if key == name else value, promised) for key, value, promised in store.PROMISES
    )
    monkeypatch.setattr(store, "PROMISES", planted)
    with pytest.raises(BrokenPromiseError, match=name):
        open_store(file, create=False)


def without_wal(path: Path) -> sqlite3.Connection:
    """Connect as on a file system without shared memory, where WAL cannot be had."""
    return sqlite3.connect(f"file:{path}?vfs=unix-dotfile", uri=True, isolation_level=None)


def test_a_pragma_that_fails_in_silence_is_caught(file: Path) -> None:
    back = plain_connect(file)
    assert back.execute("PRAGMA journal_mode = DELETE").fetchone() == ("delete",)
    back.close()
    # The trap: nothing is raised, the answer is the old mode, and writing goes on in it.
    trap = without_wal(file)
    trap.execute("PRAGMA journal_mode = WAL")
    trap.execute("INSERT INTO contact VALUES ('c', 'n', '1', 'other', '')")
    trap.close()
    with pytest.raises(BrokenPromiseError, match="journal_mode is delete"):
        open_store(file, create=False, connect=without_wal)


def test_only_its_owner_may_read_it(file: Path) -> None:
    opened = open_store(file, create=False)
    with writing(opened):
        opened.exec_driver_sql("INSERT INTO contact VALUES ('c', 'n', '1', 'other', '')")
    modes = {path.name: path.stat().st_mode & 0o777 for path in file.parent.iterdir()}
    close_store(opened)
    assert set(modes.values()) == {0o600}
    assert {file.name, f"{file.name}-wal"} <= set(modes)


def test_making_a_store_over_a_file_is_refused(file: Path) -> None:
    with pytest.raises(FileExistsError):
        open_store(file, create=True)


def test_every_table_is_strict(file: Path) -> None:
    opened = open_store(file, create=False)
    strict = "SELECT strict FROM pragma_table_list WHERE name = ?"
    for name in metadata.tables:
        assert opened.exec_driver_sql(strict, (name,)).scalar_one() == 1
    close_store(opened)


def test_a_weakened_guard_is_seen_at_the_start(file: Path) -> None:
    raw = plain_connect(file)
    raw.execute("DROP TRIGGER entry_is_never_deleted")
    raw.execute("CREATE TRIGGER entry_is_never_deleted BEFORE DELETE ON entry BEGIN SELECT 1; END")
    raw.close()
    with pytest.raises(BrokenPromiseError, match="triggers"):
        open_store(file, create=False)


@pytest.mark.parametrize("content", [b"not a database at all" * 100, b"\0" * 5000])
def test_a_damaged_file_is_named_and_not_written(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "record.db"
    path.write_bytes(content)
    with pytest.raises(BrokenPromiseError):
        open_store(path, create=False)
    assert path.read_bytes() == content
