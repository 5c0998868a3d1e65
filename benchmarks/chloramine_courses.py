"""How far the courses of chloramines lie from LSODA's, and what one takes.

    .venv/bin/python benchmarks/chloramine_courses.py [--count 1000] [--seed 92]

Waters, starts and times are drawn as in the agreement test. LSODA (scipy) follows the same rates
at a relative error of 1e-9. A species counts where it is above a hundred-thousandth of the most
that there was at the start. Prints the largest and the 99th percentile of the differences, the
largest drift of chlorine and nitrogen, the lowest number met, and CPU milliseconds a course: over
the draws, and of one hour with a row a minute, with and without stabiliser.
"""

from __future__ import annotations

import argparse
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from tests.agreement.test_chloramine import MAIN, lsoda
from tests.kernel.water.chloramine_cases import drawn

from lanewater.kernel.water.chloramine import rates_at
from lanewater.kernel.water.chloraminecourse import breakpoint_course, chlorine_of, nitrogen_of
from lanewater.kernel.water.chloramineslots import HELD, REACTING
from lanewater.kernel.water.slots import SOLVED
from lanewater.kernel.water.stiffsteps import react
from lanewater.service.constants import load_constants, load_table

HOUR = [float(minute) for minute in range(61)]


def hour_course(stabiliser: float, turns: int) -> float:
    """Give CPU milliseconds of a course of one hour, a row a minute."""
    k, q = load_constants(), load_table("chloramine")
    reading = (7.4, 28.0, 100.0, 250.0, stabiliser, 0.0, 0.0, 0.0, 3.0, 0.0)
    best = float("inf")
    for _ in range(turns):
        start = time.process_time()
        breakpoint_course(k, q, reading, (0.3, 0.0, 0.0, 0.0, 1.0, 0.0), HOUR)
        best = min(best, time.process_time() - start)
    return 1000 * best


def main() -> None:
    """Draw, follow both ways, print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=92)
    asked = parser.parse_args()
    q = load_table("chloramine")
    apart: list[float] = []
    drift = low = 0.0
    took: list[float] = []
    for water, start, seconds in drawn(asked.count, asked.seed):
        v = rates_at(q, *water[:4], water[4:])  # type: ignore[arg-type]
        before = time.process_time()
        status, ours, _step = react(q, v, start, seconds, 0.0)
        took.append(time.process_time() - before)
        if status != SOLVED:
            sys.exit(f"not followed to the end: {water}, {start}, {seconds:g} s")
        theirs = lsoda(v, start, seconds)
        floor = MAIN * max(start)
        apart += [abs(ours[n] / theirs[n] - 1) for n in range(HELD) if theirs[n] > floor]
        for count in (chlorine_of, nitrogen_of):
            if count(start) > 0:
                drift = max(drift, abs(count(ours) / count(start) - 1))
        low = min(low, *ours[:REACTING])
    apart.sort()
    took.sort()
    print(f"{asked.count} courses, seed {asked.seed}, {len(apart)} main species")
    print(f"beside LSODA: largest {apart[-1]:.1e}, 99 % under {apart[int(0.99 * len(apart))]:.1e}")
    print(f"drift of chlorine and nitrogen {drift:.0e}; lowest {low:.0e} mol/L")
    print(f"CPU a course: median {1e3 * took[len(took) // 2]:.1f} ms, most {1e3 * took[-1]:.1f} ms")
    for stabiliser in (0.0, 40.0):
        print(f"an hour by minutes, stabiliser {stabiliser:g}: {hour_course(stabiliser, 5):.1f} ms")


if __name__ == "__main__":
    main()
