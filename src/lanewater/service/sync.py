"""Devices that sign for themselves and send later: what they wrote is taken in, once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from lanewater.records.errors import BrokenPromiseError, NotRecordingError
from lanewater.records.receiving import MOST_AT_ONCE, Ground, Sealed, Sender, Weighed, weigh
from lanewater.records.stamps import make_receipt
from lanewater.records.store import evidence, log
from lanewater.records.tree import root
from lanewater.service import stamping
from lanewater.service.arriving import object_to
from lanewater.service.book import Book, Writing
from lanewater.service.clock import instant_text
from lanewater.service.grants import Proof, proof_of
from lanewater.service.held_stamps import hold_to_stamp
from lanewater.service.incidents_checked import hold_endings
from lanewater.service.judging import JUDGING_ERRORS
from lanewater.service.rounds import judge_round, overall_shown
from lanewater.service.state import SiteState
from lanewater.terms.errors import InputError, RefusedError

JUDGED = ("round-recorded", "reading-corrected")


def receive(
    book: Book,
    device: str,
    sealed: Sequence[Sealed],
    held: str = "",
    grants: Sequence[Mapping[str, str]] = (),
) -> dict[str, Any]:
    """Take what a device wrote by itself, each entry once, and judge its rounds.

    Parameters
    ----------
    book : Book
        The site's book.
    device : str
        The device that was authenticated as the sender, revoked or not.
    sealed : sequence of Sealed
        At most 200 entries in the device's order.
    held : str
        The newest stamp that the device holds; "" where it holds none.
    grants : sequence of mapping
        At most 40 that the device was given, for the entries that say that it checked a PIN.

    Returns
    -------
    dict
        {"outcomes": one for each entry, in order, "head": where the device's own sequence stands
        here, "stamp"}. All of it is on disk before this returns.

    Raises
    ------
    NotRecordingError
        Where the disk did not take it, or the stamp proves that this record was rolled back.
    """
    if len(sealed) > MOST_AT_ONCE:
        raise InputError("entries", f"must hold at most {MOST_AT_ONCE} entries at once")
    sender = sender_of(book.state, device)
    if held:
        hold_to_stamp(book, held)
    with book.writing() as writing:
        proves = proof_of(writing, device, grants)
        outcomes = [take(writing, one, sender, proves) for one in sealed]
        head = log.device_head(writing.connection, device)
        text = stamping.stamp_in(writing) if stamping.signs(book) else ""
    return {
        "outcomes": outcomes,
        "head": {"dseq": head[0], "sha256": head[1]},
        "stamp": text,
    }


def sender_of(state: SiteState, device: str) -> Sender:
    """Give what is on record about a sender."""
    known = state.devices.get(device)
    if known is None:
        raise RefusedError("this device is not on record; enrol it again")
    return Sender(device, known.algorithm, known.public_key, known.revoked_ms is not None)


def take(writing: Writing, sealed: Sealed, sender: Sender, proves: Proof) -> dict[str, Any]:
    """Weigh one entry and do what is to be done with it."""
    found = weigh(sealed, sender, ground_of(writing, sender.device, proves))
    if found.outcome == "refused":
        return refuse(writing, found, sender.device)
    if found.entry is None:
        raise BrokenPromiseError("an entry that could not be read was let through")
    if found.outcome == "record":
        before = writing.state
        was = before.verdicts.get(found.entry.body.get("round", ""))
        now = instant_text(writing.book.clock())
        writing.take_in(found.entry, found.raw, found.sig, now)
        judge_arrived(writing, found, overall_shown(was))
        hold_endings(writing, before, found.entry)
    outcome = "recorded" if found.outcome == "record" else "known"
    told = {"id": found.id, "sha256": found.sha256, "outcome": outcome}
    if not stamping.signs(writing.book):
        return told
    return told | {"receipt": receipt_of(writing, found.id)}


def ground_of(writing: Writing, device: str, proves: Proof) -> Ground:
    """Give what an entry is held against, as the record stands in a transaction."""

    def bytes_of(entry_id: str) -> bytes | None:
        row = log.row_by_id(writing.connection, entry_id)
        return None if row is None else row.raw

    state = writing.state
    return Ground(
        site=writing.site,
        size=writing.size,
        root_at=lambda size: root(size, writing.node).hex(),
        restored=state.restored,
        head=log.device_head(writing.connection, device),
        bytes_of=bytes_of,
        object_to=lambda entry: object_to(state, entry),
        proves=proves,
    )


def refuse(writing: Writing, found: Weighed, device: str) -> dict[str, Any]:
    """Say why an entry is refused, and keep what may be needed as proof."""
    on_record = found.id and log.row_by_id(writing.connection, found.id)
    if found.cause.kept and not (on_record and on_record.raw == found.raw):
        received_at = instant_text(writing.book.clock())
        evidence.keep(writing.connection, received_at, device, found.why, (found.raw, found.sig))
    told: dict[str, Any] = {
        "id": found.id,
        "sha256": found.sha256,
        "outcome": "refused",
        "why": found.why,
        "words": found.cause.words,
        "again": found.cause.again,
    }
    told |= {"about": found.about} if found.about else {}
    return told | ({"send_from": found.send_from} if found.send_from else {})


def judge_arrived(writing: Writing, found: Weighed, was: str) -> None:
    """Judge a round before the next entry is taken: a house stop in it must stand for that one.

    What the judging itself cannot do leaves the round saved and not judged; a lost disk is no such
    thing, and nothing of the batch stays.
    """
    entry = found.entry
    if entry is None or entry.type not in JUDGED:
        return
    try:
        judge_round(writing.book, entry.body.get("round", entry.id), was=was)
    except (NotRecordingError, BrokenPromiseError):
        raise
    except JUDGING_ERRORS:
        return


def receipt_of(writing: Writing, entry_id: str) -> dict[str, Any]:
    """Sign where an entry stands; the same entry always has the same receipt."""
    row = log.row_by_id(writing.connection, entry_id)
    if row is None:
        raise BrokenPromiseError(f"the entry {entry_id} was taken and is not on record")
    body = {
        "origin": stamping.origin(writing),
        "index": row.log_index,
        "leaf": writing.node(0, row.log_index).hex(),
        "id": entry_id,
        "received_at": row.received_at,
    }
    return make_receipt(writing.book.own.log, body)
