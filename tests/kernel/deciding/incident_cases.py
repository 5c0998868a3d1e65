"""Incidents as a pool's facts hold them, for tests of the deciding kernel."""

from __future__ import annotations

from functools import cache
from typing import Any

from tests.kernel.deciding.deciding_cases import AT, reading

from lanewater.kernel.deciding.incidentrows import (
    incident_begun,
    incident_round,
    incident_with,
    rounds_with,
)
from lanewater.kernel.deciding.incidents import incident_now
from lanewater.kernel.deciding.incidentsafter import incident_for_pool
from lanewater.service.packs import load_pack

MINUTE = 60_000
START = AT * 1000
FOUND = {"facts": {"kind": "pool", "location": "indoor", "disinfectant": "chlorine"}}


@cache
def pack_of(identity: str) -> dict[str, Any]:
    """Give a pack that ships with the program."""
    return load_pack(identity)


def line(kind: str, minute: float, /, **body: Any) -> dict[str, Any]:
    """Give one line of an incident, so many minutes after it began."""
    return {
        "kind": kind,
        "id": f"e-{kind}-{minute}-{sorted(body.items())}",
        "at": START + round(minute * MINUTE),
        "rec": START + round(minute * MINUTE),
        "user": "p1",
        "body": {"incident": "inc-1", "pool": "main", **body},
    }


def begun(kind: str, pools: tuple[str, ...] = ("main",), **parts: Any) -> dict[str, Any]:
    """Give an incident that has just begun."""
    entry = line("incident-started", 0, kind=kind, pools=list(pools))
    entry["body"] |= {key: parts.pop(key) for key in ("nobody_in",) if key in parts}
    rest = {"quiet_minutes": 0, "rounds": [], **FOUND, **parts}
    return incident_for_pool(incident_begun(entry), rest)


def did(
    incident: dict[str, Any], step: str, minute: float, answer: str = "done", **more: Any
) -> dict[str, Any]:
    """Give an incident with one step answered."""
    named = more.pop("named", True)
    body = {"step": step, "answer": answer, "words": more.pop("words", "asked Ann")}
    return incident_with(incident, line("incident-step-done", minute, **body), named)


def chose(
    incident: dict[str, Any], procedure: str, route: str, minute: float = 1
) -> dict[str, Any]:
    """Give an incident with a route that somebody chose."""
    body = {"procedure": procedure, "route": route}
    return incident_with(incident, line("incident-route-chosen", minute, **body), True)


def noted(incident: dict[str, Any], what: str, minute: float) -> dict[str, Any]:
    """Give an incident with something noted."""
    return incident_with(incident, line("incident-noted", minute, what=what), False)


def read_in(
    incident: dict[str, Any], minute: float, pool: str = "main", **given: Any
) -> dict[str, Any]:
    """Give an incident with one more round; `points` are values of free chlorine."""
    at = START + round(minute * MINUTE)
    overall, doubtful = given.pop("overall", "meets"), given.pop("doubtful", [])
    points = given.pop("points", {})
    readings = [reading("free_chlorine", value, point=point) for point, value in points.items()]
    readings += [reading(name, value) for name, value in given.items()]
    row = {"id": f"r-{pool}-{minute}", "at": at, "readings": readings, "doubtful": doubtful}
    rounds = rounds_with(incident["rounds"], incident_round(row, pool, overall))
    return incident_for_pool(incident, {"rounds": rounds})


def now(incident: dict[str, Any], minute: float, pack: str | None = "ca-qc") -> dict[str, Any]:
    """Tell how an incident stands so many minutes after it began."""
    rules = None if pack is None else pack_of(pack)
    return incident_now(incident, rules, START + round(minute * MINUTE))


def states(told: dict[str, Any]) -> dict[str, str]:
    """Give how far each step is."""
    return {row["id"]: row["state"] for row in told["steps"]}


def criteria(told: dict[str, Any]) -> dict[str, str]:
    """Give what is met."""
    return {row["id"]: row["met"] for row in told["criteria"]}
