"""Rounds and readings."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Discriminator, Field, Tag

from lanewater.interfaces.api.schemas.base import (
    Decimal,
    FactId,
    Identity,
    Instant,
    Parameter,
    Sent,
    Short,
    Told,
    Unit,
    Value,
    Words,
)


class Between(Sent):
    """Between two colours of a comparator."""

    low: Decimal
    high: Decimal


class ReadingSent(Sent):
    """One reading as typed."""

    parameter: Parameter
    value: Value | None = None
    unit: Unit | None = None
    point: Short | None = None
    at: Instant | None = None
    kit: Identity | None = None
    lot: Annotated[str, Field(max_length=40)] | None = None
    dilution: Annotated[int, Field(ge=1, le=1000)] | None = None
    between: Between | None = None


class ChangedSent(Sent):
    """The earlier value of a reading that was changed after its result was shown."""

    parameter: Parameter
    value: Value
    point: Short | None = None
    at: Instant | None = None


def form_of(readings: Any) -> str:
    """Tell the short form, an object, from the long form, a list."""
    return "long" if isinstance(readings, list) else "short"


ReadingsSent = Annotated[
    Annotated[dict[Parameter, Value], Field(min_length=1, max_length=60), Tag("short")]
    | Annotated[list[ReadingSent], Field(min_length=1, max_length=120), Tag("long")],
    Discriminator(form_of),
]


class RoundSent(Sent):
    """A round, or a sample of a laboratory."""

    pool: Identity
    readings: ReadingsSent
    at: Instant | None = None
    id: FactId | None = None
    source: Literal["direct", "late", "paper"] | None = None
    reason: Words | None = None
    purpose: Literal["round", "sample"] | None = None
    changed_after_result: Annotated[list[ChangedSent], Field(max_length=60)] | None = None
    bathers: Annotated[int, Field(ge=0, le=100_000)] | None = None
    note: Words | None = None
    repeats: FactId | None = None


class CorrectionSent(Sent):
    """A correction: both values stay, with the reason."""

    parameter: Parameter
    value: Value
    reason: Words
    point: Short | None = None
    unit: Unit | None = None
    dilution: Annotated[int, Field(ge=1, le=100)] | None = None


class VerdictTold(Told):
    """What the rules say of a round, as `lanewater judge` gives it."""

    rules: str | None
    edition: str | None
    status: str | None
    overall: str
    level: str
    stops: list[dict[str, Any]]
    results: list[dict[str, Any]]
    not_judged: list[dict[str, Any]]
    actions: list[dict[str, Any]]
    findings: list[dict[str, Any]]
    next_due: dict[str, Any]
    changed_to_pass: bool
    differs_from: str = ""


class RoundAnswer(Told):
    """The round is on disk; and what the rules say of it."""

    round: str
    recorded_at: str
    repeated: bool
    judged: bool
    verdict: VerdictTold | None
    repeat_asked: bool
    changed_to_pass: bool
    why_not_judged: str | None = None
