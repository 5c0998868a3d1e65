"""Incidents: begun by anybody, stepped through, ended by somebody who may."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any, Literal, TypeAlias

from pydantic import Field

from lanewater.interfaces.api.schemas.base import Identity, Instant, Pin, Sent, Told, Words
from lanewater.records.kinds_events import INCIDENT_NOTES, STEP_ANSWERS
from lanewater.terms.words import INCIDENT_KINDS

if TYPE_CHECKING:  # closed lists made from data are more than a type checker can follow
    Kind: TypeAlias = str
    StepAnswer: TypeAlias = str
    NoteOf: TypeAlias = str
else:
    Kind = Literal[INCIDENT_KINDS]
    StepAnswer = Literal[STEP_ANSWERS]
    NoteOf = Literal[INCIDENT_NOTES]

Step = Annotated[str, Field(min_length=1, max_length=60)]
Named = Annotated[str, Field(min_length=1, max_length=80)]


class IncidentSent(Sent):
    """What happened, in which pool; the pools on its filter are stopped as well."""

    kind: Kind
    pool: Identity
    pools: Annotated[list[Identity], Field(min_length=1, max_length=60)] | None = None
    at: Instant | None = None
    nobody_in: bool | None = None
    words: Words | None = None


class IncidentBegun(Told):
    """It is on disk, and the house stop of each pool with it."""

    incident: str
    entry: str
    pools: list[str]


class StepSent(Sent):
    """A step was done, is not needed, or was not done after all."""

    step: Step
    answer: StepAnswer
    words: Words | None = None


class RouteSent(Sent):
    """Which of the rules' own routes a person chose."""

    procedure: Named
    route: Named
    pin: Pin


class NoteSent(Sent):
    """It was seen or heard again, how many people, or something in words."""

    what: NoteOf
    count: Annotated[int, Field(ge=0, le=100000)] | None = None
    words: Words | None = None
    at: Instant | None = None


class IncidentEndSent(Sent):
    """A named person ends it: everything asked for is met, or it was a false alarm."""

    pin: Pin
    false_alarm: bool | None = None
    reason: Words | None = None


class IncidentEnded(Told):
    """It is on disk; each pool stays closed until somebody opens it."""

    entry: str
    outcome: str
    pools: list[str]


class IncidentTold(Told):
    """How an incident stands."""

    incident: str
    kind: str
    pool: str
    pools: list[str]
    since: str
    by: str
    stop: str
    entry: str
    words: str
    nobody_in: bool
    steps: list[dict[str, Any]]
    procedures: list[dict[str, Any]]
    route: dict[str, Any] | None
    clock: dict[str, Any] | None
    doubtful: list[str]
    quiet_until: str | None
    quiet_minutes: int
    quiet_assumed: bool
    still_minutes: int | None
    criteria: list[dict[str, Any]]
    may_end: bool
    why_not: list[str]
    next: str
    report: dict[str, Any]
    notes: list[dict[str, Any]]
    open: bool
    ended: dict[str, Any] | None


class IncidentPast(Told):
    """An incident that is ended."""

    incident: str
    kind: str
    pool: str
    pools: list[str]
    since: str
    by: str
    ended: dict[str, Any]


class IncidentsAnswer(Told):
    """Those that are open, and the last that were ended."""

    incidents: list[IncidentTold]
    ended: list[IncidentPast]
