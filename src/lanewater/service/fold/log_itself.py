"""Fold what the record says about itself: its keys, its devices' end, its restoring."""

from __future__ import annotations

from dataclasses import replace

from lanewater.records.entries import Entry
from lanewater.records.receiving import Restored
from lanewater.service.clock import known_instant
from lanewater.service.fold.draft import Draft
from lanewater.service.state import LogKey


def take_log_key(draft: Draft, entry: Entry) -> None:
    """Name the key that signs stamps from here on; the one before signs no more."""
    lost = "word" not in entry.body
    before = tuple(
        key if key.until_index is not None else replace(key, until_index=draft.index, lost=lost)
        for key in draft.log_keys
    )
    draft.log_keys = (*before, LogKey(entry.body["public_key"], draft.index))


def take_revoked(draft: Draft, entry: Entry) -> None:
    """End a device: what it sends from now on is refused."""
    body = entry.body
    known = draft.devices.get(body["device"])
    if known is not None:
        lost = known_instant(body["lost_at"]) if "lost_at" in body else None
        draft.devices[known.id] = replace(known, revoked_ms=known_instant(entry.at), lost_ms=lost)


def take_restored(draft: Draft, entry: Entry) -> None:
    """Begin an epoch: the record goes on from an older state than stamps have seen."""
    body = entry.body
    draft.epoch += 1
    known = Restored(body["size"], body["held_size"], body["held_root"])
    draft.restored = (*draft.restored, known)


def take_nothing(draft: Draft, entry: Entry) -> None:
    """Take in an entry that changes nothing of what the site is now."""
