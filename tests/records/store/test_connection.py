"""The store proves that it is durable and append-only before it takes a word."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest
from sqlalchemy import inspect

from lanewater.records.errors import BrokenPromiseError
from lanewater.records.store import sqlite as store
from lanewater.records.store.connection import close_store, open_store, plain_connect, writing
from lanewater.records.store.schema import GUARDS, metadata
from lanewater.terms.errors import RefusedError


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


def test_the_tables_are_those_that_the_program_reads(file: Path) -> None:
    opened = open_store(file, create=False)
    found = inspect(opened)
    assert set(found.get_table_names()) == {*metadata.tables, "alembic_version"}
    for name, table in metadata.tables.items():
        columns = {row["name"]: not row["nullable"] for row in found.get_columns(name)}
        keys = {column.name for column in table.primary_key}
        assert set(columns) == set(table.columns.keys())
        assert all(columns[key] for key in columns if key not in keys)
        strict = "SELECT strict FROM pragma_table_list WHERE name = ?"
        assert opened.exec_driver_sql(strict, (name,)).scalar_one() == 1
    close_store(opened)


@pytest.mark.parametrize("guard", GUARDS)
def test_a_missing_guard_is_seen_at_the_start(file: Path, guard: str) -> None:
    raw = plain_connect(file)
    raw.execute(f"DROP TRIGGER {guard}")
    raw.close()
    with pytest.raises(BrokenPromiseError, match="triggers"):
        open_store(file, create=False)


def test_a_weakened_guard_is_seen_at_the_start(file: Path) -> None:
    raw = plain_connect(file)
    raw.execute("DROP TRIGGER entry_is_never_deleted")
    raw.execute("CREATE TRIGGER entry_is_never_deleted BEFORE DELETE ON entry BEGIN SELECT 1; END")
    raw.close()
    with pytest.raises(BrokenPromiseError, match="triggers"):
        open_store(file, create=False)


def test_a_store_of_a_newer_program_is_left_alone(file: Path) -> None:
    raw = plain_connect(file)
    raw.execute("UPDATE alembic_version SET version_num = '9999'")
    raw.close()
    with pytest.raises(RefusedError, match="9999"):
        open_store(file, create=False)


@pytest.mark.parametrize("content", [b"not a database at all" * 100, b"\0" * 5000])
def test_a_damaged_file_is_named_and_not_written(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "record.db"
    path.write_bytes(content)
    with pytest.raises(BrokenPromiseError):
        open_store(path, create=False)
    assert path.read_bytes() == content


def test_an_error_inside_a_transaction_undoes_all_of_it(file: Path) -> None:
    opened = open_store(file, create=False)

    def fail() -> None:
        with writing(opened):
            opened.exec_driver_sql("INSERT INTO contact VALUES ('c', 'n', '1', 'other', '')")
            raise RuntimeError

    with pytest.raises(RuntimeError):
        fail()
    assert opened.exec_driver_sql("SELECT count(*) FROM contact").scalar_one() == 0
    close_store(opened)


def test_a_second_writer_is_told_to_try_again(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(store, "BUSY_SECONDS", 0.05)
    one, other = open_store(file, create=False), open_store(file, create=False)
    with writing(one), pytest.raises(RefusedError, match="another program"), writing(other):
        pass
    close_store(one)
    close_store(other)
