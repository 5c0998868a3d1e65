"""What a device that keeps a copy of the record is given: lines, the stamp, and its proof."""

from __future__ import annotations

from typing import Any

from lanewater.records.entries import Entry, read
from lanewater.records.stamps import read_stamp
from lanewater.records.store import finding, log
from lanewater.records.store.growing import nodes_of
from lanewater.records.tree import consistency_path
from lanewater.service import stamping
from lanewater.service.book import Book
from lanewater.terms.errors import InputError

MOST_LINES = 500
KEY_TOLD = ("public_key", "replaces", "word")
# What tells an amount or a strength goes out as its hash alone, but to its own writer: amounts are
# shown to whom they may be shown, not kept on a tablet. The tree is built from it all the same.
WITH_AMOUNTS = ("advice-given", "addition-started", "addition-answered", "product-registered")


def lines_from(book: Book, start: int, limit: int, *, device: str = "") -> dict[str, Any]:
    """Give the record's lines from an index on, with the stamp to hold them to.

    Parameters
    ----------
    book : Book
        The site's book.
    start : int
        The first index wanted.
    limit : int
        At most so many, 500 at the very most.
    device : str
        Whose own lines are given whole.

    Returns
    -------
    dict
        {"lines": [{"index", "received_at", "entry" or "sha256", "sig"}], "stamp"}.
    """
    # The stamp first: it covers what was there before, and the lines may be more, never fewer.
    text = stamp_or_nothing(book)
    found = []
    with book.reading() as connection:
        for row in log.rows_from(connection, book.site, start, min(limit, MOST_LINES)):
            line: dict[str, Any] = {"index": row.log_index, "received_at": row.received_at}
            shown = is_shown(read(row.raw), device)
            line |= {"entry": row.raw.decode()} if shown else {"sha256": row.hash}
            found.append(line | {"sig": row.sig.hex()})
    return {"lines": found, "stamp": text}


def is_shown(entry: Entry, device: str) -> bool:
    """Tell whether an entry goes out whole to a device."""
    return entry.type not in WITH_AMOUNTS or entry.dev == device


def stamp_from(book: Book, size: int) -> dict[str, Any]:
    """Give the stamp of the record as it is now, and the proof that it goes on from a size.

    Returns
    -------
    dict
        {"stamp", "consistency": hashes, "keys": [{"public_key", "replaces"?, "word"?}]}: every key
        that ever signed stamps here, with the word of the one before it.

    Raises
    ------
    InputError
        Where the record has fewer lines: whoever holds that head must not go on.
    """
    text = stamping.stamp(book)
    with book.reading() as connection:
        head = read_stamp(text).head
        if size > head.size:
            raise InputError("from", f"the record has {head.size} lines; {size} is beyond it")
        path = consistency_path(size, head.size, nodes_of(connection, book.site))
        places = [key.since_index for key in book.state.log_keys]
        named = [read(row.raw).body for row in finding.rows_at(connection, book.site, places)]
    keys = [{name: body[name] for name in KEY_TOLD if name in body} for body in named]
    return {"stamp": text, "consistency": [part.hex() for part in path], "keys": keys}


def stamp_or_nothing(book: Book) -> str:
    """Give the stamp, "" where this machine does not hold the key that signs it."""
    return stamping.stamp(book) if stamping.signs(book) else ""
