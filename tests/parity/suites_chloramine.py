"""Vectors for chlorine and chloramines: courses in floats, superchlorination in decisions."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from tests.kernel.deciding.superchlorination_cases import asked, drawn_requests, mornings
from tests.parity.drawing import drawer
from tests.parity.sides import Row, Suite

from lanewater.service.constants import load_constants, load_table

# Steps are chosen by a tolerance.
ITERATED = 1e-9
MINUTES = [0.0, 1.0, 5.0, 30.0, 240.0]


def courses() -> Iterator[Row]:
    """Waters with and without cyanurate, from no nitrogen at all to far too much."""
    draw = drawer(71)
    q = load_table("chloramine")
    for place in range(60):
        k = load_constants(("OBM74_dH", "WA2019", "OBM74_25C")[place % 3])
        reading = (
            draw.uniform(6.2, 9.0),
            draw.uniform(4, 40),
            draw.uniform(20, 250),
            draw.choice((0.0, 200.0)),
            draw.choice((0.0, 0.0, draw.uniform(1, 150))),
            draw.choice((0.0, 0.0, 30.0)),
            draw.choice((0.0, 3000.0)),
            0.0,
            draw.choice((0.0, draw.uniform(0.1, 20))),
            0.0,
        )
        given = (
            draw.choice((0.0, draw.uniform(0, 3))),
            draw.choice((0.0, draw.uniform(0, 3))),
            draw.choice((0.0, draw.uniform(0, 1))),
            draw.choice((0.0, draw.uniform(0, 1))),
            draw.choice((0.0, draw.uniform(0, 5))),
            draw.choice((0.0, draw.uniform(0, 2))),
        )
        yield k, q, reading, given, MINUTES[: 1 + place % 5]
    yield load_constants(), q, (8.0, 28.0, 5.0, 0.0, 100.0, *[0.0] * 5), (0.1,) + (0.0,) * 5, [1.0]


def starts() -> Iterator[Row]:
    """Give what the courses start with, and a water without nitrogen."""
    yield from ((row[2], row[3]) for row in courses())
    yield (7.4, 28.0, 100.0, *[0.0] * 7), (0.0,) * 6


def told() -> list[dict[str, Any]]:
    """Give one request for each way it goes."""
    return [
        asked(ammonia_n_mg_l="0.40"),
        asked(rounds=mornings("1.50", "2.60")),
        asked(monochloramine_mg_l="0.60", free="0.20", total="1.80"),
        asked(pool={"stabiliser": "used"}, lasted_overnight="yes"),
        asked(maximum_free_mg_l="1.0", people_due_in_minutes=60, under_maximum_in_minutes=90),
    ]


def requests() -> Iterator[Row]:
    """Give all of them."""
    yield from ((request,) for request in (*told(), *drawn_requests(300, 72)))


def few_requests() -> Iterator[Row]:
    """Give those of which also every key is left out."""
    yield from ((request,) for request in told())


SUITES = (
    Suite("breakpoint_course", courses, ITERATED),
    Suite("chlorine_for_nitrogen", starts, 1e-12),
    Suite("superchlorination_of", requests, changed=few_requests),
)
