"""An older store comes to the present form whole or not at all, and every line stays as it was."""

from __future__ import annotations

import signal
import subprocess
import sys
from pathlib import Path

import pytest
from sqlalchemy import Connection, create_engine, insert
from sqlalchemy.pool import StaticPool
from tests.postgres import Server
from tests.records.entry_cases import chain
from tests.stores import Place, server_place

from lanewater.records.entries import digest
from lanewater.records.store import log
from lanewater.records.store.connection import close_store, prepare_store
from lanewater.records.store.forms import found_form, take_steps
from lanewater.records.store.growing import root_at
from lanewater.records.store.postgres import engine_over, raw_connection
from lanewater.records.store.postgres_checks import guard_statements
from lanewater.records.store.schema import GUARDS, REVISION, claimed, stamp
from lanewater.records.store.schema import entry as table
from lanewater.records.store.sqlite import make_file, plain_connect
from lanewater.records.tree import leaf_data, leaf_hash, node_hash
from lanewater.terms.errors import RefusedError

NOW = "2026-07-01T09:51:00.000Z"
LINES = chain(3)


def bare(place: Place) -> Connection:
    """Connect as whoever owns the tables, to a place where none are yet."""
    if place.server is None:
        assert isinstance(place.where, Path)
        make_file(place.where)
        raw = plain_connect(place.where)
        return create_engine(
            "sqlite://", creator=lambda: raw, poolclass=StaticPool, isolation_level="AUTOCOMMIT"
        ).connect()
    place.behind(f"CREATE SCHEMA {place.schema} AUTHORIZATION lanewater_owner")
    owner = place.server.url("lanewater_owner", place.schema)
    return engine_over(lambda: raw_connection(owner)).connect()


def first_form(place: Place) -> None:
    """Make a store as the first form was, guards included, with three entries."""
    connection = bare(place)
    connection.exec_driver_sql("BEGIN")
    take_steps(connection, "0001")
    for place_in_log, (item, raw, signature) in enumerate(LINES):
        connection.execute(
            insert(table).values(
                seq=place_in_log + 1,
                site=item.site,
                log_index=place_in_log,
                id=item.id,
                dev=item.dev,
                dseq=item.dseq,
                type=item.type,
                received_at=NOW,
                hash=digest(raw),
                bytes=raw,
                sig=signature,
            )
        )
    for statement in first_guards(place):
        connection.exec_driver_sql(statement)
    connection.exec_driver_sql("COMMIT")
    close_store(connection)


def first_guards(place: Place) -> list[str]:
    """Give the statements of the guards, and on a server the rights, that the first form had."""
    if place.server is None:
        return [text for name, text in GUARDS.items() if name.startswith("entry_")]
    rights = [
        f"GRANT USAGE ON SCHEMA {place.schema} TO lanewater",
        "GRANT SELECT ON alembic_version TO lanewater",
    ]
    return rights + [text for text in guard_statements(place.schema) if " entry_" in text]


def bring(place: Place) -> Connection:
    """Bring a store to the present form, as its kind does, and open it."""
    if place.server is not None:
        with pytest.raises(RefusedError, match=r"form 0001; .*store prepare"):
            place.open()
        prepare_store(str(place.where), place.server.url("lanewater_owner"))
    return place.open()


def test_every_line_of_the_first_form_stays_and_stands_on_the_tree(place: Place) -> None:
    first_form(place)
    opened = bring(place)
    assert found_form(opened) == REVISION
    rows = list(log.rows_from(opened, "baths", 0))
    assert [(row.raw, row.sig, row.received_at) for row in rows] == [
        (raw, signature, NOW) for _, raw, signature in LINES
    ]
    leaves = [
        leaf_hash(leaf_data(at, NOW, digest(raw), signature.hex()))
        for at, (_, raw, signature) in enumerate(LINES)
    ]
    pair = node_hash(leaves[0], leaves[1])
    assert root_at(opened, "baths", 1) == leaves[0]
    assert root_at(opened, "baths", 2) == pair
    assert root_at(opened, "baths", 3) == node_hash(pair, leaves[2])
    assert len(opened.execute(claimed.select()).all()) == 3
    close_store(opened)
    for statement in ("UPDATE entry SET dseq = dseq", "DELETE FROM tree_node"):
        with pytest.raises(place.refusals):
            place.behind(statement)


def test_a_stamp_of_before_is_the_same_after_every_step(place: Place) -> None:
    opened = place.make()
    kept = {"site": "s", "size": 1, "root": b"\1" * 32, "text": "note\n", "made_at": NOW}
    opened.execute(insert(stamp).values(**kept))
    close_store(opened)
    opened = bring(place) if place.server is None else place.make()
    assert [dict(row) for row in opened.execute(stamp.select()).mappings()] == [kept]
    close_store(opened)


KILLED = """
import sys, time
from pathlib import Path
from lanewater.records.store import growing
from lanewater.records.store.connection import open_store, prepare_store
def build_tree(connection):
    print("in", flush=True)
    time.sleep(60)
growing.build_tree = build_tree
where, owner = sys.argv[1:]
prepare_store(where, owner) if owner else open_store(Path(where), create=False)
"""


def test_killed_in_the_middle_of_a_step_the_old_form_stands_whole(place: Place) -> None:
    first_form(place)
    owner = place.server.url("lanewater_owner") if place.server else ""
    child = subprocess.Popen(
        [sys.executable, "-c", KILLED, str(place.where), owner], stdout=subprocess.PIPE
    )
    assert child.stdout is not None
    assert child.stdout.readline() == b"in\n"
    child.kill()
    child.communicate()
    assert child.returncode == -signal.SIGKILL
    assert place.behind("SELECT version_num FROM alembic_version") == [("0001",)]
    assert place.behind("SELECT count(*) FROM entry") == [(3,)]
    with pytest.raises(Exception, match=r"tree_node"):
        place.behind("SELECT count(*) FROM tree_node")
    with pytest.raises(place.refusals):
        place.behind("DELETE FROM entry")
    opened = bring(place)
    assert len(list(log.rows_from(opened, "baths", 0))) == 3
    close_store(opened)


def test_preparing_waits_until_the_last_writer_is_done(postgres: Server) -> None:
    place = server_place(postgres)
    first_form(place)
    waiting = place.raw()
    waiting.execute("BEGIN")
    waiting.execute(
        "SELECT pg_advisory_xact_lock(hashtextextended('lanewater ' || current_schema(), 0))"
    )
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr("lanewater.records.store.postgres.BUSY_SECONDS", 0.05)
        with pytest.raises(RefusedError, match="another program"):
            prepare_store(str(place.where), postgres.url("lanewater_owner"))
    waiting.close()
    close_store(bring(place))
