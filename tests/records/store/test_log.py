"""The log takes an entry once, at its end, and never changes it."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from sqlalchemy import Connection
from sqlalchemy.exc import DBAPIError
from tests.records.entry_cases import KEY, chain, entry
from tests.stores import Place

from lanewater.records.entries import canonical
from lanewater.records.errors import EntryIdReusedError, SequenceError
from lanewater.records.signing import make_key, sign
from lanewater.records.store import log
from lanewater.records.store.connection import close_store, open_store, writing

NOW = "2026-07-01T09:51:00.000Z"


@pytest.fixture
def opened(made: Connection) -> Connection:
    """Give a store with three entries of one device."""
    with writing(made):
        for item, raw, signature in chain(3):
            log.append(made, item, raw, signature, received_at=NOW)
    return made


@pytest.fixture
def file(tmp_path: Path) -> Iterator[Connection]:
    """Give the same in a file."""
    made = open_store(tmp_path / "record.db", create=True)
    with writing(made):
        for item, raw, signature in chain(3):
            log.append(made, item, raw, signature, received_at=NOW)
    yield made
    close_store(made)


def put(opened: Connection, item: tuple) -> log.Receipt:
    """Append one entry in a transaction of its own."""
    with writing(opened):
        return log.append(opened, *item, received_at=NOW)


def contents(opened: Connection) -> list[bytes]:
    """Give every entry's bytes."""
    return [row.raw for row in log.rows_from(opened, "baths", 0)]


def test_entries_stand_in_order_as_they_came(opened: Connection) -> None:
    assert contents(opened) == [raw for _, raw, _ in chain(3)]
    assert [row.log_index for row in log.rows_from(opened, "baths", 1)] == [1, 2]
    assert log.sites(opened) == ["baths"]


def test_entries_of_some_types_stand_in_order(opened: Connection) -> None:
    kind = chain(3)[0][0].type
    assert [row.log_index for row in log.rows_of_types(opened, "baths", (kind,))] == [
        place for place, (item, _, _) in enumerate(chain(3)) if item.type == kind
    ]
    assert list(log.rows_of_types(opened, "baths", ("pool-opened", "pool-closed"))) == []
    assert list(log.rows_of_types(opened, "elsewhere", (kind,))) == []


def test_a_resend_is_harmless(opened: Connection) -> None:
    assert put(opened, chain(3)[1]) == log.Receipt(1, repeated=True)
    assert len(contents(opened)) == 3


def test_the_same_id_cannot_say_something_else(opened: Connection) -> None:
    other = replace(chain(3)[1][0], reason="changed")
    raw = canonical(other)
    with pytest.raises(EntryIdReusedError):
        put(opened, (other, raw, sign(KEY, raw)))
    assert len(contents(opened)) == 3


@pytest.mark.parametrize(("number", "dprev"), [(5, ""), (4, "0" * 64), (3, ""), (1, "")])
def test_a_gap_or_a_wrong_link_is_refused(opened: Connection, number: int, dprev: str) -> None:
    link = dprev or chain(3)[2][0].dprev
    item = entry(number=number, dprev=link, id="01a212e6-893f-7a4b-a9c7-00000000ffff")
    raw = canonical(item)
    with pytest.raises(SequenceError):
        put(opened, (item, raw, sign(KEY, raw)))
    assert len(contents(opened)) == 3


def test_each_device_has_its_own_sequence(opened: Connection) -> None:
    key = make_key()
    item = entry(key=key, id="01a212e6-893f-7a4b-a9c7-00000000ffff")
    raw = canonical(item)
    assert put(opened, (item, raw, sign(key, raw))) == log.Receipt(3, repeated=False)


COLUMNS = "seq, site, log_index, id, dev, dseq, type, received_at, hash, bytes, sig"
OTHER = {"file": "x'00'", "server": "'\\x00'"}


