"""Rounds of an incident in normal form, for tests of the contact clock."""

from __future__ import annotations

from typing import Any

from tests.kernel.deciding.deciding_cases import AT, reading

MINUTE = 60
START = AT - AT % MINUTE

PROCEDURE: dict[str, Any] = {
    "ph_most": None,
    "temperature_least": None,
    "cyanuric_most": None,
    "unstabilised_only": False,
    "archived": False,
    "broken": "",
    "routes": [
        {"id": "held", "free_least": 20_000, "seconds": 8 * 3600, "ct": 0},
        {"id": "product", "free_least": None, "seconds": 0, "ct": 9_600_000},
    ],
}


def round_at(minute: int, point: str = "", **values: str) -> list[dict[str, Any]]:
    """Give one test of the water, so many minutes after the start; `<name>="text"` each."""
    at = START + minute * MINUTE
    return [reading(name, value, point=point, at=at) for name, value in values.items()]


def free_at(*pairs: tuple[int, str], point: str = "") -> list[dict[str, Any]]:
    """Give free chlorine at several minutes."""
    return [one for minute, text in pairs for one in round_at(minute, point, free_chlorine=text)]


def asked(**more: Any) -> dict[str, Any]:
    """Give a procedure with something changed."""
    return {**PROCEDURE, **more}


def route(**more: Any) -> dict[str, Any]:
    """Give one route."""
    return {"id": "only", "free_least": None, "seconds": 0, "ct": 0, **more}
