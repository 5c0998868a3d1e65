"""Newer texts of the rules, accepting them, and one round under every rules pack."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import StringConstraints

from lanewater.interfaces.api.schemas.base import Identity, Pin, Sent, Told

Digest = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$", max_length=64)]


class RulesAcceptSent(Sent):
    """Which text is accepted, by its hash; with a pool where that has rules of its own."""

    rules: Identity
    hash: Digest
    pin: Pin
    pool: Identity | None = None


class RulesAccepted(Told):
    """It is on disk, and holds from now on."""

    entry: str
    rules: str
    edition: str
    hash: str


class RuleChange(Told):
    """One thing that a newer text changes: with a sentence, and the pools that it touches."""

    change: str
    table: str
    rule: str
    clause: str
    parameter: str
    level: str
    was: str
    now: str
    was_comparison: str
    was_limit: str
    now_comparison: str
    now_limit: str
    text: str
    pools: list[str]


class RulesWaitingRow(Told):
    """A newer text: pool is empty for the site; unknown says why no changes can be shown."""

    pool: str
    rules: str
    title: str
    status: str
    was: str
    edition_was: str
    hash: str
    edition: str
    may_be_accepted: bool
    why_not: str
    unknown: str
    changes: list[RuleChange]


class RulesWaitingAnswer(Told):
    """The newer texts of the chosen rules; nothing changes until somebody accepts them."""

    waiting: list[RulesWaitingRow]


class EveryPackAnswer(Told):
    """A round's case as the kernel judges it, and every rules pack in compiled form."""

    case: dict[str, Any]
    packs: list[dict[str, Any]]
