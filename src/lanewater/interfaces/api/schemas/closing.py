"""Closing for cause and what follows it, and who decides what here."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Literal, TypeAlias

from pydantic import Field, StringConstraints

from lanewater.interfaces.api.schemas.base import Identity, Pin, Role, Sent, Short, Told, Words
from lanewater.terms.words import DECISION_ANSWERS, DECISIONS

Authority = Annotated[str, StringConstraints(min_length=1, max_length=200)]
Reference = Annotated[str, StringConstraints(max_length=120)]
Clause = Annotated[str, StringConstraints(max_length=200)]
Named = Annotated[str, StringConstraints(min_length=1, max_length=200)]
Language = Annotated[str, StringConstraints(min_length=2, max_length=8)]

if TYPE_CHECKING:  # closed lists made from data are more than a type checker can follow
    Decision: TypeAlias = str
    DecisionAnswer: TypeAlias = str
else:
    Decision = Literal[DECISIONS]
    DecisionAnswer = Literal[DECISION_ANSWERS]


class CloseSent(Sent):
    """A named person closes the pool for cause, or shuts it for the hours."""

    kind: Literal["closed", "shut"]
    reason: Words | None = None
    pin: Pin | None = None
    by_order: bool | None = None
    authority: Authority | None = None
    reference: Reference | None = None
    clause: Clause | None = None
    scope: Literal["pool", "circuit", "site"] | None = None
    incident: Identity | None = None
    round: Identity | None = None


class OneClosed(Told):
    """One pool that was closed, and the line that says so."""

    pool: str
    entry: str


class ClosedAnswer(Told):
    """It is on disk: every pool that was closed, the one it was said of first."""

    entry: str
    closed: list[OneClosed]


class DocumentSent(Sent):
    """A paper of the authority's, by name and digest; the paper itself is kept elsewhere."""

    name: Named
    sha256: Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$", max_length=64)]


class LiftSent(Sent):
    """An authority lifted its order."""

    closure: Identity
    authority: Authority
    pin: Pin
    reference: Reference | None = None
    document: DocumentSent | None = None


class NotifiedSent(Sent):
    """An authority was notified of something on record."""

    about: Identity
    authority: Authority
    how: Short | None = None
    deadline: Named | None = None
    words: Words | None = None


class NoticeSent(Sent):
    """A sign was put up."""

    about: Identity
    languages: Annotated[list[Language], Field(min_length=1, max_length=12)]
    place: Reference | None = None


class DeadlineMetSent(Sent):
    """A person says that a deadline of the rules was met."""

    about: Identity
    deadline: Named
    words: Words | None = None


class AnswerSent(Sent):
    """What one role may decide from now on."""

    decision: Decision
    role: Role
    answer: DecisionAnswer


class MatrixSent(Sent):
    """Who decides what here, where it changes."""

    rows: Annotated[list[AnswerSent], Field(min_length=1, max_length=100)]


class DecisionTold(Told):
    """Who may decide one thing here; `changed` are roles whose answer is not the default."""

    decision: str
    answers: dict[str, str]
    changed: list[str]
    always: bool


class MatrixAnswer(Told):
    """Who decides what here."""

    rows: list[DecisionTold]


class MatrixSetAnswer(MatrixAnswer):
    """Who decides what here from now on."""

    entry: str
