"""Vectors for kernel/water: the water's equilibrium, in floats."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from functools import cache

from tests.parity.drawing import draw_water, drawer
from tests.parity.sides import Row, Suite

from lanewater.chemistry.products import PRODUCTS
from lanewater.kernel.water.activity import molality_per_activity
from lanewater.kernel.water.constants import water_constants
from lanewater.kernel.water.equilibrium import first_state, solve_totals, totals_of_reading
from lanewater.kernel.water.slots import SOLVED, T_CYANURATE
from lanewater.service.constants import load_constants

# Newton and the searches stop by tolerance.
ITERATED = 1e-9
QUANTITIES = 5
STATE_LENGTH = 10
ALL_PRODUCTS = range(len(PRODUCTS))


@cache
def waters() -> list[tuple[float, ...]]:
    """Readings over the whole range, among them such as no water can have."""
    draw = drawer(31)
    pools = [
        (7.4, 28.0, 100.0, 250.0, 30.0, 0.0, 1000.0, 0.0, 1.5, 0.0),
        (7.2, 26.0, 60.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0),
        (7.0, 10.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0),
        (8.2, 38.0, 20.0, 600.0, 100.0, 50.0, 5000.0, 300.0, 4.0, 5.0),
    ]
    return [*pools, *(draw_water(draw) for _ in range(250))]


@cache
def solved() -> list[tuple[float, tuple[float, ...]]]:
    """Temperature and totals of the waters that there are."""
    k = load_constants()
    found = [(reading[1], totals_of_reading(k, reading)) for reading in waters()]
    return [(warm, totals) for warm, (status, totals) in found if status == SOLVED]


def constants() -> list[tuple[float, ...]]:
    """Every cyanurate set."""
    return [load_constants(name) for name in ("OBM74_dH", "WA2019", "OBM74_25C")]


def read() -> Iterator[Row]:
    """Each set with each reading."""
    sets = constants()
    yield from ((sets[place % 3], reading) for place, reading in enumerate(waters()))


def with_totals() -> Iterator[Row]:
    """Constants, temperature and totals."""
    sets = constants()
    for place, (warm, totals) in enumerate(solved()):
        yield sets[place % 3], warm, totals


def added() -> Iterator[Row]:
    """Every product into waters."""
    draw = drawer(32)
    for place, (_, totals) in enumerate(solved()):
        yield totals, place % len(ALL_PRODUCTS), draw.choice((0.0, draw.uniform(0, 2e-3))), 0.05


def added_plainly() -> Iterator[Row]:
    """Every product into waters, without the caustic."""
    yield from (row[:3] for row in added())


def used_up() -> Iterator[Row]:
    """Chlorine used, up to more than there is."""
    draw = drawer(33)
    for _, totals in solved():
        yield totals, draw.choice((0.0, -1.0, draw.uniform(0, 1e-4)))


def mixed() -> Iterator[Row]:
    """Two waters, mixed."""
    draw = drawer(34)
    found = [totals for _, totals in solved()]
    yield from ((a, b, draw.random()) for a, b in itertools.pairwise(found))


def searched() -> Iterator[Row]:
    """Amounts of every product towards every quantity."""
    draw = drawer(35)
    k = load_constants()
    targets = ((6.8, 8.0), (0.0, 10.0), (20.0, 300.0), (0.0, 900.0), (0.0, 150.0))
    for place, (warm, totals) in enumerate(solved()[:120]):
        quantity = place % QUANTITIES
        target = draw.uniform(*targets[quantity])
        yield k, warm, totals, draw.choice(ALL_PRODUCTS), 0.05, quantity, target, 2e-3


def weighed() -> Iterator[Row]:
    """Every product, weighed; and one that there is not."""
    draw = drawer(36)
    for product in [*ALL_PRODUCTS, len(ALL_PRODUCTS), -1]:
        yield product, draw.uniform(0, 100)
        yield product, 0.0


def guessed_chlorine() -> Iterator[Row]:
    """Constants, activities, proton, cyanurate and chlorine."""
    draw = drawer(39)
    for k, warm, totals in itertools.islice(with_totals(), 60):
        c = water_constants(k, warm)
        per = molality_per_activity(c, draw.uniform(1e-3, 0.5))
        yield c, per, 10 ** -draw.uniform(5, 9.5), totals[T_CYANURATE], draw.uniform(1e-7, 3e-4)


def states() -> Iterator[Row]:
    """Two states of the solver, as far as it looks at them here."""
    draw = drawer(37)
    for _ in range(50):
        yield tuple(
            tuple(draw.uniform(-20, 20) for _ in range(STATE_LENGTH)) for _ in ("last", "state")
        )


def erring() -> Iterator[Row]:
    """Readings with errors of their tests; some of them reach waters that cannot be."""
    draw = drawer(38)
    sets = constants()
    most = (0.3, 2.0, 30.0, 50.0, 30.0, 5.0, 0.0, 0.0, 0.5, 5.0)
    for place, reading in enumerate(waters()[:120]):
        errors = tuple(draw.choice((0.0, draw.uniform(0, size))) for size in most)
        yield sets[place % 3], reading, errors


def with_constants() -> Iterator[Row]:
    """Constants at the temperature, and totals."""
    sets = constants()
    for place, (warm, totals) in enumerate(solved()):
        yield water_constants(sets[place % 3], warm), totals


def begun() -> Iterator[Row]:
    """Constants, totals, and where to start."""
    draw = drawer(40)
    yield from ((*row, draw.uniform(5, 10)) for row in with_constants())


def ended() -> Iterator[Row]:
    """Constants and the state that they end in."""
    yield from ((c, solve_totals(c, totals)[1]) for c, totals in with_constants())


def ended_with_totals() -> Iterator[Row]:
    """Constants, totals and the state that they end in."""
    yield from ((c, totals, solve_totals(c, totals)[1]) for c, totals in with_constants())


def from_each() -> Iterator[Row]:
    """Waters from pH, from carbon and from air in turn, each with where it starts."""
    for place, (c, totals) in enumerate(with_constants()):
        yield c, totals, place % 3, 1.4e-5, first_state(c, totals, 7.5)


def ionic_strengths() -> Iterator[Row]:
    """Constants and an ionic strength, on both sides of the activity model's end."""
    draw = drawer(39)
    for c, _totals in with_constants():
        yield c, draw.choice((0.0, 0.5, draw.uniform(0, 0.1), draw.uniform(0, 2)))


