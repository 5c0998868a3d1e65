"""The server itself behind a history: the book in its file, killed at its commits, put back."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tests.sync.ledger import OPENER, POOLS, Killed, RolledBack

from lanewater.records.errors import NotRecordingError
from lanewater.records.receiving import Sealed
from lanewater.records.signing import ALGORITHM, DeviceKey, make_key
from lanewater.records.stamps import Head, origin_of
from lanewater.records.store import evidence, log
from lanewater.records.store.growing import root_at
from lanewater.service import replicas, sync
from lanewater.service.actor import SHELL
from lanewater.service.book import open_book
from lanewater.service.config import Config
from lanewater.service.grants import make_grant
from lanewater.service.restore import accept_restored
from lanewater.service.set_up import add, new_site
from lanewater.service.whole_record import answer_for_store

MORNING = 1_782_899_460_000


class Switch:
    """What kills the process: "before" or "after" the next commit, then for good."""

    def __init__(self) -> None:
        self.armed = ""
        self.dead = False

    def at(self, statement: str, run: Any) -> Any:
        """Run a statement unless the process is dead, or dies of it."""
        if self.dead:
            raise Killed
        if self.armed and statement == "COMMIT":
            armed, self.armed, self.dead = self.armed, "", True
            if armed == "after":
                run()
            raise Killed
        return run()


class MortalCursor(sqlite3.Cursor):
    """A cursor that may not come back."""

    def execute(self, statement: str, *more: Any) -> Any:
        """Run one statement."""
        switch = self.connection.switch  # type: ignore[attr-defined]  # the shelf's own connection has one
        return switch.at(statement, lambda: super(MortalCursor, self).execute(statement, *more))


class MortalConnection(sqlite3.Connection):
    """A connection whose commits may kill."""

    switch: Switch

    def cursor(self, *_factory: Any) -> Any:
        """Give a cursor of the same kind."""
        return super().cursor(MortalCursor)


@dataclass(frozen=True)
class Template:
    """A site as it was set up, with the keys of its devices."""

    folder: Path
    keys: tuple[DeviceKey, ...]
    grants: Mapping[str, Mapping[str, str]]


def make_template(folder: Path) -> Template:
    """Set a site up, with five devices that sign."""
    config = Config(folder)
    new_site(
        config,
        {"name": "Baths", "timezone": "America/Toronto", "rules": "none"},
        clock=lambda: MORNING,
    )
    book = open_book(config, "server", clock=lambda: MORNING)
    facts = {"kind": "pool", "location": "indoor", "disinfectant": "chlorine"}
    keys = tuple(make_key() for _ in range(5))
    with book.writing() as writing:
        for pool in POOLS:
            add(book, SHELL, "pool", {"pool": pool, "name": pool, "facts": facts})
        for number, key in enumerate(keys):
            body = {"device": key.device, "name": f"T{number}", "kind": "shared"}
            named = {"algorithm": ALGORITHM, "public_key": key.public_hex}
            writing.append("device-enrolled", body | named, SHELL)
    person = {"person": OPENER, "name": "O", "initials": "OO", "roles": ["duty-manager"]}
    add(book, SHELL, "person", person | {"pin": "283746"})
    grants = {}
    with book.writing() as writing:
        for key in keys[:1] + keys[2:]:
            grant = make_grant(writing, key.device, OPENER)
            assert grant is not None
            grants[key.device] = grant
    book.close()
    return Template(folder, keys, grants)


class Shelf:
    """The server with its folder, which it may lose and get back."""

    def __init__(self, template: Template, folder: Path) -> None:
        shutil.copytree(template.folder, folder)
        self.config = Config(folder)
        self.now_ms = MORNING
        self.kill = ""
        self.made = 0
        self.switch = Switch()
        self.grants = template.grants
        self.granted = set(template.grants)
        self.open()
        self.site = self.book.site
        self.log_key = self.book.own.log.public_hex

    def open(self) -> None:
        """Start the process."""
        self.switch = Switch()
        self.book = open_book(
            self.config, "server", clock=lambda: self.now_ms, connect=self.connect
        )

    def connect(self, path: Path) -> sqlite3.Connection:
        """Connect so that the process can be killed at a commit."""
        raw = sqlite3.connect(
            path, isolation_level=None, check_same_thread=False, factory=MortalConnection
        )
        raw.switch = self.switch
        return raw

    def close(self) -> None:
        """End the process."""
        self.switch.dead = False
        self.switch.armed = ""
        self.book.close()

    def restart(self) -> None:
        """Start again after a kill, if there was one."""
        if self.switch.dead:
            self.close()
            self.open()

    @property
    def trouble(self) -> str:
        """Give why nothing is recorded."""
        return self.book.trouble

    def new_id(self) -> str:
        """Make an id that no other run makes otherwise."""
        self.made += 1
        return f"01a212e6-893f-7a4b-a9c7-{self.made:012x}"

    def push(self, device: str, batch: Sequence[tuple[str, str]], held: str) -> dict[str, Any]:
        """Take what a device sends."""
        self.switch.armed, self.kill = self.kill, ""
        grants = [self.grants[device]] if device in self.grants else []
        try:
            return sync.receive(self.book, device, [Sealed(*one) for one in batch], held, grants)
        except NotRecordingError as error:
            if "ROLLED BACK" not in str(error) and "CHANGED" not in str(error):
                raise
            raise RolledBack from None
        finally:
            self.switch.armed = ""

    def lines(self, device: str, start: int) -> dict[str, Any]:
        """Give the lines from an index on."""
        if self.trouble:
            raise RolledBack
        return replicas.lines_from(self.book, start, 500, device=device)

    def say(self, kind: str, body: Mapping[str, Any]) -> str:
        """Put an entry of the server's own on record."""
        with self.book.writing() as writing:
            return writing.append(kind, body, SHELL).id

    def revoke(self, device: str) -> None:
        """Revoke a device."""
        self.say("device-revoked", {"device": device})

    def backup(self) -> Any:
        """Copy the file, and the stamp beside it."""
        raw: Any = self.book.connection.connection.driver_connection
        return raw.serialize(), self.config.seen.read_text(encoding="utf-8")

    def restore(self, copy: Any, *, whole: bool) -> None:
        """Put a copy back; whole: with the stamp that lay beside it, so that nothing is noticed."""
        self.close()
        for ending in ("-wal", "-shm"):
            self.config.store.with_name(self.config.store.name + ending).unlink(missing_ok=True)
        self.config.store.write_bytes(copy[0])
        if whole:
            self.config.seen.write_text(copy[1], encoding="utf-8")
        self.open()

    def accept(self) -> None:
        """Go on from the older copy, owning up to what was seen."""
        accept_restored(self.book, SHELL, "A drill")

    def evidence(self) -> set[tuple[str, str, bytes]]:
        """Give what was refused and kept."""
        return {(dev, why, raw) for _, dev, why, raw, _ in evidence.rows(self.book.connection)}

    def on_record(self) -> list[Mapping[str, Any]]:
        """Give every line."""
        found: list[Mapping[str, Any]] = []
        for row in log.rows_from(self.book.connection, self.site, 0):
            line = {"index": row.log_index, "received_at": row.received_at}
            found.append(line | {"entry": row.raw.decode(), "sig": row.sig.hex()})
        return found

    def head(self) -> Head:
        """Give the head of the log."""
        connection = self.book.connection
        size = log.size(connection, self.site)
        first = log.row_at(connection, self.site, 0)
        assert first is not None
        origin = origin_of(self.site, first.hash, self.book.state.epoch)
        return Head(origin, size, root_at(connection, self.site, size))

    def decided(self) -> Any:
        """Give how the server holds the pools, and hold its whole record to the verifier."""
        notes = [self.config.seen.read_text(encoding="utf-8")]
        answer = answer_for_store(self.book.connection, self.site, notes)
        assert answer.complete, answer.findings
        state = self.book.state
        return {
            pool: (told.status, len(state.disputes.get(pool, ())), told.entry)
            for pool, told in sorted(state.openings.items())
        }
