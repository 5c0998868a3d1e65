"""The folded state as bytes and back, its rounds left out: those are read from the record."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from functools import lru_cache
from types import NoneType, UnionType
from typing import Any, Union, get_args, get_origin, get_type_hints

from lanewater.records.receiving import Restored
from lanewater.service.fold.draft import Call, Draft, Trail, Writer
from lanewater.service.rules_known import ChosenRules, Overlay
from lanewater.service.state import (
    Addition,
    Advice,
    Circuit,
    Device,
    Dispute,
    Handover,
    LogKey,
    Opening,
    Person,
    Pool,
    Registered,
    Site,
    StandingAuthority,
    Stop,
    Told,
    Unauthorised,
)

# Every attribute of a draft is kept, or made again from the rounds; a test holds this to it.
KEPT: dict[str, Any] = {
    "index": int,
    "site": Site | None,
    "pools": dict[str, Pool],
    "circuits": dict[str, Circuit],
    "kits": dict[str, Registered],
    "reagents": dict[str, Registered],
    "products": dict[str, Registered],
    "people": dict[str, Person],
    "devices": dict[str, Device],
    "advices": dict[str, Advice],
    "additions": dict[str, Addition],
    "stops": dict[str, tuple[Stop, ...]],
    "calls": dict[str, tuple[Call, ...]],
    "openings": dict[str, Opening],
    "trails": dict[str, Trail],
    "disputes": dict[str, tuple[Dispute, ...]],
    "also_closed": dict[str, tuple[Opening, ...]],
    "heard": dict[str, Writer],
    "told": list[Told],
    "authorities": dict[str, StandingAuthority],
    "handovers": tuple[Handover, ...],
    "unauthorised": tuple[Unauthorised, ...],
    "matrix": dict[str, dict[str, str]],
    "closings": dict[str, dict[str, Any]],
    "incidents": dict[str, dict[str, Any]],
    "asked": dict[str, dict[str, Any]],
    "rules_known": tuple[ChosenRules, ...],
    "overlays": tuple[Overlay, ...],
    "tested": dict[str, int],
    "whole_from": dict[str, int],
    "additions_from": int,
    "log_keys": tuple[LogKey, ...],
    "epoch": int,
    "restored": tuple[Restored, ...],
}
OF_ROUNDS = ("rounds", "order", "in_order", "frozen_rounds", "verdicts", "known")


def plain(value: Any) -> Any:
    """Give a value as JSON can say it."""
    if is_dataclass(value):
        return {row.name: plain(getattr(value, row.name)) for row in fields(value)}
    if isinstance(value, Mapping):
        return {key: plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [plain(item) for item in value]
    return value


@lru_cache(maxsize=64)
def hints_of(kind: type) -> dict[str, Any]:
    """Give the types of a dataclass's fields."""
    return get_type_hints(kind)


def typed(hint: Any, value: Any) -> Any:
    """Give a value of a type from what JSON said of it."""
    origin, parts = get_origin(hint), get_args(hint)
    if origin in (Union, UnionType):
        chosen = next(part for part in parts if part is not NoneType)
        return None if value is None else typed(chosen, value)
    if is_dataclass(hint) and isinstance(hint, type):
        hints = hints_of(hint)
        return hint(**{name: typed(hints[name], item) for name, item in value.items()})
    if origin is tuple:
        if parts[-1] is Ellipsis:
            return tuple(typed(parts[0], item) for item in value)
        return tuple(typed(part, item) for part, item in zip(parts, value, strict=True))
    if origin is list:
        return [typed(parts[0], item) for item in value]
    if origin is not None and issubclass(origin, Mapping) and parts[1] is not Any:
        return {key: typed(parts[1], item) for key, item in value.items()}
    return value


def keep(draft: Draft) -> dict[str, Any]:
    """Give what is kept of a draft."""
    return {name: plain(getattr(draft, name)) for name in KEPT}


def unkeep(content: Mapping[str, Any]) -> Draft:
    """Make a draft of what was kept; its rounds are still to be put in."""
    draft = Draft()
    for name, hint in KEPT.items():
        setattr(draft, name, typed(hint, content[name]))
    return draft


def as_bytes(content: Mapping[str, Any]) -> bytes:
    """Write what is kept."""
    return json.dumps(content, separators=(",", ":"), sort_keys=True).encode()
