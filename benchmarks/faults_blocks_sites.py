"""The two kinds of store that faults_blocks.py cuts the power of, and what writes in them."""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent))

from tests.baths import set_up
from tests.faults.checking import goes_on, hold_record, hold_saved
from tests.faults.workflows import READINGS, busy_connect, clock
from tests.postgres import Server, account

from lanewater.records.store import postgres, postgres_checks, sqlite
from lanewater.records.store.connection import prepare_store
from lanewater.service.actor import ANYBODY, SHELL
from lanewater.service.book import Book, open_book
from lanewater.service.config import Config
from lanewater.service.rounds import judge_missing, record_round
from lanewater.service.set_up import add, new_site

MEBI = 1 << 20
SCHEMA = "site_1"
RUNNING: dict[Path, Server] = {}


@dataclass(frozen=True, slots=True)
class Kind:
    """How a kind of store is made on a disk, written to, ended there, and held to what was said."""

    name: str
    size: int
    make: Callable[[Path], None]
    end: Callable[[Path], None]
    book: Callable[[Path, bool], Book]
    hold: Callable[[Path, list[str]], None]


def make_file(mounted: Path) -> None:
    """Set a site up in a file."""
    set_up(mounted / "data")


def file_book(mounted: Path, plant: bool) -> Book:
    """Open the book of a file."""
    if plant:
        sqlite.PROMISES = tuple(
            (name, "NORMAL", 1) if name == "synchronous" else (name, wanted, promised)
            for name, wanted, promised in sqlite.PROMISES
        )
    return open_book(Config(mounted / "data"), clock=clock, connect=busy_connect)


def hold_file(mounted: Path, said: list[str]) -> None:
    """Hold a file to what was said."""
    goes_on(mounted / "data", said)


def server_config(mounted: Path, server: Server) -> Config:
    """Give the settings of a site in PostgreSQL."""
    return Config(mounted / "data", server=server.url("lanewater", SCHEMA))


def make_server(mounted: Path) -> None:
    """Set a site up in PostgreSQL, its server's data on the disk too."""
    mounted.chmod(0o755)
    folder = mounted / "pg"
    folder.mkdir()
    known = account()
    if known:
        os.chown(folder, known["user"], known["group"])
    RUNNING[mounted] = server = Server(folder)
    server.make()
    config = server_config(mounted, server)
    prepare_store(config.server, server.url("lanewater_owner"))
    command = {"name": "Harbour Baths", "timezone": "America/Toronto", "rules": "ca-qc"}
    new_site(config, command, clock=clock)
    book = open_book(config, clock=clock)
    facts = {"kind": "plunge", "location": "indoor", "disinfectant": "chlorine"}
    add(book, SHELL, "pool", {"pool": "plunge", "name": "Plunge", "facts": facts})
    book.close()
    server.tell("CHECKPOINT")


def end_server(mounted: Path) -> None:
    """End the server as a crash does."""
    server = RUNNING.pop(mounted)
    server.stop("immediate")
    server.let_go()


def server_book(mounted: Path, plant: bool) -> Book:
    """Open the book of a server."""
    if plant:
        postgres.SESSION["synchronous_commit"] = "off"
        postgres_checks.PROMISES = tuple(
            (name, "off" if name == "synchronous_commit" else promised, how)
            for name, promised, how in postgres_checks.PROMISES
        )
    return open_book(server_config(mounted, Server(mounted / "pg")), clock=clock)


def hold_server(mounted: Path, said: list[str]) -> None:
    """Start the server on what is left, unaided, and hold the record to what was said."""
    server = Server(mounted / "pg")
    # What the killed server's process left; its number may be another's by now.
    (server.data / "postmaster.pid").unlink(missing_ok=True)
    server.start()
    try:
        book = open_book(server_config(mounted, server), clock=clock)
        try:
            hold_saved(book, said)
            judge_missing(book)
            made = record_round(book, ANYBODY, {"pool": "plunge", "readings": READINGS})
            if not made["judged"]:
                raise RuntimeError(f"saved, not judged: {made}")
            hold_record(book)
        finally:
            book.close()
        check_pages(server)
    finally:
        server.stop("fast")
        server.let_go()


def check_pages(server: Server) -> None:
    """Hold every table to its indexes and page checksums, by the server's own program."""
    server.run("pg_amcheck", "--install-missing", "-U", "postgres", "-h", str(server.folder),
               "--heapallindexed", "-d", "lanewater")  # fmt: skip


KINDS = {
    "sqlite": Kind("sqlite", 48 * MEBI, make_file, lambda _: None, file_book, hold_file),
    "postgresql": Kind("postgresql", 192 * MEBI, make_server, end_server, server_book, hold_server),
}


def write(kind: Kind, mounted: Path, rounds: int, *, plant: bool) -> None:
    """Record rounds and say when each is saved; end as a crash does."""
    book = kind.book(mounted, plant)
    for number in range(rounds):
        made = record_round(book, ANYBODY, {"pool": "plunge", "readings": READINGS})
        print(time.monotonic_ns(), made["round"], flush=True)
        if number == rounds // 2 and kind.name == "postgresql":
            Server(mounted / "pg").tell("CHECKPOINT")
    os._exit(0)


if __name__ == "__main__":
    write(KINDS[sys.argv[1]], Path(sys.argv[2]), int(sys.argv[3]), plant=sys.argv[4:] == ["plant"])
