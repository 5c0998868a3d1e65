"""Copy a site's record so that the copy is whole, and prove it before it counts as a backup."""

from __future__ import annotations

import hashlib
import os
import shutil
from pathlib import Path
from typing import Any

from lanewater.records.bundle import MANIFEST, manifest_of, read_manifest
from lanewater.records.errors import BrokenPromiseError
from lanewater.records.stamps import read_stamp
from lanewater.records.store.connection import close_store, open_store
from lanewater.records.store.sqlite import make_file
from lanewater.service.actor import Actor
from lanewater.service.book import Book
from lanewater.service.config import Config
from lanewater.service.flushed import flush, write_new
from lanewater.service.rules_texts import FOLDER as RULES
from lanewater.service.stamping import stamp
from lanewater.service.whole_record import answer_for_store
from lanewater.terms.errors import InputError, MissingError, RefusedError

STAMP = "stamp.txt"
CHUNK = 1 << 20


def make_backup(
    book: Book, config: Config, actor: Actor, folder: Path, *, with_keys: bool = True
) -> dict[str, Any]:
    """Make a backup: a data folder that stands by itself, verified line by line.

    Parameters
    ----------
    book : Book
        The site's book; others may go on writing.
    config : Config
        Where its data lie.
    actor : Actor
        Who makes it.
    folder : Path
        Made; it must not be there yet. It holds names and, with keys, what signs in the site's
        name: as secret as the data folder.
    with_keys : bool
        Put the signing keys in.

    Returns
    -------
    dict
        {"backup", "lines", "root", "sha256": of the record's file}.

    Raises
    ------
    RefusedError
        Where the folder is there already, or the store is no file.
    BrokenPromiseError
        Where the copy is not complete; it is taken away again.
    """
    if config.server:
        raise RefusedError(
            "this record lies in PostgreSQL: back it up with PostgreSQL's own tools, or export it "
            "(docs/how-to/use-postgresql.md)"
        )
    if folder.exists():
        raise RefusedError(f"{folder} is there already; name a folder that is not")
    fresh = folder.with_name(f"{folder.name}.{os.getpid()}.new")
    note = stamp(book)
    head = read_stamp(note).head
    try:
        fresh.mkdir(mode=0o700, parents=True)
        copy_record(book, fresh / config.store.name)
        copy_beside(config, fresh, note, with_keys=with_keys)
        lines = hold_copy(fresh / config.store.name, book.site, note)
        hashes = hashes_of(fresh)
        write_new(fresh / MANIFEST, manifest_of(hashes))
        flush(fresh)
        fresh.rename(folder)
        flush(folder.parent)
    except OSError as error:
        raise MissingError(f"{folder} cannot be written: {error.strerror}") from None
    finally:
        shutil.rmtree(fresh, ignore_errors=True)
    sha256 = hashes[config.store.name]
    body = {"size": head.size, "root": head.root.hex(), "sha256": sha256}
    with book.writing() as writing:
        writing.append("backup-made", body, actor)
    return {"backup": str(folder), "lines": lines, "root": head.root.hex(), "sha256": sha256}


def copy_record(book: Book, to: Path) -> None:
    """Copy the record's file as it stands at one moment."""
    make_file(to)
    with book.reading() as connection:
        connection.exec_driver_sql("VACUUM INTO ?", (str(to),))
    flush(to)


def copy_beside(config: Config, to: Path, note: str, *, with_keys: bool) -> None:
    """Copy what lies beside the record: the stamp, and the keys."""
    write_new(to / STAMP, note.encode())
    write_new(to / config.seen.name, note.encode())
    copy_rules(config, to)
    if with_keys:
        keys = to / "keys"
        keys.mkdir(mode=0o700)
        for key in sorted((config.data / "keys").glob("*.key")):
            write_new(keys / key.name, key.read_bytes())
        flush(keys)


def copy_rules(config: Config, to: Path) -> None:
    """Copy the kept texts of rules; each has its own hash for a name."""
    kept = sorted((config.data / RULES).glob("*"))
    if kept:
        rules = to / RULES
        rules.mkdir(mode=0o700)
        for text in kept:
            if text.is_file() and not text.suffix:
                write_new(rules / text.name, text.read_bytes())
        flush(rules)


def hold_copy(path: Path, site: str, note: str) -> int:
    """Verify a copy and give how many lines it has.

    Raises
    ------
    BrokenPromiseError
        Where it is not complete.
    """
    connection = open_store(path, create=False)
    try:
        found = connection.exec_driver_sql("PRAGMA integrity_check").scalar_one()
        answer = answer_for_store(connection, site, [note])
        # Without this, part of the copy would still stand in a file beside it.
        connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)").fetchall()
    finally:
        close_store(connection)
    if found != "ok" or not answer.complete:
        why = found if found != "ok" else answer.findings[0].says
        raise BrokenPromiseError(f"the copy is not complete: {why}")
    return answer.lines


def hashes_of(folder: Path) -> dict[str, str]:
    """Give the SHA-256 of every file in a backup that the manifest names: all but the keys."""
    return {path.name: file_hash(path) for path in sorted(folder.iterdir()) if path.is_file()}


def hold_backup(folder: Path) -> None:
    """Hold a backup's files to its manifest.

    Raises
    ------
    InputError
        Where it is no backup.
    BrokenPromiseError
        Where a file is not as it was written.
    """
    try:
        listed = read_manifest((folder / MANIFEST).read_bytes())
    except OSError:
        raise InputError(str(folder), f"is no backup: it has no {MANIFEST}") from None
    if listed is None:
        raise BrokenPromiseError(f"{folder / MANIFEST} cannot be read")
    for name, expected in listed.items():
        if not (folder / name).is_file() or file_hash(folder / name) != expected:
            raise BrokenPromiseError(f"{folder / name} is not as it was written; take another copy")


def file_hash(path: Path) -> str:
    """Give the SHA-256 of a file."""
    digest = hashlib.sha256()
    with path.open("rb") as stream:
        while chunk := stream.read(CHUNK):
            digest.update(chunk)
    return digest.hexdigest()
