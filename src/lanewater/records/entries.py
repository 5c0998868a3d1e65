"""One entry of the record: its shape, its restricted profile and its one string of bytes."""

from __future__ import annotations

import hashlib
import json
import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import rfc8785

from lanewater.records.kinds import KINDS
from lanewater.terms.errors import InputError
from lanewater.terms.jsontext import read_json
from lanewater.terms.shapes import Shape, flag, identity, instant, matching, one_of, whole, words

VERSION = 1
SIGNED_PREFIX = b"lanewater/entry/v1\n"
MOST_BYTES = 16 * 1024
MOST_DEPTH = 6
LARGEST = 2**53 - 1

UUID7 = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}", re.ASCII)
DIGEST = re.compile(r"([0-9a-f]{64})?", re.ASCII)
ZONE = re.compile(r"[A-Za-z0-9_+\-/]{1,64}", re.ASCII)
RULES_HASH = re.compile(r"[0-9a-z:._-]{0,96}", re.ASCII)

AUTH_METHODS = ("pin", "shell", "none", "device", "key")


def short_text(value: Any, where: str) -> None:
    """Check an edition or a name of rules: any text of at most 200 characters."""
    if not isinstance(value, str) or len(value) > 200:
        raise InputError(where, "must be text of at most 200 characters")


entry_id = matching(UUID7, "a version 7 UUID in lower case")

ENVELOPE = Shape(
    required={
        "v": whole(VERSION, VERSION),
        "id": entry_id,
        "site": identity,
        "dev": identity,
        "dseq": whole(1, LARGEST),
        "dprev": matching(DIGEST, "64 hexadecimal digits, or empty for a device's first entry"),
        "type": one_of(*KINDS),
        "at": instant,
        "rec": instant,
        "off": whole(-1440, 1440),
        "tz": matching(ZONE, "the name of a time zone"),
        "clk": Shape(
            {
                "offset_ms": whole(-LARGEST, LARGEST),
                "rtt_ms": whole(0, LARGEST),
                "age_s": whole(0, LARGEST),
            }
        ),
        "seen": Shape(
            {"size": whole(0, LARGEST), "root": matching(DIGEST, "64 hexadecimal digits")}
        ),
        "user": identity,
        "auth": Shape({"method": one_of(*AUTH_METHODS), "verified": flag}, {"through": identity}),
        "body": lambda _value, _where: None,
    },
    optional={
        "rules": Shape(
            {"id": identity, "edition": short_text, "hash": matching(RULES_HASH, "a hash")}
        ),
        "amends": entry_id,
        "reason": words,
    },
)


@dataclass(frozen=True, slots=True)
class Entry:
    """One fact or opinion on record; the meaning of each field is in the record format."""

    id: str
    site: str
    dev: str
    dseq: int
    dprev: str
    type: str
    at: str
    rec: str
    off: int
    tz: str
    user: str
    auth: Mapping[str, Any]
    body: Mapping[str, Any]
    clk: Mapping[str, int]
    seen: Mapping[str, Any]
    rules: Mapping[str, str] | None = None
    amends: str | None = None
    reason: str | None = None
    v: int = VERSION


FIELDS = tuple(Entry.__slots__)
OPTIONAL = ("rules", "amends", "reason")


def canonical(entry: Entry) -> bytes:
    """Give the one byte string of an entry, after holding it to the profile.

    Raises
    ------
    InputError
        Naming the field that does not fit.
    """
    content = {
        name: getattr(entry, name)
        for name in FIELDS
        if name not in OPTIONAL or getattr(entry, name) is not None
    }
    hold_to_profile(content)
    hold_to_shape(content)
    raw: bytes = rfc8785.dumps(content)
    hold_to_size(raw)
    return raw


def parse(raw: bytes) -> Entry:
    """Read an entry that somebody handed in; anything but its canonical bytes is refused.

    Raises
    ------
    InputError
        Naming what does not fit.
    """
    hold_to_size(raw)
    content = read_json(raw)
    if not isinstance(content, dict):
        raise InputError("entry", "must be an object")
    hold_to_profile(content)
    hold_to_shape(content)
    if rfc8785.dumps(content) != raw:
        raise InputError("entry", "is not in canonical form (RFC 8785)")
    return Entry(**content)


def read(raw: bytes) -> Entry:
    """Read an entry from our own store, whose bytes were held to the profile when they came."""
    return Entry(**json.loads(raw.decode()))


def digest(raw: bytes) -> str:
    """Give the SHA-256 of an entry's bytes, which the device's next entry carries."""
    return hashlib.sha256(raw).hexdigest()


def signed_message(raw: bytes) -> bytes:
    """Give what a device signs: the prefix keeps the signature from meaning anything else."""
    return SIGNED_PREFIX + raw


def hold_to_size(raw: bytes) -> None:
    """Refuse an entry of more than 16 KiB."""
    if len(raw) > MOST_BYTES:
        raise InputError("entry", f"is {len(raw)} bytes long; at most {MOST_BYTES}")


def hold_to_shape(content: Mapping[str, Any]) -> None:
    """Hold the envelope and the body to their shapes."""
    ENVELOPE(content, "")
    KINDS[content["type"]](content["body"], "body")


def hold_to_profile(value: Any, where: str = "", depth: int = 1) -> None:
    """Hold a value to the profile in which canonical form has nothing left to decide.

    ASCII keys, no floats, whole numbers within 2**53 - 1, no null, NFC text, depth at most 6.

    Raises
    ------
    InputError
        With the path of the first value that does not fit.
    """
    if isinstance(value, str):
        hold_text(value, where)
    elif isinstance(value, bool):
        return
    elif isinstance(value, int):
        if not -LARGEST <= value <= LARGEST:
            raise InputError(where, f"{value} is beyond 2**53 - 1")
    elif isinstance(value, Mapping | list | tuple):
        if depth > MOST_DEPTH:
            raise InputError(where, f"is nested deeper than {MOST_DEPTH}")
        for name, item in parts_of(value, where):
            hold_to_profile(item, name, depth + 1)
    else:
        what = "null" if value is None else type(value).__name__
        raise InputError(where, f"holds {what}; text, whole numbers, true and false are allowed")


def parts_of(value: Mapping[str, Any] | list[Any] | tuple[Any, ...], where: str) -> Any:
    """Give the paths and values inside an object or a list; keys must be ASCII."""
    if not isinstance(value, Mapping):
        return [(f"{where}[{index}]", item) for index, item in enumerate(value)]
    for key in value:
        if not isinstance(key, str) or not key.isascii() or not key.isprintable() or not key:
            raise InputError(where, f"the name {key!r} must be plain ASCII")
    return [(f"{where}.{key}" if where else key, item) for key, item in value.items()]


def hold_text(value: str, where: str) -> None:
    """Refuse text that is not in NFC or cannot be written as UTF-8."""
    if value.isascii():
        return
    if any("\ud800" <= character <= "\udfff" for character in value):
        raise InputError(where, "holds half a character (a lone surrogate)")
    if not unicodedata.is_normalized("NFC", value):
        raise InputError(where, "is not in Unicode normal form C")
