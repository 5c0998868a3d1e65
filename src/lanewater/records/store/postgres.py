"""PostgreSQL as the store: one schema a site, and a role that adds to the record, never changes it.

Nothing written is ever sent twice: where the server was lost while it took a transaction, nobody
knows whether it did, and whoever asked is told so and looks.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import psycopg
from psycopg.conninfo import conninfo_to_dict, make_conninfo
from psycopg.pq import TransactionStatus
from sqlalchemy import Connection, Engine, create_engine
from sqlalchemy.pool import NullPool

from lanewater.records.errors import BrokenPromiseError, NotRecordingError, StoreAwayError
from lanewater.records.store.dialect import BUSY, BUSY_SECONDS, Dialect
from lanewater.records.store.forms import hold_to_known
from lanewater.records.store.postgres_checks import (
    SETTINGS,
    hold_to_guards,
    hold_to_promises,
    hold_to_role,
    hold_to_tables,
    schema_of,
)
from lanewater.records.store.schema import REVISION
from lanewater.terms.errors import InputError, MissingError, RefusedError

Raw = psycopg.Connection[tuple[Any, ...]]

# A writer that dies holds the writer's place until the server notices; so does a lost server its
# program. What the address itself says of these counts before them.
PATIENCE: dict[str, Any] = {
    "connect_timeout": 10,
    "keepalives_idle": 20,
    "keepalives_interval": 5,
    "keepalives_count": 3,
    "tcp_user_timeout": 60_000,
    "application_name": "lanewater",
}
SESSION = {
    "client_encoding": "UTF8",
    "synchronous_commit": "on",
    "tcp_keepalives_idle": "20",
    "tcp_keepalives_interval": "5",
    "tcp_keepalives_count": "3",
    "idle_in_transaction_session_timeout": "10min",
    "statement_timeout": "0",
}
# Read committed: what is read after the place was taken is what its last holder left behind.
BEGIN = (
    "BEGIN ISOLATION LEVEL READ COMMITTED; "
    "SELECT pg_advisory_xact_lock(hashtextextended('lanewater ' || current_schema(), 0))"
)
BUSY_STATES = {"55P03", "57014", "40001", "40P01"}
DAMAGED_STATES = {"XX001", "XX002"}
AWAY_CLASSES = ("08", "57P0", "53300")
LOST_CLASSES = ("53", "58", "25006")
AWAY = (
    "NOT RECORDING. The record's server does not answer ({said}). Nothing was saved; it goes on "
    "once the server is back."
)
UNKNOWN = (
    "NOT CONFIRMED. The record's server was lost while it was saving ({said}). Whether it is saved "
    "is not known: look in the record. Sending the same again is harmless."
)


def connected(address: str) -> Connection:
    """Open the site's schema as the program's own role, and hold all of it to its promises.

    Raises
    ------
    BrokenPromiseError
        Where the server is not durable, the record not guarded, or the role may change it.
    MissingError
        Where no store was prepared there.
    StoreAwayError
        Where the server does not answer.
    """
    return engine_over(lambda: held_connection(address)).connect()


def engine_over(creator: Callable[[], Raw]) -> Engine:
    """Give the engine over a maker of connections, which is asked again after one was lost."""
    return create_engine(
        "postgresql+psycopg://",
        creator=creator,
        poolclass=NullPool,
        isolation_level="AUTOCOMMIT",
        use_native_hstore=False,
    )


def raw_connection(address: str) -> Raw:
    """Connect; how long the server may be waited for is set."""
    try:
        known = conninfo_to_dict(address)
    except psycopg.ProgrammingError as error:
        raise InputError("store", f"is no address of a database: {first_line(error)}") from None
    raw = psycopg.connect(make_conninfo(**(PATIENCE | known)), autocommit=True)
    session = SESSION | {"lock_timeout": f"{int(BUSY_SECONDS * 1000)}ms"}
    for name, value in session.items():
        raw.execute("SELECT set_config(%s, %s, false)", (name, value))
    return raw


def held_connection(address: str) -> Raw:
    """Connect as the program's role and hold server, schema and role to their promises."""
    raw = raw_connection(address)
    try:
        hold_to_promises(raw.execute(SETTINGS))
        hold_to_form(raw)
        hold_to_role(raw)
        hold_to_guards(raw)
        hold_to_tables(raw)
    except BaseException:
        raw.close()
        raise
    return raw


