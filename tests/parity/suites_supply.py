"""Vectors for fresh water, air, ageing, evaporation and neutralisers, in floats."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from tests.parity.drawing import drawer
from tests.parity.sides import Row, Suite
from tests.parity.suites_water import constants, solved

from lanewater.kernel.water.additions import P_SODIUM_SULFITE, P_SODIUM_THIOSULFATE
from lanewater.service.constants import load_table

EXACT = 1e-12
# A course is many solves after each other, each within the solver's tolerance.
FOLLOWED = 1e-6


def flushed() -> Iterator[Row]:
    """Two waters and some volumes."""
    draw = drawer(61)
    found = [totals for _, totals in solved()]
    yield from (
        (a, b, draw.choice((0.0, draw.uniform(0, 3)))) for a, b in itertools.pairwise(found)
    )


def portions() -> Iterator[Row]:
    """Waters and an amount of something."""
    draw = drawer(62)
    for _, totals in solved():
        yield totals, draw.choice((0.0, draw.uniform(0, 2e-4)))


def shares() -> Iterator[Row]:
    """Amounts in the pool, in the fresh water, and wanted; some not to be reached."""
    draw = drawer(63)
    for now, fresh in ((120.0, 0.0), (40.0, 40.0), (0.0, 80.0)):
        yield from ((now, fresh, target) for target in (0.0, 40.0, 119.0, 130.0))
    for _ in range(60):
        yield draw.uniform(0, 200), draw.uniform(0, 100), draw.uniform(0, 200)


def balances() -> Iterator[Row]:
    """A dissolved amount over some time, with and without water let out."""
    draw = drawer(64)
    for _ in range(60):
        out = draw.choice((0.0, draw.uniform(0, 50)))
        yield draw.uniform(0, 900), draw.uniform(0, 300), out + draw.uniform(0, 9), out, 400.0


def settling() -> Iterator[Row]:
    """What a dissolved amount settles at; nothing let out is refused alike."""
    for row in balances():
        yield row[1], row[2], row[3] or 1.0


def standing() -> Iterator[Row]:
    """Waters that stand in air."""
    draw = drawer(65)
    sets = constants()
    for place, (warm, totals) in enumerate(solved()[:60]):
        ways = [0.0, draw.uniform(0, 2), draw.uniform(2, 30)]
        yield sets[place % 3], warm, totals, draw.choice((420e-6, 1e-3)), ways


def between() -> Iterator[Row]:
    """Two waters that air may or may not lead to each other."""
    draw = drawer(66)
    sets = constants()
    for place, (warm, totals) in enumerate(solved()[:80]):
        part = draw.uniform(0.8, 1.1)
        after = (*totals[:1], totals[1] * part, *totals[2:])
        yield sets[place % 3], warm, totals, after, draw.choice((420e-6, 1e-3))


def airs() -> Iterator[Row]:
    """Water and the air above it."""
    draw = drawer(67)
    plant = load_table("plant")
    for _ in range(60):
        yield plant, draw.uniform(18, 38), draw.uniform(10, 35), draw.uniform(10, 100)


def airs_with_people() -> Iterator[Row]:
    """Water, the air above it, and people in it."""
    draw = drawer(68)
    yield from ((*row, draw.choice((0.0, draw.uniform(0, 0.5)))) for row in airs())


def airs_with_depth() -> Iterator[Row]:
    """Water, the air above it, and its depth on both sides of where shallow ends."""
    yield from ((*row, 0.9 if place % 2 else 1.8) for place, row in enumerate(airs()))


def winds() -> Iterator[Row]:
    """Open water in wind."""
    draw = drawer(69)
    plant = load_table("plant")
    for _ in range(40):
        yield plant, draw.uniform(4, 35), draw.choice((0.0, draw.uniform(0, 12)))


def tanks() -> Iterator[Row]:
    """Hypochlorite in its tank."""
    draw = drawer(70)
    plant = load_table("plant")
    for _ in range(40):
        yield plant, draw.uniform(5, 50), draw.uniform(0.5, 7)


def pairs(low: float, high: float, second_low: float, second_high: float) -> Iterator[Row]:
    """Two numbers."""
    draw = drawer(71)
    for _ in range(40):
        yield draw.uniform(low, high), draw.uniform(second_low, second_high)


def measured() -> Iterator[Row]:
    """Two strengths and the time between them."""
    yield from ((a, b, 3e5 + 1e4 * a) for a, b in pairs(20, 180, 20, 180))


def aged() -> Iterator[Row]:
    """A strength, a rate and a time."""
    yield from ((a, b, 86400.0 * a) for a, b in pairs(20, 180, 0, 1e-7))


def reducers() -> Iterator[Row]:
    """Each reducer, and a product that is none."""
    for chlorine in (0.0, 1e-5, 3e-4):
        yield P_SODIUM_THIOSULFATE, chlorine
        yield P_SODIUM_SULFITE, chlorine
        yield 0, chlorine


SUITES = (
    Suite("flushed_totals", flushed, EXACT),
    Suite("flushed_share", lambda: [(0.0,), (0.3,), (7.0,)], EXACT),
    Suite("topped_totals", flushed, EXACT),
    Suite("share_to_reach", shares, EXACT),
    Suite("volumes_of_share", lambda: [(0.0,), (0.3,), (0.99,)], EXACT),
    Suite("amount_after", balances, EXACT),
    Suite("settled_amount", settling, EXACT),
    Suite("add_lime", portions, EXACT),
    Suite("add_to_tetrathionate", portions, EXACT),
    Suite("reducer_for", reducers, EXACT),
    Suite("first_portion", reducers, EXACT),
    Suite("course_in_air", standing, FOLLOWED),
    Suite("way_between", between, FOLLOWED),
    Suite("open_water_rate", winds, EXACT),
    Suite("quiet_evaporation", airs, 1e-11),
    Suite("used_evaporation", airs_with_people, 1e-11),
    Suite("transferred_evaporation", airs_with_depth, EXACT),
    Suite("published_rates", tanks, EXACT),
    Suite("hypochlorite_ionic_strength", lambda: pairs(0, 3, 0, 0.2), EXACT),
    Suite("hypochlorite_mol_l", lambda: [(0.0,), (125.0,)], EXACT),
    Suite("rate_between", measured, EXACT),
    Suite("strength_after", aged, EXACT),
    Suite("seconds_to_half", lambda: pairs(20, 180, 1e-9, 1e-7), EXACT),
)
