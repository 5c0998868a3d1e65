"""Stamps that devices hold: our own word on a head, which the record must go on from."""

from __future__ import annotations

from collections.abc import Callable

from lanewater.records.errors import NotRecordingError
from lanewater.records.stamps import Head, Stamp, origin_of, read_stamp, stamp_holds
from lanewater.records.store import log
from lanewater.records.store.growing import nodes_of
from lanewater.records.tree import root
from lanewater.service import witness
from lanewater.service.book import Book
from lanewater.service.state import SiteState
from lanewater.terms.errors import InputError


def hold_to_stamp(book: Book, text: str) -> None:
    """Hold the record to a stamp that a device holds.

    Raises
    ------
    InputError
        Where it is no stamp of this record.
    NotRecordingError
        Where it proves that this record does not go on from there; nothing is recorded any more,
        and the stamp is kept, so that no restart forgets it.
    """
    with book.reading() as connection:
        state = book.state
        first = log.row_at(connection, book.site, 0)
        name = origin_of(book.site, first.hash if first else "", 1).rpartition("/")[0]
        stamp = stamp_of_record(book, state, text, name)
        size = log.size(connection, book.site)
        node = nodes_of(connection, book.site)

        def goes_on(head: Head) -> bool:
            return witness.goes_on_from(
                head, state.epoch, state.restored, size, lambda wanted: root(wanted, node)
            )

        if goes_on(stamp.head):
            return
        keep_proof(book, stamp.head, text, goes_on)
        book.trouble = (
            f"ROLLED BACK. The record has {size} lines; a device holds a stamp of "
            f"{stamp.head.size} that it does not go on from. Nothing is recorded until somebody "
            "decides: put the newer record back, or `lanewater restore --accept`."
        )
    raise NotRecordingError(book.trouble)


def stamp_of_record(book: Book, state: SiteState, text: str, name: str) -> Stamp:
    """Read a stamp that one of this record's own keys signed."""
    try:
        stamp = read_stamp(text)
    except InputError:
        raise InputError("stamp", "is not a stamp") from None
    keys = {key.public_key for key in state.log_keys} | {book.own.log.public_hex}
    if stamp.head.name != name:
        raise InputError("stamp", "is of another record")
    if not any(stamp_holds(stamp, public, name) for public in keys):
        raise InputError("stamp", "is not signed with a key of this record")
    return stamp


def keep_proof(book: Book, head: Head, text: str, goes_on: Callable[[Head], bool]) -> None:
    """Keep a stamp that proves a rollback, unless another that says more is kept already."""
    try:
        held = witness.held_head(book.own.seen)
    except InputError:
        held = None
    if held is None or goes_on(held) or (held.epoch, held.size) < (head.epoch, head.size):
        witness.keep(book.own.seen, text)
