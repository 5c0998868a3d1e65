"""Solve 200,000 random waters: none may fail, and each must come back to its own pH.

    .venv/bin/python benchmarks/random_waters.py [how many] [seed]

A water counts as failed where the solver does not converge, where totals do not lead back to the
pH that was read within 1e-6, or where readings are called inconsistent although the parts of the
alkalinity that are not carbonate, summed from the solved water, stay below the total.
"""

from __future__ import annotations

import random
import sys
import time

from lanewater.kernel.water.constants import water_constants
from lanewater.kernel.water.equilibrium import (
    first_state,
    given_totals,
    solve_totals,
    solve_water,
    totals_of_reading,
)
from lanewater.kernel.water.saturation import figures_of_reading, free_forms, other_alkalinity
from lanewater.kernel.water.slots import (
    FROM_PH,
    INCONSISTENT,
    S_LN_PROTON,
    SOLVED,
    T_ALKALINITY,
)
from lanewater.kernel.water.units import LN_10
from lanewater.service.constants import load_constants

CLOSE = 1e-6


def random_reading(draw: random.Random) -> tuple[float, ...]:
    """Draw one reading over the whole range that the issue names."""
    return (
        draw.uniform(4.5, 10.5),
        draw.uniform(5, 45),
        draw.uniform(0, 500),
        draw.choice((0.0, draw.uniform(0, 1500))),
        draw.choice((0.0, draw.uniform(0, 400))),
        draw.choice((0.0, draw.uniform(0, 120))),
        draw.uniform(0, 20000),
        draw.choice((0.0, draw.uniform(0, 2500))),
        draw.choice((0.0, draw.uniform(0, 30))),
        draw.choice((0.0, 0.0, draw.uniform(0, 100))),
    )


def failure_of(k: tuple[float, ...], reading: tuple[float, ...]) -> str:
    """Say what is wrong with the answer to one reading, or "" where nothing is."""
    status, totals = totals_of_reading(k, reading)
    c = water_constants(k, reading[1])
    if status == INCONSISTENT:
        given = given_totals(reading)
        _status, state = solve_water(c, given, FROM_PH, 0.0, first_state(c, given, reading[0]))
        others = sum(other_alkalinity(c, given, state)) + free_forms(c, given, state)[1]
        return "" if others >= given[T_ALKALINITY] else "called inconsistent"
    if status != SOLVED:
        return "pH and alkalinity do not converge"
    status, state = solve_totals(c, totals)
    if status != SOLVED:
        return "totals do not converge"
    if abs(-state[S_LN_PROTON] / LN_10 - reading[0]) > CLOSE:
        return "totals lead to another pH"
    return "" if figures_of_reading(k, reading)[0] == SOLVED else "figures do not converge"


def campaign(count: int, seed: int) -> tuple[int, int, list[str]]:
    """Solve many waters; give how many were consistent, inconsistent, and what failed."""
    draw = random.Random(seed)  # noqa: S311 - waters, not secrets
    k = load_constants()
    consistent = 0
    inconsistent = 0
    failures = []
    for _ in range(count):
        reading = random_reading(draw)
        wrong = failure_of(k, reading)
        if wrong:
            failures.append(f"{wrong}: {reading}")
        if totals_of_reading(k, reading)[0] == INCONSISTENT:
            inconsistent += 1
        else:
            consistent += 1
    return consistent, inconsistent, failures


if __name__ == "__main__":
    how_many = int(sys.argv[1]) if len(sys.argv) > 1 else 200_000
    start = time.process_time()
    good, named, failed = campaign(how_many, int(sys.argv[2]) if len(sys.argv) > 2 else 1)
    print(f"{how_many} waters: {good} solved, {named} named inconsistent, {len(failed)} failed")
    print(f"{time.process_time() - start:.0f} s of CPU")
    for line in failed[:20]:
        print(line)
    sys.exit(1 if failed else 0)
