"""Requests for superchlorination: one that may help, and what is changed in it."""

from __future__ import annotations

import random
from collections.abc import Iterator
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


def drawn_requests(count: int, seed: int) -> Iterator[dict[str, Any]]:
    """Give requests at random: most things speak for it, a few against, some are impossible."""
    draw = random.Random(seed)  # noqa: S311 (repeatable draws)

    def mostly(good: Any, *others: Any) -> Any:
        return good if draw.random() < 0.75 else draw.choice(others)

    for _ in range(count):
        free = draw.uniform(0, 1.5)
        total = free + mostly(1.5, 0.3, -0.5) * draw.random()
        yield asked(
            f"{free:.2f}",
            mostly(f"{max(total, 0):.2f}", ">5.00", "2.1"),
            mostly(2, 1),
            monopersulfate=mostly("no", "yes", "", None),
            heavy_load=mostly("yes", "no", "", None),
            lasted_overnight=mostly("no", "yes", "", None),
            everybody_out=mostly("yes", "no", "", None),
            fresh_air=mostly("yes", "no", "", None),
            nobody_due=draw.choice(("yes", "no", "", None)),
            maximum_free_mg_l=draw.choice(("", "1.0", "1.0", "5", "x")),
            maximum_combined_mg_l=mostly("0.5", "", "1.0"),
            monochloramine_mg_l=mostly("", "0.05", "0.70"),
            ammonia_n_mg_l=mostly("", "0.3"),
            people_due_in_minutes=draw.choice((None, 60, 600)),
            under_maximum_in_minutes=draw.choice((None, 90)),
            pool={
                "disinfectant": mostly("chlorine", "bromine", "other", None),
                "location": draw.choice(("indoor", "outdoor", "roofed", None)),
                "stabiliser": mostly("not-used", "used", None),
                "kind": mostly("pool", "spa", None),
            },
        )
