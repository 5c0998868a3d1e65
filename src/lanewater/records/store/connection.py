"""Open the store so that what it acknowledges is on disk, and prove it before the first write."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy import Connection, create_engine
from sqlalchemy.exc import DBAPIError
from sqlalchemy.pool import StaticPool

from lanewater.records.errors import BrokenPromiseError, NotRecordingError
from lanewater.records.store.schema import GUARDS, REVISION
from lanewater.terms.errors import RefusedError

Connect = Callable[[Path], sqlite3.Connection]

BUSY_SECONDS = 10.0

# Name, what is set, what must be read back. A PRAGMA whose answer is not fetched can fail in
# silence and leave the file in rollback mode, where a power cut loses acknowledged entries.
PROMISES: tuple[tuple[str, str, str | int], ...] = (
    ("foreign_keys", "ON", 1),
    ("recursive_triggers", "ON", 1),
    ("trusted_schema", "OFF", 0),
    ("cell_size_check", "ON", 1),
    ("mmap_size", "0", 0),
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


def open_store(path: Path, *, create: bool, connect: Connect = plain_connect) -> Connection:
    """Open the store's file; with create, make it first, readable by its owner alone.

    Parameters
    ----------
    path : Path
        The file.
    create : bool
        Make the file and its tables; it must not be there yet.
    connect : callable
        Gives the driver's connection; a test hands in one that fails.

    Raises
    ------
    BrokenPromiseError
        Where the store would not be durable or append-only.
    """
    if create:
        make_file(path)
    with disk_errors():
        raw = connect(path)
        try:
            set_promises(raw)
            hold_to_promises(raw)
        except BaseException:
            raw.close()
            raise
    engine = create_engine(
        "sqlite://", creator=lambda: raw, poolclass=StaticPool, isolation_level="AUTOCOMMIT"
    )
    connection = engine.connect()
    try:
        with disk_errors():
            bring_up_to_date(connection)
            hold_to_guards(connection)
    except BaseException:
        close_store(connection)
        raise
    return connection


def close_store(connection: Connection) -> None:
    """Close the store and its file."""
    connection.close()
    connection.engine.dispose()


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
    if found_revision(connection) == REVISION:
        return
    with writing(connection):
        found = found_revision(connection)
        if found == REVISION:
            return
        if found > REVISION:
            raise RefusedError(
                f"the store has form {found}; this program knows {REVISION}: use the newer program"
            )
        migrate(connection)


def found_revision(connection: Connection) -> str:
    """Give the store's form, "" for an empty file."""
    known = connection.exec_driver_sql(
        "SELECT count(*) FROM sqlite_master WHERE name = 'alembic_version'"
    ).scalar_one()
    if not known:
        return ""
    return str(
        connection.exec_driver_sql(
            "SELECT coalesce(max(version_num), '') FROM alembic_version"
        ).scalar_one()
    )


def migrate(connection: Connection) -> None:
    """Run the steps that are missing, then make the guards again."""
    # Alembic takes a third of a second to load and is needed once in a store's life.
    from alembic import command  # noqa: PLC0415
    from alembic.config import Config  # noqa: PLC0415

    configuration = Config()
    configuration.set_main_option(
        "script_location", str(Path(__file__).parent / "migrations").replace("%", "%%")
    )
    configuration.set_main_option("path_separator", "os")
    configuration.attributes["connection"] = connection
    command.upgrade(configuration, "head")
    for name, statement in GUARDS.items():
        connection.exec_driver_sql(f"DROP TRIGGER IF EXISTS {name}")
        connection.exec_driver_sql(statement)


def hold_to_guards(connection: Connection) -> None:
    """See that the triggers that keep the log append-only are there, word for word."""
    rows = connection.exec_driver_sql("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")
    if {str(row[0]): str(row[1]) for row in rows} != GUARDS:
        raise BrokenPromiseError(
            "the store: the triggers that keep the record append-only are not as they must be"
        )


@contextmanager
def writing(connection: Connection) -> Iterator[None]:
    """Hold the single writer's place from the first read to the commit.

    Raises
    ------
    NotRecordingError
        Where the disk did not take it; nothing of the transaction is kept.
    RefusedError
        Where another program kept the place for longer than BUSY_SECONDS.
    """
    with disk_errors():
        connection.exec_driver_sql("BEGIN IMMEDIATE")
        try:
            yield
            connection.exec_driver_sql("COMMIT")
        except BaseException:
            roll_back(connection)
            raise


def roll_back(connection: Connection) -> None:
    """Undo what is open; a disk error may have done it already."""
    driver = connection.connection.driver_connection
    if driver is not None and driver.in_transaction:
        connection.exec_driver_sql("ROLLBACK")


@contextmanager
def disk_errors() -> Iterator[None]:
    """Turn the driver's errors about disk and locks into ours."""
    try:
        yield
    except DBAPIError as error:
        raise_ours(error.orig, error)
        raise
    except sqlite3.Error as error:
        raise_ours(error, error)
        raise


def raise_ours(error: BaseException | None, cause: BaseException) -> None:
    """Raise our error for a lost disk or a busy store; do nothing for any other."""
    code = getattr(error, "sqlite_errorcode", None)
    if code is None:
        return
    primary = code & 0xFF
    if primary in {sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED}:
        raise RefusedError(
            "the record is being written by another program; nothing was saved, try again"
        ) from cause
    if primary in DAMAGED:
        raise BrokenPromiseError(
            f"the record's file is damaged or is no record ({error}); put a good copy back"
        ) from cause
    if primary in LOST_DISK:
        raise NotRecordingError(
            f"NOT RECORDING. The disk did not take the entry ({error}). It is not saved. "
            "Write it on paper, look at the disk, then start Lanewater again."
        ) from cause
