"""What the larger answers hold: their names are promised, what is deeper is the service's."""

from __future__ import annotations

from typing import Any

from pydantic import RootModel

from lanewater.interfaces.api.schemas.access import PersonTold
from lanewater.interfaces.api.schemas.base import Told
from lanewater.interfaces.api.schemas.rounds import VerdictTold


class PeopleAnswer(RootModel[list[PersonTold]]):
    """Who works here."""


class PoolNow(Told):
    """One pool as it stands."""

    pool: str
    name: str
    same_filter: list[str]
    status: str
    since: str | None
    by: str
    reason: str
    marked: list[str]
    within_hours: bool
    word_of: str
    standing: str
    confirmed: str | None
    confirmed_by: str
    on_device: bool
    without_authority: bool
    lead: str
    lead_why: list[str]
    round: dict[str, Any] | None
    verdict: VerdictTold | None
    heard: dict[str, str] | None
    due: dict[str, Any]
    stale: bool
    stops: list[dict[str, Any]]
    open_actions: list[dict[str, Any]]
    opening: dict[str, Any]
    also_closed: list[dict[str, str]]
    closures: list[dict[str, Any]]
    reopening: list[dict[str, Any]]
    deadlines: list[dict[str, Any]]
    samples: list[dict[str, Any]]


class NowAnswer(Told):
    """How every pool stands."""

    now: str
    recording: bool
    trouble: str
    site: dict[str, Any]
    pools: list[PoolNow]
    contacts: list[dict[str, str]]
    tell: list[dict[str, Any]]
    people: dict[str, dict[str, str]]


class CausesAnswer(Told):
    """What may lie behind pH, chlorine, combined chlorine and a probe, each in order."""

    answers: list[dict[str, Any]]


class AdditionsAnswer(Told):
    """What was added to a pool, and what the record suggests of its water."""

    additions: list[dict[str, Any]]
    volume: dict[str, Any]
    drift: dict[str, Any]


class ContextAnswer(Told):
    """What a page needs to judge a round by itself."""

    now: str
    pool: dict[str, Any]
    rules: dict[str, Any] | None
    case: dict[str, Any]
    kits: list[dict[str, Any]]
    reagents: list[dict[str, Any]]
    limits: list[dict[str, Any]]
    last_round: dict[str, Any] | None
    point: str
    due: dict[str, Any]


class RoundTold(Told):
    """A round on record."""

    id: str
    pool: str
    at: str
    recorded_at: str
    source: str
    purpose: str
    by: str
    verified: bool
    through: str
    readings: list[dict[str, Any]]
    changed_after_result: list[dict[str, Any]]
    bathers: int | None
    note: str
    reason: str
    verdict: VerdictTold | None


class RoundsAnswer(RootModel[list[RoundTold]]):
    """Rounds, oldest first."""


class RecordLine(Told):
    """One line of the record."""

    index: int
    id: str
    type: str
    at: str
    recorded_at: str
    received_at: str
    by: str
    method: str
    verified: bool
    body: dict[str, Any]
    through: str | None = None
    pool: str | None = None
    reason: str | None = None
    amends: str | None = None
    rules: dict[str, str] | None = None
    readings: list[dict[str, Any]] | None = None
    overall: str | None = None
    judged: list[dict[str, str]] | None = None
    window: dict[str, str] | None = None
    after_reported_loss: bool | None = None
    without_authority: bool | None = None
    product_name: str | None = None
    timing: str | None = None
    words: str | None = None
    withheld: bool | None = None


class RecordAnswer(RootModel[list[RecordLine]]):
    """Lines of the record, oldest first."""


class OpenedAnswer(Told):
    """The pool is open, on this person's word; and why that needed a reason."""

    entry: str
    marked: list[str]


class StopEndedAnswer(Told):
    """The house stops that were ended."""

    entry: str
    ended: list[str]


class AnyAnswer(RootModel[dict[str, Any]]):
    """An object that the documentation describes."""


class AdditionStarted(Told):
    """It is being added now."""

    addition: str


class AdditionAnswered(Told):
    """What came of it, and what now stands in the way of another."""

    answer: str
    blocks: list[dict[str, str]]


class RulesRow(Told):
    """A rules pack and what it covers."""

    id: str
    title: str
    status: str
    edition: str
    law: bool
    read_on: str
    coverage: dict[str, str]
    full_coverage: bool


class RulesAnswer(RootModel[list[RulesRow]]):
    """The rules packs held here."""


class HealthAnswer(Told):
    """The server runs; and whether it still records."""

    ok: bool
    recording: bool
