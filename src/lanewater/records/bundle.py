"""The bundle: a record as files that anybody can read, each with one spelling only.

Sources: the record format, docs/reference/record-format.md, section "The bundle".
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import rfc8785

from lanewater.records.stamps import Stamp, read_stamp
from lanewater.terms.errors import InputError
from lanewater.terms.jsontext import read_json
from lanewater.terms.shapes import INSTANT

EVENTS, STAMPS, KEYS, MANIFEST = "events.jsonl", "stamps.txt", "keys.json", "manifest.sha256"
REQUIRED = (EVENTS, STAMPS, KEYS)
LARGEST = 2**53 - 1
LONGEST_LINE = 256 * 1024  # 16 KiB of entry, each byte at most six when escaped, and the rest

SIGNATURE = re.compile(r"[0-9a-f]{128}", re.ASCII)
LISTED = re.compile(r"([0-9a-f]{64})  ([a-z0-9][a-z0-9._-]{0,63})", re.ASCII)


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the record: its place, when it was received, the entry's bytes, its signature."""

    index: int
    received_at: str
    raw: bytes
    sig: str


def spelled(value: Any) -> bytes:
    """Write a value of the record's profile in its canonical form, for comparing with what is read.

    In the profile names are ASCII and numbers whole, so the library's form and this one are the
    same bytes; this one is written several times as fast.
    """
    return json.dumps(value, ensure_ascii=False, sort_keys=True, separators=(",", ":")).encode()


def events_line(index: int, received_at: str, raw: bytes, sig: bytes) -> bytes:
    """Write one line of events.jsonl, its line feed included."""
    fields: dict[str, Any] = {
        "index": index,
        "received_at": received_at,
        "entry": raw.decode(),
        "sig": sig.hex(),
    }
    line: bytes = rfc8785.dumps(fields) + b"\n"
    return line


def read_line(raw: bytes) -> Line | None:
    """Read one line of events.jsonl, without its line feed; None where it is not as written."""
    if len(raw) > LONGEST_LINE:
        return None
    try:
        fields = read_json(raw)
        if not isinstance(fields, dict) or spelled(fields) != raw:
            return None
    except (InputError, ValueError, RecursionError):
        return None
    if set(fields) != {"index", "received_at", "entry", "sig"}:
        return None
    return line_of(**fields)


def line_of(index: Any, received_at: Any, entry: Any, sig: Any) -> Line | None:
    """Give a line from its fields; None where one of them cannot be."""
    if not (isinstance(index, int) and not isinstance(index, bool) and 0 <= index <= LARGEST):
        return None
    if not all(isinstance(text, str) for text in (received_at, entry, sig)):
        return None
    if not (INSTANT.fullmatch(received_at) and SIGNATURE.fullmatch(sig)):
        return None
    return Line(index, received_at, entry.encode(), sig)


def read_lines(raw: bytes) -> Iterator[Line | None]:
    """Read events.jsonl; a last line without a line feed was cut short and cannot be read."""
    lines = raw.split(b"\n")
    for line in lines[:-1]:
        yield read_line(line)
    if lines[-1] != b"":
        yield None


def stamps_text(notes: Iterable[str]) -> str:
    """Write stamps.txt: the notes, a blank line between each two."""
    return "\n".join(notes)


def read_stamps(text: str) -> list[Stamp]:
    """Read stamps.txt.

    Raises
    ------
    InputError
        Where it is not as `stamps_text` writes it.
    """
    if text == "":
        return []
    parts = text.split("\n\n")
    if len(parts) % 2 == 1:
        raise InputError("stamps", "a note is cut short")
    notes = [f"{said}\n\n{below}\n" for said, below in zip(parts[::2], parts[1::2], strict=True)]
    notes[-1] = notes[-1][:-1]
    return [read_stamp(note) for note in notes]


def keys_text(keys: Mapping[str, Any]) -> bytes:
    """Write keys.json from what the lines say of the keys (`verifying.keys_of`)."""
    line: bytes = rfc8785.dumps(dict(keys)) + b"\n"
    return line


def manifest_text(files: Mapping[str, bytes]) -> bytes:
    """Write manifest.sha256 over the other files, sorted by name."""
    return manifest_of({name: hashlib.sha256(raw).hexdigest() for name, raw in files.items()})


def manifest_of(hashes: Mapping[str, str]) -> bytes:
    """Write manifest.sha256 from the SHA-256 of each file, sorted by name."""
    return "".join(f"{hashes[name]}  {name}\n" for name in sorted(hashes)).encode()


def read_manifest(raw: bytes) -> dict[str, str] | None:
    """Read manifest.sha256, from name to hash; None where it is not as written."""
    try:
        lines = raw.decode("ascii").split("\n")
    except UnicodeDecodeError:
        return None
    found = [LISTED.fullmatch(line) for line in lines[:-1]]
    if lines[-1] != "" or not all(found):
        return None
    names = [match[2] for match in found if match]
    if names != sorted(set(names)) or MANIFEST in names:
        return None
    return {match[2]: match[1] for match in found if match}
