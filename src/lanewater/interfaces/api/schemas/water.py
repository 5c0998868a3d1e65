"""What the Water page is told."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import Field

from lanewater.interfaces.api.schemas.base import Told


class IndexTold(Told):
    """The saturation index to one decimal, with its ends at 95 %."""

    value: str
    low: str
    high: str
    tendency: Literal["dissolves", "dissolves-little", "neither", "settles-little", "settles"]
    model: str


class DriverTold(Told):
    """A reading and its share of the band's square."""

    parameter: str
    share_percent: int


class StepTold(Told):
    """What to do, in the order to do it; low and high are the band to stay in."""

    id: str
    parameter: str
    low: str
    high: str


class PoolWaterTold(Told):
    """One pool's water."""

    pool: str
    name: str
    same_filter: list[str]
    state: Literal["known", "missing", "impossible", "no-end", "not-solved", "sea"]
    missing: list[dict[str, Any]]
    inputs: list[dict[str, Any]]
    taken_as_none: list[str]
    overall: str
    fails: list[str]
    balanced: bool
    index: IndexTold | None
    drivers: list[DriverTold]
    first: list[StepTold]
    handbook: dict[str, Any] | None
    more: dict[str, Any] | None
    hocl: dict[str, Any] | None


class WaterAnswer(Told):
    """Every pool's water."""

    now: str
    may_plan: bool
    pools: list[PoolWaterTold]


class RowTold(Told):
    """A round's reading, or a day's."""

    at: str
    value: str
    low: str
    high: str
    relation: Literal["exact", "above", "below"]
    count: int
    doubtful: bool
    gap: bool


class SeriesTold(Told):
    """One parameter over time."""

    parameter: str
    rows: list[RowTold]
    limits: list[dict[str, str]]


class TrendsAnswer(Told):
    """A pool's readings over time."""

    pool: str
    since: str = Field(alias="from")
    to: str
    by_day: bool
    series: list[SeriesTold]
    events: list[dict[str, str]]


class ReasonTold(Told):
    """A reason, with its numbers."""

    id: str
    said: dict[str, str]


class CombinedAnswer(Told):
    """What can be done about combined chlorine."""

    state: str
    reasons: list[ReasonTold]
    removes: list[str]
    leaves: list[str]
    instead: list[str]
    ask: list[str]
    then: list[str]
    combined_mg_l: str
    limit_mg_l: str
