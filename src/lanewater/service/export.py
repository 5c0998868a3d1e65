"""Export the record as a bundle: files that anybody can read and hold to their stamps."""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any, BinaryIO

from sqlalchemy import Connection, select

from lanewater.records.bundle import (
    EVENTS,
    KEYS,
    MANIFEST,
    STAMPS,
    Line,
    events_line,
    keys_text,
    manifest_of,
    stamps_text,
)
from lanewater.records.store import log
from lanewater.records.store.growing import root_at
from lanewater.records.store.schema import stamp as stamp_table
from lanewater.records.verify_lines import remember
from lanewater.records.verify_state import Walk
from lanewater.records.verifying import keys_of
from lanewater.service.actor import Actor
from lanewater.service.book import Book
from lanewater.service.directory import contacts, names
from lanewater.service.flushed import flush, flush_stream, write_new
from lanewater.service.stamping import stamp_in
from lanewater.terms.errors import MissingError, RefusedError

NAMES = "names.json"
OF_KEYS = ("device-enrolled", "device-revoked", "log-key-named", "record-restored")


def export_bundle(
    book: Book, actor: Actor, folder: Path, *, with_names: bool = False
) -> dict[str, Any]:
    """Write the whole record as a bundle; that it was exported is itself on record.

    Parameters
    ----------
    book : Book
        The site's book.
    actor : Actor
        Who exports.
    folder : Path
        Made; it must not be there yet.
    with_names : bool
        Put names, initials and telephone numbers in beside the record.

    Returns
    -------
    dict
        {"bundle", "lines", "root", "stamps"}.

    Raises
    ------
    RefusedError
        Where the folder is there already.
    MissingError
        Where it cannot be written.
    """
    if folder.exists():
        raise RefusedError(f"{folder} is there already; name a folder that is not")
    with book.writing() as writing:
        here = {
            "size": writing.size,
            "root": root_at(writing.connection, book.site, writing.size).hex(),
        }
        writing.append("record-exported", here, actor)
        stamp_in(writing)
        size = writing.size
    with book.reading() as connection:
        files = small_files(book, connection, size)
        if with_names:
            files[NAMES] = names_text(book)
        rows = (row for row in log.rows_from(connection, book.site, 0) if row.log_index < size)
        written(folder, rows, files)
        root = root_at(connection, book.site, size).hex()
    return {
        "bundle": str(folder),
        "lines": size,
        "root": root,
        "stamps": files[STAMPS].count(b"\n\n"),
    }


def small_files(book: Book, connection: Connection, size: int) -> dict[str, bytes]:
    """Give the files beside the lines: stamps and keys."""
    kept = connection.execute(
        select(stamp_table.c.text)
        .where(stamp_table.c.site == book.site, stamp_table.c.size <= size)
        .order_by(stamp_table.c.size)
    ).scalars()
    walk = Walk()
    first = log.row_at(connection, book.site, 0)
    if first is not None:
        walk.name = f"lanewater/{book.site}/{first.hash[:16]}"
    for row in log.rows_of_types(connection, book.site, OF_KEYS):
        if row.log_index < size:
            line = Line(row.log_index, row.received_at, row.raw, row.sig.hex())
            remember(walk, line, json.loads(row.raw), row.log_index + 1)
    return {STAMPS: stamps_text(kept).encode(), KEYS: keys_text(keys_of(walk))}


def names_text(book: Book) -> bytes:
    """Give names, initials and telephone numbers; they are no part of the record."""
    told = {"people": names(book), "contacts": contacts(book)}
    return (json.dumps(told, ensure_ascii=False, indent=1, sort_keys=True) + "\n").encode()


def written(folder: Path, rows: Iterable[log.Row], files: dict[str, bytes]) -> None:
    """Write a bundle beside its place and move it there whole."""
    fresh = folder.with_name(f"{folder.name}.{os.getpid()}.new")
    try:
        fresh.mkdir(mode=0o700, parents=True)
        hashes = {name: hashlib.sha256(content).hexdigest() for name, content in files.items()}
        with (fresh / EVENTS).open("xb") as stream:
            hashes[EVENTS] = hashed_lines(stream, rows)
        for name, content in files.items() | {(MANIFEST, manifest_of(hashes))}:
            write_new(fresh / name, content)
        flush(fresh)
        fresh.rename(folder)
        flush(folder.parent)
    except OSError as error:
        raise MissingError(f"{folder} cannot be written: {error.strerror}") from None


def hashed_lines(stream: BinaryIO, rows: Iterable[log.Row]) -> str:
    """Write events.jsonl line by line and give its SHA-256."""
    digest = hashlib.sha256()
    for line in lines_of(rows):
        digest.update(line)
        stream.write(line)
    flush_stream(stream)
    return digest.hexdigest()


def lines_of(rows: Iterable[log.Row]) -> Iterator[bytes]:
    """Give the lines of events.jsonl."""
    for row in rows:
        yield events_line(row.log_index, row.received_at, row.raw, row.sig)
