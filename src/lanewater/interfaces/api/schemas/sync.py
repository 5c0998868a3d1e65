"""Devices that sign for themselves: what they send later, and the copy of the record they keep."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from lanewater.interfaces.api.schemas.base import Sent, Told
from lanewater.records.entries import MOST_BYTES
from lanewater.records.receiving import MOST_AT_ONCE
from lanewater.service.grants import LONGEST_GRANT, MOST_GRANTS

Signature = Annotated[
    str,
    StringConstraints(pattern=r"^[0-9a-f]{128}$", max_length=128),
    Field(description="64 bytes, hexadecimal: Ed25519, or r and s of ECDSA on P-256."),
]
Digest = Annotated[str, Field(description="SHA-256, hexadecimal.")]
Note = Annotated[
    str, Field(description="A stamp of the record: a signed note, or empty where there is none.")
]


class SealedSent(Sent):
    """One entry as its device signed it."""

    entry: Annotated[
        str,
        Field(min_length=2, max_length=MOST_BYTES, description="Its canonical text."),
    ]
    sig: Signature


class GrantSent(Sent):
    """What the server once gave a device when somebody signed in on it, as it came."""

    text: Annotated[str, Field(min_length=2, max_length=LONGEST_GRANT)]
    sig: Signature


class EntriesSent(Sent):
    """What a device wrote by itself, in its own order; none is a question where it stands."""

    entries: Annotated[list[SealedSent], Field(max_length=MOST_AT_ONCE)]
    stamp: Annotated[str, Field(max_length=4096)] | None = None
    grants: Annotated[list[GrantSent], Field(max_length=MOST_GRANTS)] | None = None


class ReceiptTold(Told):
    """Where an entry stands, signed with the log's key."""

    origin: str
    index: int
    leaf: Digest
    id: str
    received_at: str
    sig: str


class OutcomeTold(Told):
    """What came of one entry; `sha256` tells which bytes are meant."""

    id: str
    sha256: Digest
    outcome: Literal["recorded", "known", "refused"]
    receipt: ReceiptTold | None = None
    why: str | None = None
    words: str | None = None
    about: str | None = None
    again: bool | None = None
    send_from: int | None = None


class HeadTold(Told):
    """The last entry of the asking device on record."""

    dseq: int
    sha256: str


class EntriesTaken(Told):
    """What came of each entry; all of it is on disk."""

    outcomes: list[OutcomeTold]
    head: HeadTold
    stamp: Note


class LineTold(Told):
    """A line of the record; its hash alone where it tells an amount."""

    index: int
    received_at: str
    entry: str | None = None
    sha256: Digest | None = None
    sig: str


class LinesAnswer(Told):
    """Lines of the record, and the stamp to hold them to."""

    lines: list[LineTold]
    stamp: Note


class StampFromAnswer(Told):
    """The stamp of the record, and the proof that it goes on from an older one."""

    stamp: Note
    consistency: list[Digest]
    keys: list[dict[str, str]]
