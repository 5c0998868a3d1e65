"""Grants: what shows, later, that somebody's PIN was proved on a device that works alone.

When somebody signs in on a device that signs for itself, the server gives it a grant signed with
the log's key. The device wraps it under the PIN and can unwrap it only with the PIN; so an entry
that says that the device checked the PIN is believed where the device can show the grant, for the
times that it holds for, and nothing else of the entry is proved by it.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

import rfc8785

from lanewater.records.entries import Entry
from lanewater.records.signing import ed25519_holds
from lanewater.records.store import people as store
from lanewater.service.book import Writing
from lanewater.service.clock import DAY_MS, LATEST_MS, MINUTE_MS, instant_text, known_instant
from lanewater.service.stamping import signs
from lanewater.service.state import SiteState
from lanewater.terms.errors import InputError
from lanewater.terms.shapes import Shape, identity, instant, text

PREFIX = b"lanewater/grant/v1\n"
TAG_PREFIX = b"lanewater/pin-tag/v1\n"
LASTS_MS = 35 * DAY_MS
MOST_GRANTS = 40
LONGEST_GRANT = 1024
# JUDG: how far a device's clock may be off beyond what it measured, as for the claimed times.
CLOCKS_APART_MS = 5 * MINUTE_MS
# A hash that was made stronger is of the same PIN: the tag before it goes on holding.
SAME_PIN_MS = LATEST_MS
GRANT = Shape(
    {
        "device": identity,
        "person": identity,
        "issued": instant,
        "expires": instant,
        "pin": text(64, shortest=64),
    }
)

Proof = Callable[[Entry], bool]


@dataclass(frozen=True, slots=True)
class Grant:
    """Whose PIN was proved on which device, and for which times that is believed. [UTC ms]"""

    device: str
    person: str
    issued_ms: int
    expires_ms: int
    pin: str


def pin_tag(stored: str) -> str:
    """Give what a grant says of a PIN: a hash of its salted hash, which tells nobody the PIN."""
    return hashlib.sha256(TAG_PREFIX + stored.encode()).hexdigest()


def make_grant(writing: Writing, device: str, person: str) -> dict[str, str] | None:
    """Give a device a grant for somebody whose PIN was proved just now.

    Returns
    -------
    dict or None
        {"text": canonical JSON of {"device", "expires", "issued", "person", "pin"}, "sig": the log
        key's signature over the prefix and that text, hexadecimal}. None for a device that does
        not sign for itself, and where the log's key is not here.
    """
    known = writing.state.devices.get(device)
    stored = store.pin_hash(writing.connection, person)
    if known is None or known.algorithm == "none" or not stored or not signs(writing.book):
        return None
    now = writing.book.clock()
    said = rfc8785.dumps(
        {
            "device": device,
            "person": person,
            "issued": instant_text(now),
            "expires": instant_text(now + LASTS_MS),
            "pin": pin_tag(stored),
        }
    )
    sig = writing.book.own.log.private.sign(PREFIX + said)
    return {"text": said.decode(), "sig": sig.hex()}


def retire_pin(writing: Writing, person: str) -> None:
    """Keep that the PIN somebody had holds no more from now on; what was done before stays so."""
    stored = store.pin_hash(writing.connection, person)
    if stored:
        now = writing.book.clock()
        store.keep_pin_before(writing.connection, person, pin_tag(stored), now)


def proof_of(writing: Writing, device: str, sent: Iterable[Mapping[str, str]]) -> Proof:
    """Make the test of whether a device's entry is by somebody whose PIN was proved on it.

    Parameters
    ----------
    writing : Writing
        The transaction.
    device : str
        The device that sends.
    sent : iterable of mapping
        The grants that came with it: {"text", "sig"}. One that does not hold proves nothing and
        breaks nothing.
    """
    read = (grant_of(writing.state, one) for one in sent)
    grants = [grant for grant in read if grant is not None and grant.device == device]

    def proves(entry: Entry) -> bool:
        return any(holds_for(writing, grant, entry) for grant in grants)

    return proves


def grant_of(state: SiteState, sent: Mapping[str, str]) -> Grant | None:
    """Read a grant that a key of this record signed; a key that was lost signs for nobody."""
    said = sent["text"].encode("utf-8", "replace")
    try:
        sig = bytes.fromhex(sent["sig"])
    except ValueError:
        return None
    keys = (key.public_key for key in state.log_keys if not key.lost)
    if not any(ed25519_holds(key, PREFIX + said, sig) for key in keys):
        return None
    try:
        told = json.loads(said)
        GRANT(told, "grant")
    except (ValueError, InputError):
        return None
    return Grant(
        told["device"],
        told["person"],
        known_instant(told["issued"]),
        known_instant(told["expires"]),
        told["pin"],
    )


def holds_for(writing: Writing, grant: Grant, entry: Entry) -> bool:
    """Tell whether a grant holds for who speaks in an entry, at the time when it was written.

    The time is the device's own, put right by what it measured of its clock.
    """
    if entry.user != grant.person:
        return False
    written_ms = known_instant(entry.rec) - entry.clk["offset_ms"]
    until_ms = min(grant.expires_ms, pin_until_ms(writing, grant))
    return grant.issued_ms - CLOCKS_APART_MS <= written_ms <= until_ms


def pin_until_ms(writing: Writing, grant: Grant) -> int:
    """Give until when the PIN of a grant was the person's own; 0 where they never had it."""
    stored = store.pin_hash(writing.connection, grant.person)
    if stored and pin_tag(stored) == grant.pin:
        return SAME_PIN_MS
    return store.pin_before_until(writing.connection, grant.person, grant.pin) or 0
