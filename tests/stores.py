"""An empty store of each kind: a test that asks for `place` runs on a file and on a server."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import psycopg
import pytest
from sqlalchemy import Connection
from tests.postgres import ACCOUNT, Server

from lanewater.records.store.connection import close_store, open_store, prepare_store
from lanewater.records.store.sqlite import plain_connect

KINDS = ("file", "server")


@dataclass(frozen=True)
class Place:
    """Where a store is, how it is made and opened, and the way round its guards."""

    where: Path | str
    server: Server | None = None
    schema: str = ""

    def make(self) -> Connection:
        """Make the store and open it."""
        if self.server is None:
            return open_store(self.where, create=True)
        prepare_store(str(self.where), self.server.url("lanewater_owner"))
        return self.open()

    def open(self) -> Connection:
        """Open the store that is there."""
        return open_store(self.where, create=False)

    def behind(self, *statements: str, role: str = ACCOUNT) -> list[Any]:
        """Run statements as somebody who is not the program; give what the last one found."""
        raw = self.raw(role)
        try:
            for statement in statements:
                found = raw.execute(statement)
            return list(found) if found.description else []
        finally:
            raw.close()

    def raw(self, role: str = ACCOUNT) -> Any:
        """Connect as somebody who is not the program."""
        if self.server is None:
            assert isinstance(self.where, Path)
            return plain_connect(self.where)
        return psycopg.connect(self.server.url(role, self.schema), autocommit=True)

    @property
    def refusals(self) -> tuple[type[Exception], ...]:
        """Give the driver's errors for what a guard refuses."""
        if self.server is None:
            return (sqlite3.IntegrityError, sqlite3.OperationalError)
        return (psycopg.errors.RaiseException,)


@pytest.fixture(params=KINDS)
def place(request: pytest.FixtureRequest, tmp_path: Path) -> Place:
    """Give a place for a store, with nothing there."""
    if request.param == "file":
        return Place(tmp_path / "record.db")
    return server_place(request.getfixturevalue("postgres"))


def server_place(server: Server) -> Place:
    """Give a schema's name that nobody has used."""
    schema = server.new_schema()
    return Place(server.url("lanewater", schema), server, schema)


@pytest.fixture
def made(place: Place) -> Iterator[Connection]:
    """Give a store that was just made."""
    connection = place.make()
    yield connection
    close_store(connection)
