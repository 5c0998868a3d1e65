"""The newest stamp that this machine saw, kept beside the record: an older record is noticed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from sqlalchemy import Connection

from lanewater.records.receiving import Restored, was_lost
from lanewater.records.stamps import Head, read_stamp
from lanewater.records.store import log
from lanewater.records.store.growing import root_at
from lanewater.service.flushed import keep_file
from lanewater.service.fold.draft import Draft
from lanewater.terms.errors import InputError


def held_head(path: Path) -> Head | None:
    """Read the head of the stamp that was kept, None where none was.

    Raises
    ------
    InputError
        Where the file is damaged.
    """
    try:
        text = path.read_text(encoding="utf-8")
    except FileNotFoundError:
        return None
    except (OSError, UnicodeDecodeError) as error:
        raise InputError(str(path), f"cannot be read: {error}") from None
    try:
        return read_stamp(text).head
    except InputError as error:
        raise InputError(str(path), f"holds no stamp: {error}") from None


def keep_newest(path: Path, text: str) -> None:
    """Keep a stamp unless one of the same epoch that says more is kept already."""
    held, head = held_head(path), read_stamp(text).head
    if held is None or held.origin != head.origin or held.size < head.size:
        keep(path, text)


def keep(path: Path, text: str) -> None:
    """Keep a stamp, whole or not at all, on disk before it returns."""
    keep_file(path, text.encode())


def goes_on_from(
    head: Head, epoch: int, restored: Sequence[Restored], size: int, root_of: Callable[[int], bytes]
) -> bool:
    """Tell whether a record goes on from a head, or says itself that it was restored behind it.

    Parameters
    ----------
    head : Head
        What was seen.
    epoch, restored, size
        The record's own.
    root_of : callable
        Gives the root of its first lines.
    """
    if head.epoch > epoch:
        return False
    if head.size <= size and root_of(head.size) == head.root:
        return True
    return head.epoch < epoch and any(
        was_lost(head.size, head.root.hex(), known) for known in restored
    )


def rolled_back(connection: Connection, site: str, held: Head | None, draft: Draft) -> str:
    """Say in words how the record fails to go on from a head that was seen, "" where it does.

    Parameters
    ----------
    connection : Connection
        The open store.
    site : str
        The site's id.
    held : Head, optional
        The newest head that was seen.
    draft : Draft
        What was folded of the record.
    """
    size = log.size(connection, site)
    if held is None or goes_on_from(
        held, draft.epoch, draft.restored, size, lambda wanted: root_at(connection, site, wanted)
    ):
        return ""
    how = (
        f"ROLLED BACK. The record has {size} lines; {held.size} were seen here before."
        if size < held.size
        else f"CHANGED. The first {held.size} lines are not those that were seen here before."
    )
    return (
        f"{how} Nothing is recorded until somebody decides: put the newer record back, or "
        "`lanewater restore --accept`."
    )
