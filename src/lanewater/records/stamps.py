"""Stamps: the head of the record, signed, in a form that other programs read as well.

A stamp is a C2SP checkpoint (origin, size, root) in a C2SP signed note. It names no person and may
be given to anybody; whoever holds one can tell later whether the record still begins as it did.
Receipts say where one entry stands. All are signed with the log's own Ed25519 key.
Sources: C2SP tlog-checkpoint and signed-note.
"""

from __future__ import annotations

import base64
import binascii
import hashlib
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import rfc8785

from lanewater.records.signing import DeviceKey, ed25519_holds
from lanewater.terms.errors import InputError

RECEIPT_PREFIX = b"lanewater/receipt/v1\n"
HANDOVER_PREFIX = b"lanewater/log-key/v1\n"
RECEIPT_FIELDS = ("origin", "index", "leaf", "id", "received_at")
ED25519_NOTE = b"\x01"  # the signature type byte of a signed note
MOST_CHARACTERS = 4096
MOST_SIGNATURES = 16
LARGEST = 2**53 - 1

ORIGIN = re.compile(r"lanewater/[a-z0-9][a-z0-9._:-]{0,63}/[0-9a-f]{16}/[1-9][0-9]{0,8}", re.ASCII)
SIZE = re.compile(r"0|[1-9][0-9]{0,15}", re.ASCII)
SIGNATURE_LINE = re.compile(r"— ([!-*,-~]{1,128}) ([A-Za-z0-9+/]+={0,2})")


@dataclass(frozen=True, slots=True)
class Head:
    """What a stamp says: how many entries there are, and the hash over all of them."""

    origin: str
    size: int
    root: bytes

    @property
    def text(self) -> str:
        """Give the three lines that are signed."""
        return f"{self.origin}\n{self.size}\n{base64.b64encode(self.root).decode()}\n"

    @property
    def epoch(self) -> int:
        """Give the epoch: 1, and one more for every time the record was restored."""
        return int(self.origin.rsplit("/", 1)[1])

    @property
    def name(self) -> str:
        """Give the name of the log's key: the origin without its epoch."""
        return self.origin.rsplit("/", 1)[0]


@dataclass(frozen=True, slots=True)
class Stamp:
    """A signed head; signatures are (name, key id, signature), in the order they stand."""

    head: Head
    signatures: tuple[tuple[str, bytes, bytes], ...]


def origin_of(site: str, first_hash: str, epoch: int) -> str:
    """Give the origin line of a record.

    Parameters
    ----------
    site : str
        The site's id.
    first_hash : str
        SHA-256 of the record's first entry, hexadecimal.
    epoch : int
        1, and one more for every `record-restored` on record.
    """
    return f"lanewater/{site}/{first_hash[:16]}/{epoch}"


def key_id(name: str, public_hex: str) -> bytes:
    """Give the four bytes by which a signed note tells one key from another."""
    named = name.encode() + b"\n" + ED25519_NOTE + bytes.fromhex(public_hex)
    return hashlib.sha256(named).digest()[:4]


def make_stamp(head: Head, key: DeviceKey) -> str:
    """Sign a head and give the note: three lines, a blank one, the signature."""
    signed = key_id(head.name, key.public_hex) + key.private.sign(head.text.encode())
    return f"{head.text}\n— {head.name} {base64.b64encode(signed).decode()}\n"


def note_of(stamp: Stamp) -> str:
    """Give a stamp's note again; a note has one spelling only."""
    lines = [
        f"— {name} {base64.b64encode(key + signature).decode()}\n"
        for name, key, signature in stamp.signatures
    ]
    return f"{stamp.head.text}\n{''.join(lines)}"