def hold_to_form(raw: Raw) -> None:
    """Refuse a schema without a record, or one of another form: the role may not change it."""
    schema = schema_of(raw)
    if raw.execute("SELECT to_regclass('alembic_version')").fetchone() == (None,):
        raise MissingError(
            f"the schema {schema} holds no record: prepare it with `lanewater store prepare`"
        )
    row = raw.execute("SELECT max(version_num) FROM alembic_version").fetchone()
    found = str(row[0] or "") if row else ""
    hold_to_known(found)
    if found != REVISION:
        raise RefusedError(
            f"the store has form {found}; this program wants {REVISION}: "
            "bring it there with `lanewater store prepare`"
        )


def driver_of(connection: Connection) -> Raw:
    """Give the driver's connection."""
    driver: Raw | None = connection.connection.driver_connection
    if driver is None:
        raise StoreAwayError(AWAY.format(said="no connection"))
    return driver


def begin(connection: Connection) -> None:
    """Open a transaction, take the site's single writer's place, hold the server again."""
    driver = driver_of(connection)
    driver.execute(BEGIN)
    hold_to_promises(driver.execute(SETTINGS))


def commit(connection: Connection) -> None:
    """End the transaction.

    Raises
    ------
    NotRecordingError
        Where the server undid it instead, because something in it had failed.
    StoreAwayError
        Where the server was lost meanwhile: nobody knows whether it is saved.
    """
    driver = driver_of(connection)
    if driver.info.transaction_status != TransactionStatus.INTRANS:
        raise NotRecordingError("NOT RECORDING. The transaction had failed; nothing was saved.")
    try:
        ended = driver.execute("COMMIT").statusmessage
    except psycopg.Error as error:
        if is_away(error):
            raise StoreAwayError(UNKNOWN.format(said=first_line(error))) from error
        raise
    if ended != "COMMIT":
        raise NotRecordingError(f"NOT RECORDING. The server answered {ended}; nothing was saved.")


def roll_back(connection: Connection) -> None:
    """Undo what is open; a connection on which that fails is thrown away, which undoes it too."""
    if connection.invalidated:
        return
    driver = driver_of(connection)
    try:
        if not driver.closed and driver.info.transaction_status != TransactionStatus.IDLE:
            driver.execute("ROLLBACK")
    except psycopg.Error:
        driver.close()
    if driver.closed:
        connection.invalidate()


def mark(connection: Connection) -> int:
    """Give how many entries the schema holds: they are only ever added to."""
    return int(connection.exec_driver_sql("SELECT coalesce(max(seq), 0) FROM entry").scalar_one())


def mend(connection: Connection) -> None:
    """Connect again where the connection was lost; the new one is held to everything anew."""
    if connection.invalidated:
        connection.rollback()
        driver_of(connection)


def raise_ours(error: BaseException, cause: BaseException) -> None:
    """Raise our error for a lost server, a full or failing disk, a busy place, a missing right."""
    if not isinstance(error, psycopg.Error):
        return
    state, said = error.sqlstate or "", first_line(error)
    if is_away(error):
        raise StoreAwayError(AWAY.format(said=said)) from cause
    if state in BUSY_STATES:
        raise RefusedError(BUSY) from cause
    if state in DAMAGED_STATES:
        raise BrokenPromiseError(
            f"the record's tables are damaged ({said}); put a good copy back"
        ) from cause
    if state.startswith(LOST_CLASSES):
        raise NotRecordingError(
            f"NOT RECORDING. The server did not take the entry ({said}). Count it as not "
            "saved: write it on paper, look at the server's disk, then start Lanewater again."
        ) from cause
    if state == "42501":
        raise BrokenPromiseError(
            f"the store: {said}; `lanewater store prepare` gives the role what it needs"
        ) from cause


def is_away(error: psycopg.Error) -> bool:
    """Tell whether an error means that the server, or the way to it, was lost."""
    if error.sqlstate is None:
        return isinstance(error, psycopg.OperationalError | psycopg.InterfaceError)
    return error.sqlstate.startswith(AWAY_CLASSES)


def first_line(error: BaseException) -> str:
    """Give the first line of what the driver says."""
    return next(iter(str(error).splitlines()), type(error).__name__)


POSTGRESQL = Dialect(begin, commit, roll_back, mark, mend, raise_ours)
