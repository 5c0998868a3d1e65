"""Vectors for kernel/water/sea: sea water, in floats."""

from __future__ import annotations

from collections.abc import Iterator

from tests.parity.drawing import drawer
from tests.parity.sides import Row, Suite

from lanewater.service.constants import load_table


def seas() -> Iterator[Row]:
    """Sea waters of every strength, among them such as cannot be."""
    draw = drawer(41)
    s = load_table("sea")
    for _ in range(200):
        reading = (
            draw.uniform(6, 9.5),
            draw.uniform(0, 45),
            draw.choice((0.0, draw.uniform(0, 5e-3))),
            draw.uniform(5, 40),
        )
        yield s, reading


def salted() -> Iterator[Row]:
    """The table and a salinity."""
    yield from ((s, reading[3]) for s, reading in seas())


def weighed() -> Iterator[Row]:
    """The table, a temperature and a salinity."""
    yield from ((s, reading[1], reading[3]) for s, reading in seas())


SUITES = (
    Suite("sea_water", seas, 1e-12),
    Suite("sea_salt", salted, 1e-12),
    Suite("sea_density", weighed, 1e-12),
)
