"""The handover, and who took over."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import Field

from lanewater.interfaces.api.schemas.base import Instant, Sent, Told

Mark = Annotated[str, Field(max_length=120)]


class HandedPool(Told):
    """One pool's part: how it stands, what is open there, what moves."""

    pool: str
    name: str
    status: str
    since: str | None
    by: str
    reason: str
    stale: bool
    due: dict[str, Any]
    round: dict[str, Any] | None
    verdict: dict[str, Any] | None
    items: list[dict[str, Any]]
    trends: list[dict[str, Any]]


class HandoverAnswer(Told):
    """What the next shift must know."""

    made: str
    pools: list[HandedPool]
    open: int
    marks: list[str]
    more: int
    unsent: int
    asked: bool
    alone: bool
    taken: dict[str, str] | None


class AcknowledgedSent(Sent):
    """The handover was read: when it was made, and what stood open on it."""

    made: Instant
    open: Annotated[list[Mark], Field(max_length=100)]
    more: Annotated[int, Field(ge=0, le=1_000_000)] | None = None
