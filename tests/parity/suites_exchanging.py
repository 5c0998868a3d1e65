"""Vectors for free and total that change places."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from tests.kernel.deciding.deciding_cases import reading
from tests.parity.drawing import drawer
from tests.parity.sides import Row, Suite

NUMBERS = ("0.00", "1.90", "2.40", ">6.00", "<0.05", "1,9", "x")


def pairs() -> Iterator[Row]:
    """Give readings before and after, exchanged, changed or left as they were."""
    draw = drawer(83)
    for _ in range(400):
        free, total = draw.choice(NUMBERS), draw.choice(NUMBERS)
        point = draw.choice(("", "deep"))
        first = [both(free, total, point), both("1.50", "1.60", "other")]
        swapped = both(total, free, draw.choice((point, point, "elsewhere")))
        after = draw.choice(([swapped], [both(free, total, point)], [swapped, first[1]], [[]]))
        yield [row for rows in first for row in rows], [row for rows in after for row in rows]


def both(free: str, total: str, point: str) -> list[dict[str, Any]]:
    """Give a pair at a point."""
    return [
        reading("free_chlorine", free, point=point),
        reading("total_chlorine", total, point=point),
    ]


def few_pairs() -> Iterator[Row]:
    """Give those of which also every key is left out."""
    yield both("2.40", "1.90", ""), both("1.90", "2.40", "")


SUITES = (Suite("exchanged", pairs, changed=few_pairs),)
