"""Devices with keys of their own: the proof that a key is theirs, and the end of a device."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import rfc8785

from lanewater.records.signing import CHECKS, SIGNATURE_BYTES, device_of
from lanewater.records.store import people as store
from lanewater.service.actor import Actor
from lanewater.service.book import Book, Writing
from lanewater.service.clock import instant_ms, instant_text
from lanewater.service.permission import require
from lanewater.service.state import SiteState
from lanewater.terms.errors import InputError, RefusedError

PREFIX = b"lanewater/enrol/v1\n"
OF_BROWSERS = ("shared", "office")


def enrol_message(first_key: str, name: str, kind: str, algorithm: str, public_key: str) -> bytes:
    """Give what a device signs to show that a key is its own.

    The first key makes it good once and here only: it is spent with the enrolment, so a signature
    that somebody saw enrols nothing else. The prefix keeps it from meaning anything else; without
    this proof, who holds a first key could enrol another device's key and speak for its past.

    Parameters
    ----------
    first_key : str
        As printed, in lower case, without blanks around it.
    name, kind : str
        What people call the device; "shared" or "office".
    algorithm, public_key : str
        As in the entry that enrols it.
    """
    said = {
        "algorithm": algorithm,
        "key": first_key,
        "kind": kind,
        "name": name,
        "public_key": public_key,
    }
    return PREFIX + bytes(rfc8785.dumps(said))


def held_to_proof(
    state: SiteState, first_key: str, name: str, kind: str, signing: Mapping[str, str]
) -> str:
    """Hold a device to the proof that its key is its own, and give its id.

    Parameters
    ----------
    state : SiteState
        The site.
    first_key, name, kind : str
        What it enrols with.
    signing : mapping
        {"algorithm", "public_key", "proof": signature in hexadecimal}.

    Raises
    ------
    InputError
        Where the key is none, or the proof does not fit.
    RefusedError
        Where a device with this key was revoked.
    """
    algorithm, public_key = signing["algorithm"], signing["public_key"]
    holds = CHECKS.get(algorithm)
    if holds is None:
        raise InputError("algorithm", f"must be one of {', '.join(CHECKS)}")
    try:
        proof, device = bytes.fromhex(signing["proof"]), device_of(public_key)
    except ValueError:
        raise InputError("public_key", "and proof must be hexadecimal digits") from None
    message = enrol_message(first_key, name, kind, algorithm, public_key)
    if len(proof) != SIGNATURE_BYTES or not holds(public_key, message, proof):
        raise InputError("proof", "does not show that this key is the device's own")
    known = state.devices.get(device)
    if known is not None and known.revoked_ms is not None:
        raise RefusedError("a device with this key was revoked; it needs a new key")
    return device


def revoke_device(book: Book, actor: Actor, device: str, lost_at: str | None = None) -> None:
    """End a device: its sessions at once, and nothing it sends from now on is recorded.

    Parameters
    ----------
    book : Book
        The site's book.
    actor : Actor
        Who decides; held to "set-up".
    device : str
        An enrolled browser.
    lost_at : str, optional
        Since when it is out of sight: RFC 3339 with its offset, not in the future. What it claims
        to have written since then is marked, on record or not.

    Raises
    ------
    RefusedError
        Where it is the shell or the server itself.
    """
    require(book.state, actor, "set-up")
    body: dict[str, Any] = {"device": device}
    if lost_at is not None:
        lost_ms = instant_ms(lost_at, "lost_at")
        if lost_ms > book.clock():
            raise InputError("lost_at", "lies in the future")
        body["lost_at"] = instant_text(lost_ms)
    with book.writing() as writing:
        known = writing.state.devices.get(device)
        if known is not None and known.kind not in OF_BROWSERS:
            raise RefusedError("device: the shell and the server are no browsers; name a browser")
        if known is not None and known.revoked_ms is None:
            writing.append("device-revoked", body, actor)
        end_access(writing, device, keyed=known is not None and known.algorithm != "none")


def end_access(writing: Writing, device: str, *, keyed: bool) -> None:
    """End a device's sessions; one without a key is forgotten, one with a key may still send."""
    if keyed:
        store.end_sessions_on(writing.connection, device)
    else:
        store.remove_device(writing.connection, device)
