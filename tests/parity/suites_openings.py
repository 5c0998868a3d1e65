"""Vectors for how a pool stands where several devices wrote of it."""

from __future__ import annotations

from collections.abc import Iterator

from tests.kernel.deciding.opening_histories import every_history, item, random_history
from tests.parity.drawing import drawer
from tests.parity.sides import Row, Suite

from lanewater.kernel.deciding.openings import opening_of_all


def histories() -> Iterator[Row]:
    """Give nothing, every pair, and long histories at random."""
    yield ([],)
    yield from ((history,) for history in every_history(2))
    draw = drawer(81)
    yield from ((random_history(draw, 16),) for _ in range(600))


def steps() -> Iterator[Row]:
    """Give each long history cut before its last item, and that item."""
    draw = drawer(82)
    for _ in range(300):
        *before, last = random_history(draw, 10)
        yield opening_of_all(before), before, last


def items() -> Iterator[Row]:
    """Give items one by one."""
    yield from ((history[0],) for history in every_history(1))


def one_history() -> Iterator[Row]:
    """Give one history of which every key is left out as well."""
    history = [
        item(0, "opened", "server", 0),
        item(1, "shut", "tablet-a", 0, 3),
        item(2, "stop", "tablet-b", 1, 2),
        item(3, "settled-open", "server", 3, names=("e0", "e1")),
        item(4, "closed", "tablet-a", 2),
    ]
    yield (history,)


def one_step() -> Iterator[Row]:
    """Give one step of which every key is left out as well."""
    for (history,) in one_history():
        yield opening_of_all(history[:-1]), history[:-1], history[-1]


SUITES = (
    Suite("opening_of_all", histories, changed=one_history),
    Suite("opening_after", steps, changed=one_step, every=2),
    Suite("closes_pool", items, changed=items),
)