def put_over(seq: str, index: str, identity: str, dev: str, dseq: str) -> str:
    """Write the statement that puts other bytes over the second entry by some of its keys."""
    values = f"{seq}, site, {index}, {identity}, {dev}, {dseq}, type, received_at, hash, OTHER, sig"
    chosen = f"SELECT {values} FROM entry WHERE log_index = 1"  # noqa: S608 - fixed texts
    return f"INSERT ANYHOW INTO entry ({COLUMNS}) {chosen}"


REPLACED = (
    put_over("seq", "log_index", "id", "dev", "dseq"),
    put_over("4", "3", "id", "'other'", "1"),
    put_over("2", "3", "'new'", "'other'", "1"),
    put_over("4", "1", "'new'", "'other'", "1"),
    put_over("4", "3", "'new'", "dev", "2"),
    put_over("9", "3", "'new'", "'other'", "1"),
    put_over("4", "8", "'new'", "'other'", "1"),
    put_over("4", "3", "'new'", "dev", "9"),
    "UPDATE entry SET bytes = OTHER",
    "UPDATE entry SET log_index = 1 WHERE log_index = 2",
    "DELETE FROM entry WHERE log_index = 2",
    "DELETE FROM entry",
    "DELETE FROM tree_node",
    "UPDATE tree_node SET hash = OTHER",
)
# Each kind's own way to write over what is there.
FILE_ONLY = ("UPDATE OR REPLACE entry SET log_index = 1 WHERE log_index = 2",)
SERVER_ONLY = (
    "TRUNCATE entry",
    "TRUNCATE entry, tree_node",
    put_over("seq", "log_index", "id", "dev", "dseq") + " ON CONFLICT DO NOTHING",
    put_over("seq", "log_index", "id", "dev", "dseq")
    + " ON CONFLICT (id) DO UPDATE SET bytes = OTHER",
)


def anyhow(place: Place, statement: str) -> str:
    """Write a statement in the words of a kind of store, so that it replaces what it can."""
    kind = "file" if place.server is None else "server"
    how = {"file": "INSERT OR REPLACE", "server": "INSERT"}[kind]
    return statement.replace("INSERT ANYHOW", how).replace("OTHER", OTHER[kind])


def attempts(place: Place) -> tuple[str, ...]:
    """Give every statement that would change the record."""
    return REPLACED + (FILE_ONLY if place.server is None else SERVER_ONLY)


def test_the_record_refuses_to_change_whoever_asks(opened: Connection, place: Place) -> None:
    before = contents(opened)
    for statement in attempts(place):
        with pytest.raises(place.refusals):
            place.behind(anyhow(place, statement))
        assert contents(opened) == before


@pytest.mark.parametrize("recursive", ["ON", "OFF"])
def test_the_guards_of_a_file_lean_on_no_setting(file: Connection, recursive: str) -> None:
    # OFF is what another program's connection would have.
    file.exec_driver_sql(f"PRAGMA recursive_triggers = {recursive}")
    before = contents(file)
    for statement in REPLACED + FILE_ONLY:
        said = statement.replace("INSERT ANYHOW", "INSERT OR REPLACE")
        with pytest.raises(DBAPIError) as caught:
            file.exec_driver_sql(said.replace("OTHER", "x'00'"))
        assert isinstance(caught.value.orig, sqlite3.IntegrityError | sqlite3.OperationalError)
        assert contents(file) == before


def test_without_its_guard_the_replace_hole_is_open(file: Connection) -> None:
    # The planted bug: if this did not lose the entry, the tests above would prove nothing.
    file.exec_driver_sql("PRAGMA recursive_triggers = OFF")
    file.exec_driver_sql("DROP TRIGGER entry_goes_to_the_end")
    file.exec_driver_sql(
        REPLACED[1].replace("INSERT ANYHOW", "INSERT OR REPLACE").replace("OTHER", "x'00'")
    )
    assert contents(file)[1] != chain(3)[1][1]


def test_one_entry_is_found_by_its_id(opened: Connection) -> None:
    found = log.row_by_id(opened, chain(3)[1][0].id)
    assert found is not None
    assert found.raw == chain(3)[1][1]
    assert log.row_by_id(opened, "none") is None
