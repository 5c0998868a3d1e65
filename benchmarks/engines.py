"""Plain Python, the compiled kernel and lanes beside an IPhreeqc batch, in turn in one process.

    .venv/bin/python benchmarks/engines.py [--count 1000] [--rounds 7]

PHREEQC's best case is taken: its input is written beforehand, all waters in one call, printing and
selected output off. Ours take each water from nothing (constants at its temperature, start, solve)
and give pH or carbon, HOCl and the saturation index. All solve one model on the same waters. CPU
time of one core; a ratio is IPhreeqc's over ours within a round. Errors are the largest against
PHREEQC at its tightest. Memory and the time to a first answer are those of a process of its own.
"""

from __future__ import annotations

import argparse
import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parent.parent))

from tests.agreement.waters import drawn_waters

from lanewater.fleet.batches import (
    EACH_HOCL,
    EACH_PH,
    EACH_SATURATION,
    EACH_WIDTH,
    each_reading,
    each_total,
)
from lanewater.kernel.water.units import CHLORINE, MILLI
from lanewater.service.constants import load_constants

WANTED = {"plain Python": 3.0, "compiled": 200.0, "lanes": 1000.0}
ENGINES = ("IPhreeqc", *WANTED)
WAYS = ("pH and alkalinity", "alkalinity and carbon")
# What is too quick to be timed once is given more waters, the same ones again.
MORE = {"IPhreeqc": 1, "plain Python": 1, "compiled": 20, "lanes": 100}
QUIET = """\
PRINT
  -reset false
SELECTED_OUTPUT
  -reset false
  -user_punch false
KNOBS
  -convergence_tolerance 1e-8
"""
SEED = 9

Work = Callable[[], Any]
Row = list[float]


def cpu_seconds(work: Work) -> float:
    """Measure the CPU time of one piece of work."""
    start = time.process_time()
    work()
    return time.process_time() - start


class Waters:
    """The waters that everybody solves.

    Parameters
    ----------
    count : int
        How many.
    """

    def __init__(self, count: int) -> None:
        self.k = load_constants()
        self.count = count
        waters = drawn_waters(self.k, count, SEED)
        self.readings = [list(reading) for reading, _totals in waters]
        self.totals = [list(totals) for _reading, totals in waters]
        self.temperatures = [reading[1] for reading in self.readings]


def works(engine: str, waters: Waters, cache: Path | None) -> dict[str, Work]:
    """Give an engine's work for each way of solving; compiled before, or when first called."""
    made = {
        "IPhreeqc": phreeqc_works,
        "plain Python": python_works,
        "compiled": compiled_works,
        "lanes": lane_works,
    }
    return dict(zip(WAYS, made[engine](waters, cache), strict=True))


def phreeqc_works(waters: Waters, _cache: Path | None) -> tuple[Work, Work]:
    """Give IPhreeqc's: one call, its input written beforehand."""
    from tests.agreement.phreeqc import Phreeqc  # noqa: PLC0415 - not where another is measured

    engine = Phreeqc(waters.k).engine
    engine.run_string(QUIET)
    by_ph, by_carbon = phreeqc_texts(waters)
    return (
        lambda: engine.run_string("".join(by_ph) + "END\n"),
        lambda: engine.run_string("".join(by_carbon) + "END\n"),
    )


def phreeqc_texts(waters: Waters) -> tuple[list[str], list[str]]:
    """Write the waters for PHREEQC, both ways."""
    from tests.agreement.phreeqc import water_text  # noqa: PLC0415 - as above

    pairs = list(enumerate(zip(waters.readings, waters.totals, strict=True), start=1))
    by_ph = [water_text(i, reading[1], totals, reading[0]) for i, (reading, totals) in pairs]
    by_carbon = [water_text(i, reading[1], totals, None) for i, (reading, totals) in pairs]
    return by_ph, by_carbon


