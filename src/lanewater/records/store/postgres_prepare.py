"""Make a PostgreSQL store as its owner, and give the program's role what it needs, no more."""

from __future__ import annotations

from contextlib import closing
from dataclasses import dataclass

from psycopg.errors import InsufficientPrivilege
from sqlalchemy import Connection

from lanewater.records.store.forms import found_form, hold_to_known, take_steps
from lanewater.records.store.postgres import (
    Raw,
    begin,
    commit,
    connected,
    driver_of,
    engine_over,
    first_line,
    raw_connection,
    roll_back,
)
from lanewater.records.store.postgres_checks import (
    SETTINGS,
    guard_statements,
    hold_to_promises,
    wanted_schema,
)
from lanewater.records.store.schema import GROWN, REVISION, metadata
from lanewater.terms.errors import RefusedError


@dataclass(frozen=True, slots=True)
class Prepared:
    """A store that is ready: its schema, the role that the program signs in as, its form."""

    schema: str
    role: str
    form: str


def prepare(address: str, owner: str) -> Prepared:
    """Make the schema and its tables or bring them to the present form, and give the rights.

    Parameters
    ----------
    address : str
        As the program will sign in: its role, the database, the schema.
    owner : str
        The same database as the role that owns the record's tables, and that nobody else uses.

    Raises
    ------
    RefusedError
        Where both are the same role, or the owner may not make what is needed.
    BrokenPromiseError
        Where the server is not durable, or the program's role could change the record.
    """
    with closing(raw_connection(address)) as raw:
        schema, role = wanted_schema(raw), quoted_role(raw)
    connection = engine_over(lambda: owner_connection(owner, schema, role)).connect()
    try:
        make(connection, schema, role)
    except InsufficientPrivilege as error:
        raise RefusedError(f"the owner may not do what is needed: {first_line(error)}") from error
    finally:
        connection.close()
    connected(address).close()
    return Prepared(schema, role, REVISION)


def quoted_role(raw: Raw) -> str:
    """Give the role that a connection has, quoted where it must be."""
    row = raw.execute("SELECT quote_ident(current_user)").fetchone()
    return str(row[0]) if row else ""


def owner_connection(owner: str, schema: str, role: str) -> Raw:
    """Connect as the owner, with the schema made and looked into first."""
    raw = raw_connection(owner)
    try:
        hold_to_promises(raw.execute(SETTINGS))
        if quoted_role(raw) == role:
            raise RefusedError(
                f"owner: {role} is the program's own role; the tables must belong to another"
            )
        raw.execute(f"CREATE SCHEMA IF NOT EXISTS {schema}")
        raw.execute(f"SET search_path = {schema}")
    except InsufficientPrivilege as error:
        raw.close()
        raise RefusedError(f"the owner may not do what is needed: {first_line(error)}") from error
    except BaseException:
        raw.close()
        raise
    return raw


def make(connection: Connection, schema: str, role: str) -> None:
    """Bring the tables to the present form in one transaction; no writer writes meanwhile."""
    try:
        begin(connection)
        found = found_form(connection)
        hold_to_known(found)
        if found != REVISION:
            take_steps(connection)
        driver = driver_of(connection)
        for statement in (*guard_statements(schema), *right_statements(schema, role)):
            driver.execute(statement)
        commit(connection)
    except BaseException:
        roll_back(connection)
        raise


def right_statements(schema: str, role: str) -> list[str]:
    """Write the statements that give the program's role its rights, and nobody any other."""
    changing = sorted(set(metadata.tables) - set(GROWN))
    return [
        f"REVOKE ALL ON SCHEMA {schema} FROM PUBLIC, {role}",
        f"REVOKE ALL ON ALL TABLES IN SCHEMA {schema} FROM PUBLIC, {role}",
        f"GRANT USAGE ON SCHEMA {schema} TO {role}",
        f"GRANT SELECT ON alembic_version TO {role}",
        f"GRANT SELECT, INSERT ON {', '.join(GROWN)} TO {role}",
        f"GRANT SELECT, INSERT, UPDATE, DELETE ON {', '.join(changing)} TO {role}",
    ]
