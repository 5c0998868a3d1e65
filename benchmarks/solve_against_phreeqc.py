"""One solve in plain Python against one in an IPhreeqc batch, side by side in one process.

    .venv/bin/python benchmarks/solve_against_phreeqc.py [waters] [rounds]

PHREEQC's best case is taken: its input is written beforehand, 1,000 waters a call, printing and
selected output off. Ours takes each water from nothing: constants at its temperature, start, solve.
Both solve the same model on the same waters, in turn, so that what else the machine does meets
both. CPU time; the ratio's median is held to 3.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent))

from tests.agreement.phreeqc import Phreeqc, water_text
from tests.agreement.waters import drawn_waters

from lanewater.kernel.water.constants import water_constants
from lanewater.kernel.water.equilibrium import (
    first_state,
    given_totals,
    solve_totals,
    solve_water,
)
from lanewater.kernel.water.slots import FROM_PH
from lanewater.service.constants import load_constants

WANTED = 3.0
QUIET = """\
PRINT
  -reset false
SELECTED_OUTPUT
  -reset false
  -user_punch false
KNOBS
  -convergence_tolerance 1e-8
"""


def cpu_seconds(work: Callable[[], object]) -> float:
    """Measure the CPU time of one piece of work."""
    start = time.process_time()
    work()
    return time.process_time() - start


def measure(count: int, rounds: int) -> dict[str, list[tuple[float, float]]]:
    """Give microseconds a solve, PHREEQC's and ours, for both ways of solving."""
    k = load_constants()
    engine = Phreeqc(k)
    engine.engine.run_string(QUIET)
    waters = drawn_waters(k, count, seed=9)
    texts = {
        "pH and alkalinity": "".join(
            water_text(i, reading[1], totals, reading[0])
            for i, (reading, totals) in enumerate(waters, start=1)
        ),
        "alkalinity and carbon": "".join(
            water_text(i, reading[1], totals, None)
            for i, (reading, totals) in enumerate(waters, start=1)
        ),
    }

    def from_ph() -> None:
        for reading, _totals in waters:
            c = water_constants(k, reading[1])
            totals = given_totals(reading)
            solve_water(c, totals, FROM_PH, 0.0, first_state(c, totals, reading[0]))

    def from_carbon() -> None:
        for reading, totals in waters:
            solve_totals(water_constants(k, reading[1]), totals)

    ours = {"pH and alkalinity": from_ph, "alkalinity and carbon": from_carbon}
    found: dict[str, list[tuple[float, float]]] = {name: [] for name in texts}
    for _ in range(rounds):
        for name, text in texts.items():
            theirs = cpu_seconds(lambda text=text: engine.engine.run_string(text + "END\n"))  # type: ignore[misc]
            mine = cpu_seconds(ours[name])
            found[name].append((theirs / count * 1e6, mine / count * 1e6))
    return found


if __name__ == "__main__":
    waters = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    turns = int(sys.argv[2]) if len(sys.argv) > 2 else 9
    reached = True
    for way, pairs in measure(waters, turns).items():
        ratios = [theirs / mine for theirs, mine in pairs]
        ratio = statistics.median(ratios)
        reached = reached and ratio >= WANTED
        theirs, mine = (statistics.median(side) for side in zip(*pairs, strict=True))
        print(
            f"{way:<24} IPhreeqc {theirs:6.0f} us   plain Python {mine:6.0f} us   "
            f"ratio {ratio:.2f} ({min(ratios):.2f} to {max(ratios):.2f})"
        )
    sys.exit(0 if reached else 1)
