"""The record's stamp, and what an older one says of the record."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from lanewater.interfaces.api.schemas.base import Sent, Told

Outcome = Literal["goes-on", "rolled-back", "changed", "another-record", "not-signed"]


class StampAnswer(Told):
    """The signed stamp of the record as it is now, and the squares of its QR code."""

    stamp: str
    lines: int
    squares: list[Annotated[str, Field(pattern=r"^[01]+$")]]


class StampSent(Sent):
    """An older stamp, as it stands on a print or in a mailbox."""

    stamp: Annotated[str, Field(min_length=1, max_length=4096)]


class ComparedAnswer(Told):
    """How the record stands to an older stamp."""

    outcome: Outcome
    size: int
    lines: int
    signed: bool
