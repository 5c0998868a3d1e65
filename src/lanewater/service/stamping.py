"""Stamps of a site's record: signed when asked for, and every quarter of an hour of writing."""

from __future__ import annotations

from contextlib import AbstractContextManager
from typing import Protocol

from sqlalchemy import Connection, bindparam, insert, select

from lanewater.records.stamps import Head, make_stamp, origin_of, read_stamp
from lanewater.records.store import log
from lanewater.records.store.growing import root_at
from lanewater.records.store.schema import stamp as table
from lanewater.service.clock import Clock, instant_text, known_instant
from lanewater.service.fold.draft import Draft
from lanewater.service.folded import Folded
from lanewater.service.keys import Own, log_key_named
from lanewater.terms.errors import MissingError

STAMP_EVERY_MS = 15 * 60_000

LATEST = (
    select(table).where(table.c.site == bindparam("site")).order_by(table.c.size.desc()).limit(1)
)
ADD = insert(table)


class Book(Protocol):
    """What stamping asks of a site's book."""

    site: str
    own: Own
    folded: Folded
    clock: Clock

    @property
    def draft(self) -> Draft:
        """Give what is folded."""

    def reading(self) -> AbstractContextManager[Connection]:
        """Hold the book still."""

    def writing(self) -> AbstractContextManager[Writing]:
        """Hold the writer's place."""


class Writing(Protocol):
    """What stamping asks of a transaction."""

    connection: Connection
    site: str
    size: int
    stamped: str

    @property
    def book(self) -> Book:
        """Give the book."""


def latest(connection: Connection, site: str) -> tuple[int, bytes, str, str] | None:
    """Give the newest stamp that was kept: (size, root, text, made_at)."""
    row = connection.execute(LATEST, {"site": site}).first()
    return None if row is None else (row.size, row.root, row.text, row.made_at)


def stamp(book: Book) -> str:
    """Give the signed stamp of the record as it is now.

    Raises
    ------
    MissingError
        Where the key that signs stamps is not the one on record.
    NotRecordingError
        Where nothing is recorded and the newest line has no stamp yet.
    """
    with book.reading() as connection:
        known = latest(connection, book.site)
        if known is not None and known[0] == log.size(connection, book.site):
            return known[2]
    with book.writing() as writing:
        return stamp_in(writing)


def stamp_in(writing: Writing) -> str:
    """Sign and keep the stamp of the record as it stands in a transaction."""
    book = writing.book
    known = latest(writing.connection, book.site)
    if known is not None and known[0] == writing.size:
        return known[2]
    head = Head(origin(writing), writing.size, root_at(writing.connection, book.site, writing.size))
    if not signs(book):
        raise MissingError(
            "the key that signs stamps is not the one on record: put keys/log.key back, or name "
            "the new one with `lanewater keys rotate --lost`"
        )
    text = make_stamp(head, book.own.log)
    keep_stamp(writing.connection, book.site, text, instant_text(book.clock()))
    writing.stamped = text
    return text


def keep_stamp(connection: Connection, site: str, text: str, made_at: str) -> None:
    """Keep a stamp beside the record, once."""
    head = read_stamp(text).head
    row = {"site": site, "size": head.size, "root": head.root, "text": text, "made_at": made_at}
    connection.execute(ADD, row)


def stamp_if_due(writing: Writing) -> None:
    """Stamp once a quarter of an hour of writing, or where the clock was set back."""
    age_ms = age_of(latest(writing.connection, writing.site), writing.book.clock())
    if (age_ms is None or age_ms >= STAMP_EVERY_MS) and signs(writing.book):
        stamp_in(writing)


def age_of(known: tuple[int, bytes, str, str] | None, now_ms: int) -> int | None:
    """Give how long ago a kept stamp was made; None where that cannot be told.

    No signature covers that time: damaged, or of a clock that was set back, it must not end the
    stamps.
    """
    try:
        age_ms = -1 if known is None else now_ms - known_instant(known[3])
    except (ValueError, TypeError):
        return None
    return age_ms if age_ms >= 0 else None


def signs(book: Book) -> bool:
    """Tell whether this machine holds the log's key that is on record."""
    if not book.draft.log_keys:
        return False
    named = book.draft.log_keys[-1].public_key
    book.own = log_key_named(book.own, named)
    return book.own.log.public_hex == named


def origin(writing: Writing) -> str:
    """Give the origin line of the record in a transaction."""
    book = writing.book
    return origin_of(writing.site, book.folded.first_line_hash(), book.draft.epoch)
