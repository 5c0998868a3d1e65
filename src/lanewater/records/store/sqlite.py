"""SQLite as the store: one file in the data folder."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Callable
from pathlib import Path

from sqlalchemy import Connection, create_engine
from sqlalchemy.pool import StaticPool

from lanewater.records.errors import BrokenPromiseError, NotRecordingError
from lanewater.records.store.dialect import BUSY, BUSY_SECONDS, UNGUARDED, Dialect
from lanewater.records.store.forms import found_form, hold_to_known, take_steps
from lanewater.records.store.schema import GUARDS, REVISION
from lanewater.terms.errors import RefusedError

Connect = Callable[[Path], sqlite3.Connection]

# Name, what is set, what must be read back. A PRAGMA whose answer is not fetched can fail in
# silence and leave the file in rollback mode, where a power cut loses acknowledged entries.
PROMISES: tuple[tuple[str, str, str | int], ...] = (
    ("foreign_keys", "ON", 1),
    ("recursive_triggers", "ON", 1),
    ("trusted_schema", "OFF", 0),
    ("cell_size_check", "ON", 1),
    ("mmap_size", "0", 0),
    ("secure_delete", "ON", 1),
    ("journal_mode", "WAL", "wal"),
    ("synchronous", "FULL", 2),
)
LOST_DISK = {
    sqlite3.SQLITE_IOERR,
    sqlite3.SQLITE_FULL,
    sqlite3.SQLITE_READONLY,
    sqlite3.SQLITE_CANTOPEN,
}
DAMAGED = {sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB}


def plain_connect(path: Path) -> sqlite3.Connection:
    """Connect to a file that exists, without the driver's own idea of transactions."""
    return sqlite3.connect(
        path, timeout=BUSY_SECONDS, isolation_level=None, check_same_thread=False
    )


def open_file(path: Path, *, create: bool, connect: Connect = plain_connect) -> Connection:
    """Open the file, made first where asked; hold it to its promises, form and guards."""
    if create:
        make_file(path)
    raw = connect(path)
    try:
        set_promises(raw)
        hold_to_promises(raw)
    except BaseException:
        raw.close()
        raise
    connection = create_engine(
        "sqlite://", creator=lambda: raw, poolclass=StaticPool, isolation_level="AUTOCOMMIT"
    ).connect()
    try:
        bring_up_to_date(connection)
        hold_to_guards(connection)
    except BaseException:
        connection.close()
        connection.engine.dispose()
        raise
    return connection


def make_file(path: Path) -> None:
    """Make an empty file with mode 0600 and see that its name is on disk."""
    os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o600))
    folder = os.open(path.parent, os.O_RDONLY)
    try:
        os.fsync(folder)
    finally:
        os.close(folder)


def set_promises(raw: sqlite3.Connection) -> None:
    """Set each PRAGMA and fetch its answer."""
    for name, wanted, _ in PROMISES:
        raw.execute(f"PRAGMA {name} = {wanted}").fetchall()


def hold_to_promises(raw: sqlite3.Connection) -> None:
    """Read each PRAGMA back; refuse to write where one does not hold."""
    for name, _, promised in PROMISES:
        row = raw.execute(f"PRAGMA {name}").fetchone()
        if row is None or row[0] != promised:
            found = "nothing" if row is None else row[0]
            raise BrokenPromiseError(
                f"the store: {name} is {found}, not {promised}; nothing is recorded there. "
                "Use a local disk (no network folder) that this program may write to."
            )


def bring_up_to_date(connection: Connection) -> None:
    """Take an older store to the present form; refuse one that is newer than this program."""
    if found_form(connection) == REVISION:
        return
    begin(connection)
    try:
        # Another program may have done it while this one waited for its place.
        found = found_form(connection)
        hold_to_known(found)
        if found != REVISION:
            migrate(connection)
        commit(connection)
    except BaseException:
        roll_back(connection)
        raise


def migrate(connection: Connection) -> None:
    """Run the steps that are missing and make the guards again, in the caller's transaction."""
    take_steps(connection)
    for name, statement in GUARDS.items():
        connection.exec_driver_sql(f"DROP TRIGGER IF EXISTS {name}")
        connection.exec_driver_sql(statement)


def hold_to_guards(connection: Connection) -> None:
    """See that the triggers that keep the log append-only are there, word for word."""
    rows = connection.exec_driver_sql("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")
    if {str(row[0]): str(row[1]) for row in rows} != GUARDS:
        raise BrokenPromiseError(UNGUARDED)


def begin(connection: Connection) -> None:
    """Open a transaction that holds the writer's place from its first read."""
    connection.exec_driver_sql("BEGIN IMMEDIATE")


def commit(connection: Connection) -> None:
    """End the transaction."""
    connection.exec_driver_sql("COMMIT")


def roll_back(connection: Connection) -> None:
    """Undo what is open; a disk error may have done it already."""
    driver = connection.connection.driver_connection
    if driver is not None and driver.in_transaction:
        connection.exec_driver_sql("ROLLBACK")


def mark(connection: Connection) -> int:
    """Give the number that SQLite changes when another connection has written."""
    return int(connection.exec_driver_sql("PRAGMA data_version").scalar_one())


def mend(connection: Connection) -> None:
    """Do nothing: a file is not lost and found again."""


def raise_ours(error: BaseException, cause: BaseException) -> None:
    """Raise our error for a lost disk, a damaged file or a busy one."""
    code = getattr(error, "sqlite_errorcode", None)
    if code is None:
        return
    primary = code & 0xFF
    if primary in {sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED}:
        raise RefusedError(BUSY) from cause
    if primary in DAMAGED:
        raise BrokenPromiseError(
            f"the record's file is damaged or is no record ({error}); put a good copy back"
        ) from cause
    if primary in LOST_DISK:
        raise NotRecordingError(
            f"NOT RECORDING. The disk did not take the entry ({error}). Count it as not "
            "saved: write it on paper, look at the disk, then start Lanewater again."
        ) from cause


SQLITE = Dialect(begin, commit, roll_back, mark, mend, raise_ours)
