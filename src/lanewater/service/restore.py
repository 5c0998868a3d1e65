"""Put a backup in the place of a record, and go on from an older record only by a decision."""

from __future__ import annotations

import os
import shutil
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from lanewater.records.errors import BrokenPromiseError
from lanewater.records.stamps import Head
from lanewater.records.store import log
from lanewater.records.store.connection import close_store, open_store
from lanewater.records.store.growing import root_at
from lanewater.service.actor import Actor
from lanewater.service.backup import STAMP, hold_backup
from lanewater.service.book import Book, open_book
from lanewater.service.clock import instant_text
from lanewater.service.config import Config
from lanewater.service.flushed import flush, make_folder, write_new
from lanewater.service.permission import require
from lanewater.service.rules_texts import FOLDER as RULES
from lanewater.service.rules_texts import Texts, text_hash
from lanewater.service.stamping import stamp, stamp_in
from lanewater.service.whole_record import answer_for_store
from lanewater.service.witness import held_head, keep, rolled_back
from lanewater.terms.errors import InputError, MissingError, RefusedError

BESIDE = ("-wal", "-shm")


def restore_backup(
    config: Config,
    backup: Path,
    *,
    now_ms: int,
    replace: bool = False,
    outside: Sequence[str] = (),
) -> dict[str, Any]:
    """Put a backup into a data folder.

    A record that is there is moved aside, never deleted. What was seen here stays: a backup that
    is older than it opens for reading, and takes nothing until `accept_restored`.

    Parameters
    ----------
    config : Config
        The data folder.
    backup : Path
        What `make_backup` made.
    now_ms : int
        Names the folder for what is moved aside. [UTC ms]
    replace : bool
        There may be a record already.
    outside : sequence of str
        Stamps held elsewhere, as text, that the backup must reach.

    Returns
    -------
    dict
        {"restored": lines, "moved": folder or "", "trouble": why nothing is recorded, or ""}.

    Raises
    ------
    RefusedError
        Where there is a record and replace was not said.
    BrokenPromiseError
        Where the backup is not as it was written, not complete, or older than a stamp.
    MissingError
        Where it cannot be written.
    """
    if config.server:
        raise RefusedError("this record lies in PostgreSQL: restore it with PostgreSQL's own tools")
    hold_backup(backup)
    there = config.store.exists()
    if there and not replace:
        raise RefusedError(f"{config.data} holds a record already; say --replace to move it aside")
    try:
        fresh = copied(config, backup)
        lines = hold_complete(fresh, backup, outside)
        moved = move_aside(config, now_ms) if parts_of(config.store) else None
        put_beside(config, backup)
        fresh.replace(config.store)
        flush(config.data)
    except OSError as error:
        raise MissingError(f"{config.data} cannot be written: {error.strerror}") from None
    book = open_book(config, "shell", clock=lambda: now_ms)
    book.close()
    return {"restored": lines, "moved": str(moved or ""), "trouble": book.trouble}


def copied(config: Config, backup: Path) -> Path:
    """Copy the backup's record beside its place, on disk."""
    make_folder(config.data)
    fresh = config.store.with_name(f"{config.store.name}.{os.getpid()}.new")
    fresh.unlink(missing_ok=True)
    shutil.copyfile(backup / config.store.name, fresh)
    fresh.chmod(0o600)
    flush(fresh)
    return fresh


def hold_complete(path: Path, backup: Path, outside: Sequence[str]) -> int:
    """Verify the record that is to be put in place and give how many lines it has.

    Raises
    ------
    BrokenPromiseError
        Naming what is not as it was written.
    """
    connection = open_store(path, create=False)
    try:
        found = log.sites(connection)
        if len(found) != 1:
            raise BrokenPromiseError(f"the backup holds {len(found)} sites; one is wanted")
        notes = [(backup / STAMP).read_text(encoding="utf-8"), *outside]
        answer = answer_for_store(connection, found[0], notes)
        connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)").fetchall()
    finally:
        close_store(connection)
    if not answer.complete:
        path.unlink()
        raise BrokenPromiseError(f"the backup is not complete: {answer.findings[0].says}")
    return answer.lines


