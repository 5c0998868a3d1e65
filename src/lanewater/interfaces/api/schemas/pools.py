"""Everyone out, opening and closing, telling, advice and additions."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from lanewater.interfaces.api.schemas.base import (
    Decimal,
    HouseStop,
    Identity,
    Instant,
    Pin,
    Sent,
    Short,
    Told,
    Words,
)

Answered = Literal["yes", "no", "unknown"]
Confirmed = Annotated[
    list[Annotated[str, Field(min_length=1, max_length=200)]],
    Field(max_length=40, description="What the rules want seen to before reopening, by its id."),
]


class EveryoneOutSent(Sent):
    """A house stop: any person, any role, no rules."""

    stop: HouseStop
    at: Instant | None = None
    nobody_in: bool | None = None
    words: Words | None = None


class EveryoneOutAnswer(Told):
    """It is on disk; and which pools on the same filter to look at."""

    entry: str
    also_look: list[str]


class EndStopSent(Sent):
    """A second look ends a house stop."""

    reason: Words
    pin: Pin
    stop: HouseStop | None = None
    false_alarm: bool | None = None


class OpenSent(Sent):
    """A named person opens the pool: by role, on somebody's word, or under standing authority."""

    pin: Pin
    reason: Words | None = None
    word_of: Identity | None = None
    standing: Identity | None = None
    confirmed: Confirmed | None = None


class SettleSent(Sent):
    """A named person decides how a pool stands where two devices disagree."""

    status: Literal["open", "closed"]
    entries: Annotated[list[Identity], Field(min_length=2, max_length=40)]
    reason: Words
    pin: Pin
    confirmed: Confirmed | None = None


class ToldSent(Sent):
    """Somebody was told of a round or a stop."""

    about: Identity
    whom: Identity
    how: Short | None = None


class QuestionsSent(Sent):
    """The four questions, asked at that moment; none has a default."""

    everybody_out: Answered
    pump_running: Answered
    anything_added: Answered
    looked: Answered


class AdviceSent(Sent):
    """What to add now, if anything."""

    pool: Identity
    questions: QuestionsSent
    volume_of: Literal["pool", "circuit"] | None = None
    product: Identity | None = None
    accept_guess: bool | None = None


class AdditionStartSent(Sent):
    """Adding it now."""

    pool: Identity
    advice: Identity | None = None
    product: Identity | None = None
    amount: Decimal | None = None
    unit: Annotated[str, Field(min_length=1, max_length=12)] | None = None
    lot: Annotated[str, Field(max_length=40)] | None = None
    scope: Literal["pool", "circuit"] | None = None


class AdditionAnswerSent(Sent):
    """Added, not added, or nobody knows; with pool and product for what nobody asked about."""

    answer: Literal["added", "not-added", "unknown"]
    addition: Identity | None = None
    advice: Identity | None = None
    pool: Identity | None = None
    product: Identity | None = None
    amount: Decimal | None = None
    unit: Annotated[str, Field(min_length=1, max_length=12)] | None = None
    lot: Annotated[str, Field(max_length=40)] | None = None
    scope: Literal["pool", "circuit"] | None = None


class EntryTold(Told):
    """It is on disk, as this line of the record."""

    entry: str