def python_works(waters: Waters, _cache: Path | None) -> tuple[Work, Work]:
    """Give the kernel's as CPython runs it."""
    found = [[0.0] * EACH_WIDTH for _ in range(waters.count)]

    def by_ph() -> list[Row]:
        each_reading(waters.k, waters.readings, found)
        return [list(row) for row in found]

    def by_carbon() -> list[Row]:
        each_total(waters.k, waters.temperatures, waters.totals, found)
        return [list(row) for row in found]

    return by_ph, by_carbon


def compiled_works(waters: Waters, cache: Path | None) -> tuple[Work, Work]:
    """Give the kernel's as Numba compiles it."""
    import numpy as np  # noqa: PLC0415 - not where plain Python is measured

    from lanewater.fleet.engine import load_engine, table  # noqa: PLC0415

    engine = load_engine(cache, wanted=("batches",))
    reading, total = engine.function("each_reading"), engine.function("each_total")
    k = table(waters.k)
    more = MORE["compiled"]
    readings, totals = (
        np.tile(np.array(rows), (more, 1)) for rows in (waters.readings, waters.totals)
    )
    temperatures = readings[:, 1].copy()
    found = np.zeros((len(readings), EACH_WIDTH))

    def by_ph() -> Any:
        reading(k, readings, found)
        return found[: waters.count].tolist()

    def by_carbon() -> Any:
        total(k, temperatures, totals, found)
        return found[: waters.count].tolist()

    return by_ph, by_carbon


def lane_works(waters: Waters, cache: Path | None) -> tuple[Work, Work]:
    """Give the lanes', on one core."""
    import numpy as np  # noqa: PLC0415 - not where plain Python is measured

    from lanewater.fleet.lanes import load_lanes  # noqa: PLC0415

    lanes = load_lanes(waters.k, cache)
    more = MORE["lanes"]
    readings, totals = (
        np.tile(np.array(rows).T, (1, more)) for rows in (waters.readings, waters.totals)
    )
    temperatures = readings[1].copy()
    return (
        lambda: first_rows(lanes.from_readings(readings), waters.count),
        lambda: first_rows(lanes.from_totals(temperatures, totals), waters.count),
    )


def first_rows(found: Any, count: int) -> list[Row]:
    """Give a row for each of the first waters, out of a column for each of all."""
    rows: list[Row] = found[:, :count].T.tolist()
    return rows


def errors(waters: Waters, all_works: dict[str, dict[str, Work]]) -> dict[str, tuple[float, ...]]:
    """Give each engine's largest errors against PHREEQC: pH, HOCl (relative), saturation index."""
    from tests.agreement.phreeqc import Phreeqc  # noqa: PLC0415 - not where another is measured

    close = Phreeqc(waters.k)
    wanted = [close.solve(texts) for texts in phreeqc_texts(waters)]
    found: dict[str, tuple[float, ...]] = {}
    for engine in WANTED:
        pairs = [
            (row, theirs)
            for way, there in zip(WAYS, wanted, strict=True)
            for row, theirs in zip(all_works[engine][way](), there, strict=True)
        ]
        found[engine] = (
            max(abs(row[EACH_PH] - theirs[0]) for row, theirs in pairs),
            max(
                abs(row[EACH_HOCL] / (theirs[3] * CHLORINE * MILLI) - 1)
                for row, theirs in pairs
                if row[EACH_HOCL] > 0
            ),
            max(abs(row[EACH_SATURATION] - theirs[2]) for row, theirs in pairs),
        )
    return found


def alone(engine: str, count: int, cache: str) -> dict[str, float]:
    """Load an engine and let it answer once, in this process; give its memory and its time."""
    waters = Waters(count)
    start = time.perf_counter(), time.process_time()
    for work in works(engine, waters, Path(cache)).values():
        work()
    return {
        "wall_s": time.perf_counter() - start[0],
        "cpu_s": time.process_time() - start[1],
        "peak_mb": peak_mb(),
    }


def peak_mb() -> float:
    """Give the most memory that this process held; getrusage would tell its parent's too."""
    status = Path("/proc/self/status").read_text(encoding="ascii")
    return next(
        int(line.split()[1]) / 1024 for line in status.splitlines() if line.startswith("VmHWM")
    )