SUITES = (
    Suite("given_totals", lambda: [(reading,) for reading in waters()], 1e-12),
    Suite("solve_water", from_each, ITERATED),
    Suite("molality_per_activity", ionic_strengths, 1e-12),
    Suite("totals_of_reading", read, ITERATED),
    Suite("figures_of_reading", read, ITERATED),
    Suite("figures_of_totals", with_totals, ITERATED),
    Suite("ph_of_totals", with_totals, ITERATED),
    Suite("no_figures", lambda: [()], 1e-12),
    Suite("hocl_of_reading", read, ITERATED),
    Suite("hocl_of_totals", with_totals, ITERATED),
    Suite("index_of_reading", read, ITERATED),
    Suite("saturation_spread", erring, 1e-7),
    Suite("water_constants", lambda: [(row[0], row[1]) for row in with_totals()], ITERATED),
    Suite("first_state", begun, ITERATED),
    Suite("solve_totals", with_constants, ITERATED),
    Suite("saturation_of_state", ended, ITERATED),
    Suite("carbon_of_state", ended, ITERATED),
    Suite("free_forms", ended_with_totals, ITERATED),
    # Only the few waters that a whole step throws to and fro come to it.
    Suite("halfway", states, 1e-12),
    Suite("first_chlorine", guessed_chlorine, 1e-12),
    Suite("add_product", added, 1e-12),
    Suite("unspent_reducer", added_plainly, 1e-12),
    Suite("use_up_chlorine", used_up, 1e-12),
    Suite("mixed_totals", mixed, 1e-12),
    Suite("amount_to_reach", searched, ITERATED),
    Suite("grams_of_product", weighed, 1e-12),
    Suite("mol_of_product", weighed, 1e-12),
)
