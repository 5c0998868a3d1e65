"""Vectors for chlorine and chloramines: courses in floats, superchlorination by decisions."""

from __future__ import annotations

from collections.abc import Iterator

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


SUITES = (Suite("breakpoint_course", courses, ITERATED),)