def in_its_own_process(engine: str, count: int, cache: str) -> dict[str, float]:
    """Ask `alone` of a fresh process."""
    command = [sys.executable, __file__, "--alone", engine, "--count", str(count), "--cache", cache]
    told = subprocess.run(command, check=True, capture_output=True, text=True)
    answer: dict[str, float] = json.loads(told.stdout)
    return answer


def measured(count: int, rounds: int, cache: str) -> tuple[dict[str, Any], dict[str, Any]]:
    """Give microseconds a water by way and engine, round for round, and the largest errors."""
    waters = Waters(count)
    all_works = {engine: works(engine, waters, Path(cache)) for engine in ENGINES}
    worst = errors(waters, all_works)
    found: dict[str, Any] = {way: {engine: [] for engine in ENGINES} for way in WAYS}
    for _ in range(rounds):
        for way in WAYS:
            for engine in ENGINES:
                seconds = cpu_seconds(all_works[engine][way])
                found[way][engine].append(seconds / (count * MORE[engine]) * 1e6)
    return found, worst


def show_speed(found: dict[str, Any]) -> bool:
    """Print the table of speeds; tell whether every ratio that is wanted was reached."""
    reached = True
    print(f"{'solved from':<24}{'engine':<14}{'us a water':>11}{'ratio':>9}   rounds (wanted)")
    for way, by_engine in found.items():
        for engine in ENGINES:
            took = by_engine[engine]
            ratios = [
                theirs / mine for theirs, mine in zip(by_engine["IPhreeqc"], took, strict=True)
            ]
            ratio = statistics.median(ratios)
            wanted = WANTED.get(engine, 1.0)
            reached = reached and ratio >= wanted
            spread = f"{min(ratios):.3g} to {max(ratios):.3g} ({wanted:.0f})"
            print(f"{way:<24}{engine:<14}{statistics.median(took):>11.3f}{ratio:>9.4g}   {spread}")
    return reached


def show_costs(worst: dict[str, Any], count: int) -> None:
    """Print the table of errors, memory, and seconds to a first answer, cold and kept."""
    print(
        f"\n{'engine':<14}{'pH':>9}{'HOCl rel':>10}{'SI':>9}{'peak MB':>9}"
        f"{'first answer, cold: wall (CPU)':>32}{'kept: wall (CPU)':>20}"
    )
    for engine in ENGINES:
        with tempfile.TemporaryDirectory() as fresh:
            cold = in_its_own_process(engine, count, fresh)
            kept = in_its_own_process(engine, count, fresh)
        errs = (
            "".join(
                f"{error:>{width}.1e}"
                for error, width in zip(worst[engine], (9, 10, 9), strict=True)
            )
            if engine in worst
            else f"{'-':>9}{'-':>10}{'-':>9}"
        )
        times = "".join(
            f"{told['wall_s']:>{width}.2f} s ({told['cpu_s']:.2f})"
            for told, width in ((cold, 22), (kept, 12))
        )
        print(f"{engine:<14}{errs}{kept['peak_mb']:>9.0f}{times}")


def main() -> int:
    """Measure, print, and end with 1 where a wanted ratio was not reached."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--count", type=int, default=1000, help="waters a call of IPhreeqc")
    parser.add_argument("--rounds", type=int, default=7)
    parser.add_argument("--alone", choices=ENGINES, help=argparse.SUPPRESS)
    parser.add_argument("--cache", default="", help="keep compiled code here")
    asked = parser.parse_args()
    if asked.alone:
        print(json.dumps(alone(asked.alone, asked.count, asked.cache)))
        return 0
    before = os.getloadavg()[0]
    with tempfile.TemporaryDirectory() as fresh:
        found, worst = measured(asked.count, asked.rounds, asked.cache or fresh)
    reached = show_speed(found)
    print(
        f"load average {before:.1f} before, {os.getloadavg()[0]:.1f} after; {os.cpu_count()} cores"
    )
    show_costs(worst, asked.count)
    return 0 if reached else 1


if __name__ == "__main__":
    sys.exit(main())
