"""The invented site with its record on a server: whole test modules of the file run on it again."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.baths import Baths, set_up
from tests.postgres import Server

from lanewater.records.store.connection import prepare_store

SCHEMA = "baths"
TEMPLATE = "baths_template"


@pytest.fixture(scope="session")
def server_template(postgres: Server, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Make the site once: its record in a database of its own, its keys in a folder."""
    postgres.tell(f"CREATE DATABASE {TEMPLATE} OWNER lanewater_owner", database="postgres")
    folder = tmp_path_factory.mktemp("baths-on-server") / "data"
    address = postgres.url("lanewater", SCHEMA, TEMPLATE)
    prepare_store(address, postgres.url("lanewater_owner", database=TEMPLATE))
    set_up(folder, address)
    return folder


@pytest.fixture
def baths(postgres: Server, server_template: Path, tmp_path: Path) -> Iterator[Baths]:
    """Give a copy of the site that the test may do anything to."""
    folder = tmp_path / "data"
    shutil.copytree(server_template, folder)
    database = postgres.copy(TEMPLATE)
    made = Baths(folder, server=postgres.url("lanewater", SCHEMA, database))
    yield made
    made.book.close()
    postgres.drop(database)
