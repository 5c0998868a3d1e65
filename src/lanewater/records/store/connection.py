"""The door to the store: open it so that what it acknowledges is kept, and write to it alone."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy import Connection
from sqlalchemy.exc import DBAPIError, PendingRollbackError

from lanewater.records.errors import StoreAwayError
from lanewater.records.store.dialect import Dialect
from lanewater.records.store.sqlite import SQLITE, Connect, open_file, plain_connect
from lanewater.terms.errors import MissingError

__all__ = [
    "Connect",
    "close_store",
    "disk_errors",
    "is_there",
    "mark",
    "mend",
    "open_store",
    "plain_connect",
    "prepare_store",
    "writing",
]


def open_store(place: Path | str, *, create: bool, connect: Connect = plain_connect) -> Connection:
    """Open the store, a file or a schema of a PostgreSQL server.

    Parameters
    ----------
    place : Path or str
        The file, or the server's address with the schema.
    create : bool
        Make the file, readable by its owner alone, and its tables; it must not be there yet. A
        schema is prepared by its owner, never here.
    connect : callable
        Gives the driver's connection to a file; a test hands in one that fails.

    Raises
    ------
    BrokenPromiseError
        Where the store would not be durable or append-only.
    """
    with disk_errors():
        if isinstance(place, Path):
            return open_file(place, create=create, connect=connect)
        with driver_wanted():
            from lanewater.records.store.postgres import connected  # noqa: PLC0415 - a driver that may not be installed

        return connected(place)


def prepare_store(place: str, owner: str) -> dict[str, str]:
    """Make a server's schema ready as its owner: tables, guards, the rights of the program's role.

    Parameters
    ----------
    place : str
        The address as the program signs in.
    owner : str
        The address as the owner of the tables does.

    Returns
    -------
    dict
        {"schema", "role", "form"}.
    """
    with disk_errors():
        with driver_wanted():
            from lanewater.records.store.postgres_prepare import prepare  # noqa: PLC0415 - a driver that may not be installed

        made = prepare(place, owner)
    return {"schema": made.schema, "role": made.role, "form": made.form}


@contextmanager
def driver_wanted() -> Iterator[None]:
    """Say what brings the driver, which is there only where somebody wanted a server."""
    try:
        yield
    except ModuleNotFoundError as error:
        raise MissingError(
            f"{error.name} is missing, by which PostgreSQL is reached: "
            "`python -m pip install 'psycopg[binary]>=3.3,<4'` brings it"
        ) from None


def close_store(connection: Connection) -> None:
    """Close the store."""
    connection.close()
    connection.engine.dispose()


def is_there(place: Path | str) -> bool:
    """Tell whether a store's file is there and may be looked at; a server is asked when opened."""
    if isinstance(place, str):
        return True
    try:
        return place.is_file()
    except OSError:
        return False


def dialect_of(connection: Connection) -> Dialect:
    """Give what the kind of store does its own way."""
    return SQLITE if connection.dialect.name == "sqlite" else server_dialect()


def server_dialect() -> Dialect:
    """Give PostgreSQL's way; whoever has such a connection, or error, has the driver."""
    from lanewater.records.store.postgres import POSTGRESQL  # noqa: PLC0415 - a driver that may not be installed

    return POSTGRESQL


@contextmanager
def writing(connection: Connection) -> Iterator[None]:
    """Hold the single writer's place from the first read to the commit.

    Raises
    ------
    NotRecordingError
        Where the disk did not take it; nothing of the transaction is kept.
    StoreAwayError
        Where the server was lost: nothing is kept, or it is not known; the message says which.
    RefusedError
        Where another program kept the place for longer than BUSY_SECONDS.
    """
    dialect = dialect_of(connection)
    with disk_errors():
        dialect.mend(connection)
        try:
            dialect.begin(connection)
            yield
            dialect.commit(connection)
        except BaseException:
            dialect.roll_back(connection)
            raise


def mark(connection: Connection) -> int:
    """Give a number that changes whenever another program has appended."""
    return dialect_of(connection).mark(connection)


def mend(connection: Connection) -> None:
    """Bring a lost connection back, outside of every transaction.

    Raises
    ------
    StoreAwayError
        Where the server is still away.
    """
    with disk_errors():
        dialect_of(connection).mend(connection)


@contextmanager
def disk_errors() -> Iterator[None]:
    """Turn the driver's errors about disk, server and locks into ours."""
    try:
        yield
    except DBAPIError as error:
        if error.orig is not None:
            raise_ours(error.orig, error)
        raise
    except PendingRollbackError as error:
        raise StoreAwayError(
            "NOT RECORDING. The connection to the record was lost. Nothing was saved."
        ) from error
    except Exception as error:
        raise_ours(error, error)
        raise


def raise_ours(error: BaseException, cause: BaseException) -> None:
    """Raise our error for one of a driver's; do nothing for any other."""
    if isinstance(error, sqlite3.Error):
        SQLITE.raise_ours(error, cause)
    elif hasattr(error, "sqlstate"):
        server_dialect().raise_ours(error, cause)
