"""What is due, that a duty was done, and that something happened."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any, Literal, TypeAlias

from pydantic import Field

from lanewater.interfaces.api.schemas.base import Identity, Sent, Told, Words
from lanewater.terms.words import DUTY_KINDS, NOTED_EVENTS

if TYPE_CHECKING:  # closed lists made from data are more than a type checker can follow
    DutyKind: TypeAlias = str
    NotedEvent: TypeAlias = str
else:
    DutyKind = Literal[DUTY_KINDS]
    NotedEvent = Literal[NOTED_EVENTS]

DutyId = Annotated[str, Field(min_length=1, max_length=160)]


class DueAnswer(Told):
    """What is due: for whoever asks, for other roles, and after today."""

    now: str
    mine: list[dict[str, Any]]
    others: list[dict[str, Any]]
    later: list[dict[str, Any]]


class DutyDoneSent(Sent):
    """A duty was done, was not needed, or was not done."""

    duty: DutyId
    answer: Literal["done", "not-needed", "not-done"]
    pool: Identity | None = None
    words: Words | None = None


class EventSent(Sent):
    """Something happened that a test may be asked for after."""

    what: NotedEvent
    pool: Identity | None = None
    words: Words | None = None