def read_stamp(text: str) -> Stamp:
    """Read a note strictly; what its signatures are worth, `stamp_holds` tells.

    Raises
    ------
    InputError
        Naming the line that does not fit.
    """
    if len(text) > MOST_CHARACTERS:
        raise InputError("stamp", f"is longer than {MOST_CHARACTERS} characters")
    said, blank, below = text.partition("\n\n")
    lines = said.split("\n")
    if not blank or len(lines) != 3:
        raise InputError("stamp", "must be three lines, a blank line and a signature")
    if not below.endswith("\n"):
        raise InputError("stamp", "must end with a line feed; its last line may be cut short")
    signatures = tuple(read_signature(line) for line in below[:-1].split("\n"))
    if len(signatures) > MOST_SIGNATURES:
        raise InputError("stamp", f"carries more than {MOST_SIGNATURES} signatures")
    return Stamp(read_head(*lines), signatures)


def read_head(origin: str, size: str, root: str) -> Head:
    """Read the three lines of a head."""
    if not ORIGIN.fullmatch(origin):
        raise InputError("stamp line 1", "must be an origin such as lanewater/SITE/0123…/1")
    if not SIZE.fullmatch(size) or int(size) > LARGEST:
        raise InputError("stamp line 2", "must be the number of entries, without leading zeros")
    return Head(origin, int(size), read_base64(root, 32, "stamp line 3"))


def read_signature(line: str) -> tuple[str, bytes, bytes]:
    """Read a signature line: a dash, the key's name, its id and the signature in base64."""
    found = SIGNATURE_LINE.fullmatch(line)
    if not found:
        raise InputError("stamp signature", 'must be "— NAME BASE64"')
    raw = read_base64(found[2], None, "stamp signature")
    return found[1], raw[:4], raw[4:]


def read_base64(text: str, length: int | None, where: str) -> bytes:
    """Read base64 that has one spelling only: padded, and no spare bits set."""
    try:
        raw = base64.b64decode(text, validate=True)
    except (binascii.Error, ValueError):
        raise InputError(where, "is not base64") from None
    if base64.b64encode(raw).decode() != text:
        raise InputError(where, "is not base64 in its one spelling")
    if (len(raw) != length) if length is not None else (len(raw) < 5):
        raise InputError(where, f"holds {len(raw)} bytes, which cannot be right")
    return raw


def stamp_holds(stamp: Stamp, public_hex: str, name: str) -> bool:
    """Tell whether a stamp carries the signature of one key under one name.

    Signatures of other keys are passed over, as a signed note asks; one that claims this key and
    does not fit makes the stamp not hold.
    """
    try:
        wanted = (name, key_id(name, public_hex))
    except ValueError:
        return False
    claimed = [raw for told, key, raw in stamp.signatures if (told, key) == wanted]
    message = stamp.head.text.encode()
    return len(claimed) > 0 and all(ed25519_holds(public_hex, message, raw) for raw in claimed)


def make_receipt(key: DeviceKey, body: Mapping[str, Any]) -> dict[str, Any]:
    """Sign where an entry stands: origin, index, leaf (hex), id and received_at."""
    said = {name: body[name] for name in RECEIPT_FIELDS}
    return {**said, "sig": key.private.sign(RECEIPT_PREFIX + rfc8785.dumps(said)).hex()}


def receipt_holds(receipt: Mapping[str, Any], public_hex: str) -> bool:
    """Tell whether a receipt is whole and signed by the log's key; False on anything odd."""
    try:
        if set(receipt) != {*RECEIPT_FIELDS, "sig"}:
            return False
        said = rfc8785.dumps({name: receipt[name] for name in RECEIPT_FIELDS})
        return ed25519_holds(public_hex, RECEIPT_PREFIX + said, bytes.fromhex(receipt["sig"]))
    except (ValueError, TypeError):  # CanonicalizationError is a ValueError
        return False


def handover_word(old: DeviceKey, new_public_hex: str) -> str:
    """Give the old log key's word for the new one, which the entry that names it carries."""
    return old.private.sign(HANDOVER_PREFIX + bytes.fromhex(new_public_hex)).hex()


def handover_holds(word_hex: str, old_public_hex: str, new_public_hex: str) -> bool:
    """Tell whether the old log key gave its word for the new one."""
    try:
        message = HANDOVER_PREFIX + bytes.fromhex(new_public_hex)
        return ed25519_holds(old_public_hex, message, bytes.fromhex(word_hex))
    except (ValueError, TypeError):
        return False
