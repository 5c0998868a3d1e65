"""Requests for superchlorination: one that may help, and what is changed in it."""

from __future__ import annotations

from typing import Any

from tests.kernel.deciding.cause_cases import round_of
from tests.kernel.deciding.deciding_cases import AT, HOUR, case, reading

DAY = 24 * HOUR
POOL = {
    "kind": "pool",
    "location": "indoor",
    "disinfectant": "chlorine",
    "stabiliser": "not-used",
}


def pairs(free: str, total: str, times: int = 2) -> list[dict[str, Any]]:
    """Give free and total, read so many times at one point."""
    rows = [reading("free_chlorine", free), reading("total_chlorine", total)]
    return rows * times


def asked(
    free: str = "0.50",
    total: str = "2.10",
    times: int = 2,
    more: tuple[Any, ...] = (),
    **changes: Any,
) -> dict[str, Any]:
    """Give a request in which nothing stands against it, but for the changes."""
    pool = POOL | changes.pop("pool", {})
    request = {
        "case": case(*pairs(free, total, times), *more, pool=pool),
        "monopersulfate": "no",
        "heavy_load": "yes",
        "lasted_overnight": "",
        "everybody_out": "yes",
        "fresh_air": "yes",
        "nobody_due": "",
        "maximum_free_mg_l": "5.0",
        "maximum_combined_mg_l": "1.0",
        "monochloramine_mg_l": "",
        "ammonia_n_mg_l": "",
        "people_due_in_minutes": None,
        "under_maximum_in_minutes": None,
        "rounds": [],
    }
    return request | changes


def mornings(free: str, total: str, count: int = 3) -> list[dict[str, Any]]:
    """Give rounds before which nobody was let in."""
    return [
        round_of(AT - place * DAY, shut=True, free_chlorine=free, total_chlorine=total)
        for place in range(count, 0, -1)
    ]
