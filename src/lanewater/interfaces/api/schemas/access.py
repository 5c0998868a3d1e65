"""Enrolling, signing in, and what a page knows of who asks."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from lanewater.interfaces.api.schemas.base import Identity, Instant, Name, Pin, Sent, Told


class SigningSent(Sent):
    """A device's own key, and the proof that it is: see the page on the record's form."""

    algorithm: Literal["ed25519", "ecdsa-p256"]
    public_key: Annotated[
        str, StringConstraints(pattern=r"^([0-9a-f]{64}|04[0-9a-f]{128})$", max_length=130)
    ]
    proof: Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{128}$", max_length=128)]


class EnrolSent(Sent):
    """A first key, as printed."""

    key: Annotated[str, Field(min_length=1, max_length=100)]
    name: Name
    kind: Literal["shared", "office"] | None = None
    signing: SigningSent | None = None


class EnrolAnswer(Told):
    """The browser is enrolled; its token is in a cookie.

    Entries it signs name `site`; the log's key signs the stamps and receipts that it is given.
    """

    device: str
    site: str
    log_key: str


class SignInSent(Sent):
    """Who signs in on this browser."""

    person: Identity
    pin: Pin


class PersonTold(Told):
    """A person as the sign-in page shows them."""

    id: str
    initials: str
    name: str
    roles: list[str]


class GrantTold(Told):
    """Shows that somebody's PIN was proved on this device; signed with the log's key."""

    text: str
    sig: str


class SignedIn(PersonTold):
    """Who is signed in, and for a device that signs for itself a grant."""

    grant: GrantTold | None


class UnlockSent(Sent):
    """Who may try again on which browser."""

    person: Identity
    device: Identity


class ForgetSent(Sent):
    """Whose name is to be forgotten; that cannot be undone."""

    person: Identity


class ForgottenAnswer(Told):
    """What went, and what is left."""

    person: str
    shown_as: str
    contacts: list[str]
    traces: Literal["none", "left"]
    stands_in: list[str]


class DeviceSent(Sent):
    """An enrolled browser."""

    device: Identity


class RemoveSent(DeviceSent):
    """A browser that is to be heard no more, and since when it is out of sight."""

    lost_at: Instant | None = None


class DeviceTold(Told):
    """An enrolled browser."""

    id: str
    name: str
    kind: str


class SiteTold(Told):
    """The site, as far as this browser may know."""

    name: str
    timezone: str | None = None
    units: dict[str, str] | None = None
    rules: str | None = None


class MeAnswer(Told):
    """Who asks, from which browser, and what they may."""

    enrolled: bool
    device: DeviceTold | None
    person: str | None
    name: str
    initials: str
    roles: list[str]
    owner: bool
    may_set_up: bool
    may: dict[str, str]
    demo: bool
    secure: bool
    recording: bool
    trouble: str
    locked: bool
    now: str
    site: SiteTold
