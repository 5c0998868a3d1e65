"""Random waters for comparing two solvers, drawn over the whole range that the issue names."""

from __future__ import annotations

import random

from lanewater.kernel.water.equilibrium import totals_of_reading
from lanewater.kernel.water.slots import SOLVED

Drawn = tuple[tuple[float, ...], tuple[float, ...]]


def drawn_waters(k: tuple[float, ...], count: int, seed: int) -> list[Drawn]:
    """Draw waters that have a solution: readings, and the totals solved from them."""
    draw = random.Random(seed)  # noqa: S311 - waters, not secrets
    found: list[Drawn] = []
    while len(found) < count:
        reading = (
            draw.uniform(4.5, 10.5),
            draw.uniform(5, 45),
            draw.uniform(20, 400),
            draw.uniform(5, 1500),
            draw.choice((0.0, draw.uniform(1, 400))),
            draw.choice((0.0, draw.uniform(1, 120))),
            draw.uniform(20, 20000),
            draw.choice((0.0, draw.uniform(1, 2500))),
            draw.choice((0.0, draw.uniform(0.1, 20))),
            draw.choice((0.0, draw.uniform(1, 80))),
        )
        status, totals = totals_of_reading(k, reading)
        if status == SOLVED:
            found.append((reading, totals))
    return found
