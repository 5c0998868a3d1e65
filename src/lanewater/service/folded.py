"""What is folded of a record so far, and how it catches up with what was written since."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy import Connection

from lanewater.records.entries import digest, read
from lanewater.records.errors import BrokenPromiseError
from lanewater.records.signing import DeviceKey
from lanewater.records.store import log
from lanewater.records.store.connection import mark
from lanewater.service.fold import standing, take
from lanewater.service.fold.draft import Draft
from lanewater.service.resting import REST_EVERY, rest, resume

UNKNOWN = -1


@contextmanager
def without_collecting() -> Iterator[None]:
    """Hold back the garbage collector: it would go over the growing record again and again."""
    collecting = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if collecting:
            gc.enable()


class Folded:
    """The state of a site while its record grows, and the last entry of each device."""

    def __init__(self, connection: Connection, site: str) -> None:
        self.connection = connection
        self.site = site
        self.forget()

    def forget(self) -> None:
        """Drop what was folded; it is read again from the store."""
        self.draft = Draft()
        self.heads: dict[str, str] = {}
        self.first_hash = ""
        self.rested = 0
        self.version = UNKNOWN

    def catch_up(self) -> bool:
        """Fold the entries that came since; give whether anything may have.

        Raises
        ------
        BrokenPromiseError
            Where an entry does not follow its device's previous one.
        """
        version = mark(self.connection)
        if version == self.version:
            return False
        with without_collecting():
            if self.draft.index < 0:
                self.resume()
            for row in log.rows_from(self.connection, self.site, self.draft.index + 1):
                self.fold(row)
        self.version = version
        return True

    def resume(self) -> None:
        """Go on from the newest resting point, where there is one that can be taken."""
        found = resume(self.connection, self.site)
        if found is not None:
            self.draft, self.heads = found
            self.rested = self.draft.index + 1

    def rest(self, size: int, fresh: dict[str, str], key: DeviceKey) -> None:
        """Keep the state in the store once so many entries came since it was kept."""
        if size - self.rested >= REST_EVERY:
            rest(self.connection, self.site, self.draft, self.heads | fresh, key)
            self.rested = size

    def fold(self, row: log.Row) -> None:
        """Fold one entry, holding it to its device's chain."""
        entry = read(row.raw)
        if entry.dprev != self.heads.get(entry.dev, "") or row.hash != digest(row.raw):
            raise BrokenPromiseError(
                f"the record: entry {row.log_index} does not follow its device's previous one; "
                "the record was changed outside Lanewater"
            )
        self.heads[entry.dev] = row.hash
        take(self.draft, row.log_index, standing(entry, row.received_at))

    def first_line_hash(self) -> str:
        """Give the hash of the record's first entry, by which it is known."""
        if not self.first_hash:
            first = log.row_at(self.connection, self.site, 0)
            if first is None:
                raise ValueError("an empty record has no first entry")
            self.first_hash = first.hash
        return self.first_hash
