"""Who is at the device: first keys, enrolled browsers, PINs and sessions; no default accounts."""

from __future__ import annotations

import hashlib
import secrets
from collections.abc import Mapping
from itertools import pairwise
from threading import BoundedSemaphore
from typing import Any

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError

from lanewater.records.store import people as store
from lanewater.service.actor import ANYBODY, UNLISTED, Actor
from lanewater.service.book import Book, Writing
from lanewater.service.enrolment import held_to_proof
from lanewater.service.grants import SAME_PIN_MS, make_grant, pin_tag
from lanewater.service.permission import require
from lanewater.service.set_up_items import opaque_id
from lanewater.terms.errors import InputError, RefusedError
from lanewater.terms.shapes import name as name_check

MOST_FAILURES = 10
PIN_DIGITS = 6
LONGEST_PIN = 12
FIRST_KEY_MS = 24 * 3_600_000
MINUTE_MS = 60_000
TOUCH_MS = 30_000
# How long a session lasts: idle, and in all. Source: reliability facts 5, rows 7.3.1 and 7.3.2.
LASTS_MS = {
    "shared": (5 * MINUTE_MS, 12 * 60 * MINUTE_MS),
    "office": (30 * MINUTE_MS, 8 * 60 * MINUTE_MS),
}
KEY_LETTERS = "abcdefghjkmnpqrstuvwxyz23456789"
KEY_GROUPS = 6
KEY_GROUP = 5

HASHER = PasswordHasher(time_cost=1, memory_cost=47104, parallelism=1)
# Each hash takes 46 MiB: at most four at a time.
HASHING = BoundedSemaphore(4)


class SignInError(RefusedError):
    """Signing in did not work; the message never says which part was wrong."""

    def __init__(self) -> None:
        super().__init__("this PIN does not fit; try again, or record without signing in")


class LockedError(RefusedError):
    """Ten wrong PINs in a row: this person is locked on this device."""

    def __init__(self) -> None:
        super().__init__(
            "locked on this device after ten wrong PINs; an area manager or `lanewater access "
            "unlock` ends it. Testing, recording and Everyone out need no PIN"
        )


def digest_of(token: str) -> str:
    """Give what is kept of a token."""
    return hashlib.sha256(token.encode("utf-8", "surrogatepass")).hexdigest()


def hashed_pin(pin: Any, where: str) -> str:
    """Hash a PIN of six to twelve digits.

    Raises
    ------
    InputError
        Where it is not, or is one that is guessed first.
    """
    if not isinstance(pin, str) or not pin.isascii() or not pin.isdigit():
        raise InputError(where, f"must be {PIN_DIGITS} to {LONGEST_PIN} digits, as text")
    if not PIN_DIGITS <= len(pin) <= LONGEST_PIN:
        raise InputError(where, f"must be {PIN_DIGITS} to {LONGEST_PIN} digits")
    steps = {(int(after) - int(before)) % 10 for before, after in pairwise(pin)}
    if steps in ({0}, {1}, {9}) or len(set(pin)) < 3:
        raise InputError(where, "is one that is guessed first; take another")
    with HASHING:
        return HASHER.hash(pin)


def random_pin() -> str:
    """Make a PIN that is not one of those guessed first."""
    while True:
        pin = f"{secrets.randbelow(10**PIN_DIGITS):0{PIN_DIGITS}d}"
        if len(set(pin)) >= 4:
            return pin


def new_first_key(writing: Writing) -> str:
    """Make a first key inside a transaction; about 148 bits, good once, for a day."""
    key = "-".join(
        "".join(secrets.choice(KEY_LETTERS) for _ in range(KEY_GROUP)) for _ in range(KEY_GROUPS)
    )
    store.add_first_key(writing.connection, digest_of(key), writing.book.clock())
    return key


def make_first_key(book: Book) -> str:
    """Make a first key; who can run commands in the data folder owns the site."""
    with book.writing() as writing:
        return new_first_key(writing)


def enrol(
    book: Book,
    key: str,
    device_name: str,
    kind: str = "shared",
    signing: Mapping[str, str] | None = None,
) -> dict[str, str]:
    """Enrol a browser with a first key.

    Parameters
    ----------
    book : Book
        The site's book.
    key : str
        The first key, as printed.
    device_name : str
        What people call the device, such as "Tablet 2".
    kind : str
        "shared" (a poolside tablet) or "office".
    signing : mapping, optional
        The device's own key with its proof: {"algorithm", "public_key", "proof"}. A device that
        has one signs for itself; enrolled once more, it stays the same device.

    Returns
    -------
    dict
        {"device", "token", "session"}: the token goes into the browser's cookie; the session
        may set the site up and nothing else.

    Raises
    ------
    RefusedError
        Where the key is unknown, used or older than a day.
    """
    name_check(device_name, "name")
    if kind not in LASTS_MS:
        raise InputError("kind", f"must be one of {', '.join(LASTS_MS)}")
    if not isinstance(key, str) or len(key) > 100:
        raise InputError("key", "must be a first key as it was printed")
    with book.writing() as writing:
        now = book.clock()
        spent = key.strip().lower()
        made = store.unused_first_key(writing.connection, digest_of(spent))
        if made is None or now - made > FIRST_KEY_MS:
            raise RefusedError("this first key opens nothing; make one with `lanewater access new`")
        body = {"device": opaque_id("tab"), "name": device_name, "kind": kind, "algorithm": "none"}
        if signing is not None:
            body["device"] = held_to_proof(writing.state, spent, device_name, kind, signing)
            body |= {name: signing[name] for name in ("algorithm", "public_key")}
        store.use_first_key(writing.connection, digest_of(spent), now)
        device, token = body["device"], secrets.token_urlsafe(32)
        store.remove_device(writing.connection, device)
        store.add_device(
            writing.connection,
            {
                "id": device,
                "name": device_name,
                "kind": kind,
                "token_hash": digest_of(token),
                "enrolled_ms": now,
            },
        )
        writing.append("device-enrolled", body, Actor(method="key", through=device))
        session = new_session(writing, device, "")
    return {"device": device, "token": token, "session": session}