def parts_of(store: Path) -> list[Path]:
    """Give the files of a record that are there: itself, and what stands ahead of it."""
    named = [store.with_name(store.name + ending) for ending in ("", *BESIDE)]
    return [path for path in named if path.exists()]


def move_aside(config: Config, now_ms: int) -> Path:
    """Move what is there into a folder of its own: all of it stands there before anything goes.

    Moved one after the other, a start cut off in between would part a record from its last lines,
    and leave those to be read into the backup.
    """
    aside = config.data / f"replaced-{instant_text(now_ms).replace(':', '')}"
    aside.mkdir(mode=0o700)
    there = parts_of(config.store)
    for path in there:
        stand_aside(path, aside / path.name)
    flush(aside)
    flush(config.data)
    for path in there:
        path.unlink()
    return aside


def stand_aside(path: Path, to: Path) -> None:
    """Let a file stand in a second place, by name alone where the disk can."""
    try:
        to.hardlink_to(path)
    except OSError:
        shutil.copyfile(path, to)
        to.chmod(0o600)
        flush(to)


def put_beside(config: Config, backup: Path) -> None:
    """Bring the keys that are not here, and what was seen where nothing was."""
    keys = config.data / "keys"
    make_folder(keys)
    for key in sorted((backup / "keys").glob("*.key")):
        if not (keys / key.name).exists():
            write_new(keys / key.name, key.read_bytes())
    flush(keys)
    put_rules(config, backup)
    if not config.seen.exists():
        keep(config.seen, (backup / STAMP).read_text(encoding="utf-8"))


def put_rules(config: Config, backup: Path) -> None:
    """Bring the kept texts of rules; one that is not what its name says stays out."""
    kept = Texts(config.data / RULES)
    for path in sorted((backup / RULES).glob("*")):
        text = path.read_bytes()
        if text_hash(text) == path.name:
            kept.put(text)


def accept_restored(book: Book, actor: Actor, reason: str) -> dict[str, Any]:
    """Go on from an older record than was seen: the decision is on record, with both heads.

    Devices that hold newer stamps refuse this record until they read of the decision in it; then
    they send again what it lacks.

    Parameters
    ----------
    book : Book
        Open, in trouble because it does not go on from what was seen.
    actor : Actor
        Who decides; held to "set-up".
    reason : str
        Why, in words.

    Returns
    -------
    dict
        {"size": lines kept, "held_size": lines that were seen, "epoch"}.

    Raises
    ------
    RefusedError
        Where there is nothing to accept, or no reason.
    """
    require(book.state, actor, "set-up")
    if not reason.strip():
        raise InputError("reason", "say why: it stands in the record")
    held = held_head(book.own.seen)
    with book.reading() as connection:
        if held is None or not rolled_back(connection, book.site, held, book.draft):
            raise RefusedError("the record goes on from what was seen here; nothing to accept")
    return written(book, actor, reason, held)


def written(book: Book, actor: Actor, reason: str, held: Head) -> dict[str, Any]:
    """Put the decision on record and keep its stamp as what was seen."""
    trouble, book.trouble = book.trouble, ""
    try:
        with book.writing() as writing:
            size = writing.size
            body = {
                "size": size,
                "root": root_at(writing.connection, book.site, size).hex(),
                "held_size": held.size,
                "held_root": held.root.hex(),
            }
            writing.append("record-restored", body, actor, reason=reason.strip())
            stamp_in(writing)
    except BaseException:
        book.trouble = book.trouble or trouble
        raise
    keep(book.own.seen, stamp(book))
    return {"size": size, "held_size": held.size, "epoch": book.state.epoch}
