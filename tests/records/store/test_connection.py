"""Whatever kind the store is, it proves that it is append-only before it takes a word."""

from __future__ import annotations

import subprocess
import sys

import pytest
from sqlalchemy import Connection, insert, inspect, select
from tests.records.entry_cases import chain
from tests.stores import Place

from lanewater.records.errors import BrokenPromiseError
from lanewater.records.store import log, postgres, sqlite
from lanewater.records.store.connection import close_store, mark, writing
from lanewater.records.store.postgres_checks import GUARDS as SERVER_GUARDS
from lanewater.records.store.schema import GUARDS as FILE_GUARDS
from lanewater.records.store.schema import contact, metadata
from lanewater.terms.errors import RefusedError

LINE = {"id": "c", "name": "n", "phone": "1", "kind": "other", "note": ""}


def names(connection: Connection) -> list[str]:
    """Give the ids on the phone list."""
    return list(connection.execute(select(contact.c.id)).scalars())


def guards_of(place: Place) -> dict[str, str]:
    """Give each guard with its table."""
    if place.server is None:
        return {name: text.split(" ON ")[1].split()[0] for name, text in FILE_GUARDS.items()}
    return {name: table for name, (table, _, _) in SERVER_GUARDS.items()}


def test_the_tables_are_those_that_the_program_reads(made: Connection) -> None:
    found = inspect(made)
    assert set(found.get_table_names()) == {*metadata.tables, "alembic_version"}
    for name, table in metadata.tables.items():
        columns = {row["name"]: not row["nullable"] for row in found.get_columns(name)}
        keys = {column.name for column in table.primary_key}
        assert set(columns) == set(table.columns.keys())
        assert all(columns[key] for key in columns if key not in keys)
        assert set(found.get_pk_constraint(name)["constrained_columns"]) == keys


def test_every_missing_guard_is_seen_at_the_start(place: Place) -> None:
    close_store(place.make())
    for guard, table in guards_of(place).items():
        on = f" ON {table}" if place.server else ""
        before = place.behind(definition(place, guard, table))[0][0]
        place.behind(f"DROP TRIGGER {guard}{on}")
        with pytest.raises(BrokenPromiseError, match="triggers"):
            place.open()
        place.behind(before, *always(place, guard, table))
        close_store(place.open())


def definition(place: Place, guard: str, table: str) -> str:
    """Write the question for a guard's own text."""
    if place.server is None:
        return f"SELECT sql FROM sqlite_master WHERE name = '{guard}'"  # noqa: S608 - fixed names
    there = f"tgname = '{guard}' AND tgrelid = '{table}'::regclass"
    return f"SELECT pg_get_triggerdef(oid) FROM pg_trigger WHERE {there}"  # noqa: S608 - fixed names


def always(place: Place, guard: str, table: str) -> list[str]:
    """Write what a server needs besides to have a guard as it was."""
    return [f"ALTER TABLE {table} ENABLE ALWAYS TRIGGER {guard}"] if place.server else []


def test_a_store_of_a_newer_program_is_left_alone(place: Place) -> None:
    close_store(place.make())
    place.behind("UPDATE alembic_version SET version_num = '9999'")
    with pytest.raises(RefusedError, match="9999"):
        place.open()


def test_an_error_inside_a_transaction_undoes_all_of_it(made: Connection) -> None:
    def fail() -> None:
        with writing(made):
            made.execute(insert(contact).values(**LINE))
            raise RuntimeError

    with pytest.raises(RuntimeError):
        fail()
    assert names(made) == []
    with writing(made):
        made.execute(insert(contact).values(**LINE))
    assert names(made) == ["c"]


def test_a_second_writer_is_told_to_try_again(
    place: Place, monkeypatch: pytest.MonkeyPatch
) -> None:
    for module in (postgres, sqlite):
        monkeypatch.setattr(module, "BUSY_SECONDS", 0.05)
    one, other = place.make(), place.open()
    with writing(one), pytest.raises(RefusedError, match="another program"), writing(other):
        pass
    with writing(other):
        other.execute(insert(contact).values(**LINE))
    assert names(one) == ["c"]
    close_store(one)
    close_store(other)


def test_a_writer_reads_what_the_one_before_it_left(place: Place) -> None:
    one, other = place.make(), place.open()
    assert names(other) == []
    with writing(one):
        one.execute(insert(contact).values(**LINE))
        assert names(one) == ["c"]
        assert names(other) == []
    with writing(other):
        assert names(other) == ["c"]
    close_store(one)
    close_store(other)


WAITS = """
import sys
from pathlib import Path
from lanewater.records.store.connection import open_store, writing
where = sys.argv[1]
store = open_store(where if "://" in where else Path(where), create=False)
with writing(store):
    print("in", flush=True)
    sys.stdin.read()
"""


def test_the_place_of_a_writer_that_was_killed_is_free(place: Place) -> None:
    opened = place.make()
    child = subprocess.Popen(
        [sys.executable, "-c", WAITS, str(place.where)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
    )
    assert child.stdout is not None
    assert child.stdout.readline() == b"in\n"
    child.kill()
    child.communicate()
    with writing(opened):
        opened.execute(insert(contact).values(**LINE))
    assert names(opened) == ["c"]
    close_store(opened)


def test_what_another_appended_changes_the_mark_and_looking_does_not(place: Place) -> None:
    one, other = place.make(), place.open()
    seen = mark(other)
    assert mark(other) == seen
    item, raw, signature = chain(1)[0]
    with writing(one):
        log.append(one, item, raw, signature, received_at="2026-07-01T09:51:00.000Z")
        assert mark(other) == seen
    assert mark(other) != seen
    close_store(one)
    close_store(other)