def new_session(writing: Writing, device: str, person: str) -> str:
    """Begin a session; person "" is the owner's, opened by a first key."""
    token = secrets.token_urlsafe(32)
    now = writing.book.clock()
    store.add_session(
        writing.connection,
        {
            "token_hash": digest_of(token),
            "device": device,
            "person": person,
            "started_ms": now,
            "used_ms": now,
        },
    )
    return token


def device_of(book: Book, token: str | None) -> dict[str, Any] | None:
    """Give the enrolled browser that holds a token, None where it was revoked."""
    found = sender_of(book, token)
    if found is None:
        return None
    known = book.state.devices.get(found["id"])
    return found if known is None or known.revoked_ms is None else None


def sender_of(book: Book, token: str | None) -> dict[str, Any] | None:
    """Give the browser that holds a token, revoked or not: what it sends is told as its own."""
    if not token:
        return None
    with book.reading() as connection:
        return store.device_by_token(connection, digest_of(token))


def sign_in(book: Book, device_token: str, person: str, pin: str) -> dict[str, Any]:
    """Sign a person in on an enrolled browser.

    Returns
    -------
    dict
        {"session", "person", "grant": for a device that signs for itself, else None}.

    Raises
    ------
    SignInError
        Where anything is wrong; it does not say what.
    LockedError
        After ten wrong PINs in a row for this person on this device.
    """
    device = device_of(book, device_token)
    if device is None:
        raise RefusedError("this browser is not enrolled; enrol it with a first key")
    check_pin(book, device["id"], person, pin)
    with book.writing() as writing:
        session = new_session(writing, device["id"], person)
        grant = make_grant(writing, device["id"], person)
    return {"session": session, "person": person, "grant": grant}


def check_pin(book: Book, device: str, person: str, pin: str) -> None:
    """Hold a PIN to a person's, counting the tries before they are looked at.

    Raises
    ------
    SignInError, LockedError
        As sign_in.
    """
    if not all(isinstance(text, str) and text.isascii() for text in (pin, person)):
        raise SignInError
    if len(pin) > LONGEST_PIN:
        raise SignInError
    with book.writing() as writing:
        known = writing.state.people.get(person)
        tries = store.failures(writing.connection, device, person)
        if tries >= MOST_FAILURES:
            raise LockedError
        stored = store.pin_hash(writing.connection, person)
        listed = known is not None and not known.gone and bool(stored)
        if listed:
            store.set_failures(writing.connection, device, person, tries + 1)
    if not pin_fits(stored if listed else "", pin):
        raise SignInError
    stronger = rehashed(stored, pin)
    with book.writing() as writing:
        store.set_failures(writing.connection, device, person, 0)
        if stronger and store.pin_hash(writing.connection, person) == stored:
            store.put_person(writing.connection, person, {"pin_hash": stronger})
            store.keep_pin_before(writing.connection, person, pin_tag(stored), SAME_PIN_MS)


def pin_fits(stored: str, pin: str) -> bool:
    """Tell whether a PIN fits its hash; without a hash it takes as long and never fits."""
    with HASHING:
        if not stored:
            HASHER.hash(pin)
            return False
        try:
            return HASHER.verify(stored, pin)
        except (VerificationError, InvalidHashError):
            return False


def rehashed(stored: str, pin: str) -> str:
    """Hash a PIN anew where what is asked of hashes was raised since, "" where it was not."""
    if not HASHER.check_needs_rehash(stored):
        return ""
    with HASHING:
        return HASHER.hash(pin)


def sign_out(book: Book, session: str) -> None:
    """End a session."""
    with book.writing() as writing:
        store.end_session(writing.connection, digest_of(session))


def actor_of(book: Book, device_token: str | None, session: str | None) -> Actor:
    """Give who acts, from a browser's device token and session; anybody where neither holds."""
    device = device_of(book, device_token)
    if device is None:
        return ANYBODY
    nobody = Actor(method="device", through=device["id"])
    found = live_session(book, device, session)
    if found is None:
        return nobody
    if not found["person"]:
        return Actor(UNLISTED, "key", verified=False, through=device["id"])
    person = book.state.people.get(found["person"])
    if person is None or person.gone:
        return nobody
    return Actor(person.id, "pin", verified=True, through=device["id"])


def live_session(book: Book, device: dict[str, Any], session: str | None) -> dict[str, Any] | None:
    """Give a session that has not run out, and keep that it was used."""
    if not session:
        return None
    key = digest_of(session)
    with book.reading() as connection:
        found = store.session_by_token(connection, key)
    if found is None or found["device"] != device["id"]:
        return None
    idle, whole = LASTS_MS[device["kind"]]
    now = book.clock()
    if now - found["used_ms"] > idle or now - found["started_ms"] > whole:
        return None
    if now - found["used_ms"] > TOUCH_MS and book.recording:
        with book.writing() as writing:
            store.touch_session(writing.connection, key, now)
    return found


def unlock(book: Book, actor: Actor, person: str, device: str) -> None:
    """Let a locked person try again on a device."""
    require(book.state, actor, "set-up")
    with book.writing() as writing:
        store.set_failures(writing.connection, device, person, 0)
