"""What a browser carries."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import RootModel

from lanewater.interfaces.api.schemas.base import Told


class PoolCarried(Told):
    """One pool: what a round is tested with, what is known of it, and what advice rests on."""

    pool: str
    context: dict[str, Any]
    facts: dict[str, Any]
    advice: dict[str, Any]


class Unchanged(Told):
    """What the browser carries is still so."""

    unchanged: Literal[True]
    tag: str
    now: str


class Carried(Told):
    """All that a browser needs to work alone."""

    tag: str
    now: str
    index: int
    log_key: str
    site: dict[str, Any]
    public: dict[str, Any]
    people: list[dict[str, Any]]
    names: dict[str, dict[str, str]]
    contacts: list[dict[str, str]]
    tell: list[dict[str, Any]]
    device: dict[str, str]
    packs: dict[str, dict[str, Any]]
    constants: list[float]
    pools: list[PoolCarried]
    authority: dict[str, Any]
    unauthorised: list[dict[str, Any]]
    lines: list[dict[str, Any]]
    handover: dict[str, Any]
    duties: dict[str, Any]


class CarryAnswer(RootModel[Carried | Unchanged]):
    """What to carry, or that nothing changed."""
