"""Opening with nobody senior there: a word by telephone, and standing authority."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from lanewater.interfaces.api.schemas.base import Identity, Instant, Pin, Sent, Told


class ConfirmSent(Sent):
    """Standing by one's word, on which a pool was opened."""

    opening: Identity
    pin: Pin


class AuthoritySent(Sent):
    """Who may open which pools, and when; only where every reading meets."""

    person: Identity
    pools: Annotated[list[Identity], Field(min_length=1, max_length=100)]
    from_: Annotated[Instant, Field(alias="from")]
    until: Instant
    pin: Pin


class AuthorityEndSent(Sent):
    """Which standing authority ends."""

    authority: Identity
    pin: Pin


class AuthorityGiven(Told):
    """It is on disk."""

    authority: str
    entry: str


class AuthorityTold(Told):
    """A standing authority that holds now or will."""

    authority: str
    entry: str
    person: str
    pools: list[str]
    from_: Annotated[str, Field(alias="from")]
    until: str
    given_by: str


class AuthoritiesAnswer(Told):
    """Who may open though it is not their part, and whether a word by telephone opens here."""

    authorities: list[AuthorityTold]
    telephone: bool


class TelephoneSent(Sent):
    """Whether a pool may be opened on a word by telephone."""

    allowed: bool


class TelephoneAnswer(Told):
    """How it is from now on."""

    allowed: bool
