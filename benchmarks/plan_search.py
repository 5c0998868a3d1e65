"""What the planner finds, at what cost over the best of all that can be tried, and how fast.

    .venv/bin/python benchmarks/plan_search.py [--count 2000] [--seed 41] [--timed 200] [--browser]

The problems are drawn so that each has an answer. All are answered by the compiled kernel and set
beside every count of every three products, tried by the compiled oracle of the tests; the first
`timed` also by CPython (CPU time, beside that of a solve from nothing and of the oracle), and with
--browser by Chromium. Every plan is done again by plain calls. Numba is needed.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parent.parent))

import numba
from playwright.sync_api import CDPSession, sync_playwright
from tests.agreement.enumeration import NOTHING_FOUND, compiled, least_cost
from tests.conftest import FLAGS, browser_path
from tests.kernel.water.plan_cases import PlanCase
from tests.kernel.water.plan_rehearsal import bands_of, feasible_cases, plan_faults
from tests.parity.sides import KERNEL_SCRIPT, kernel_sides

from lanewater.fleet.engine import load_engine
from lanewater.kernel.water.equilibrium import ph_of_totals
from lanewater.kernel.water.planning import plan_search
from lanewater.kernel.water.planningslots import PLAN_FOUND, PLAN_STARTS
from lanewater.service.constants import load_constants

FOUND_SHARE, GAP_MEDIAN, GAP_HIGH = 0.99, 0.03, 0.25
WARM, REPEATS = 20, 10
Timed = list[float]


def question(case: PlanCase) -> tuple[Any, ...]:
    """Give a problem as the planner takes it."""
    k = load_constants()
    return (k, case.temperature_c, case.totals, case.fill, case.rows, case.bands, PLAN_STARTS)


def part(values: Sequence[float], share: float) -> float:
    """Give the value that a share of the values lies under."""
    return sorted(values)[min(len(values) - 1, int(share * len(values)))]


def seconds(function: Callable[..., Any], questions: list[tuple[Any, ...]]) -> Timed:
    """Give the CPU seconds of each call."""
    found = []
    for each in questions:
        start = time.process_time()
        function(*each)
        found.append(time.process_time() - start)
    return found


def told(name: str, values: Timed) -> None:
    """Print a line of times."""
    print(f"{name}: median {part(values, 0.5):.4f} s, p95 {part(values, 0.95):.4f} s,"
          f" most {max(values):.4f} s")  # fmt: skip


def renderer_seconds(session: CDPSession) -> float:
    """Give the CPU seconds that Chromium's pages have had, told in hundredths."""
    processes = session.send("SystemInfo.getProcessInfo")["processInfo"]
    return sum(each["cpuTime"] for each in processes if each["type"] == "renderer")


def browser_times(questions: list[tuple[Any, ...]]) -> Timed:
    """Give the CPU seconds of each call in Chromium, the mean of some, once it is compiled."""
    with sync_playwright() as playwright:
        started = playwright.chromium.launch(
            executable_path=browser_path(), args=list(FLAGS), chromium_sandbox=False
        )
        page = kernel_sides(started).page
        session = started.new_browser_cdp_session()
        call = "([path, name, rows, turns]) => parity.time(path, name, rows, turns)"
        sent = [[KERNEL_SCRIPT, "plan_search", json.dumps([each])] for each in questions]
        for each in sent[:WARM]:
            page.evaluate(call, [*each, 1])
        found = []
        for each in sent:
            before = renderer_seconds(session)
            page.evaluate(call, [*each, REPEATS])
            found.append((renderer_seconds(session) - before) / REPEATS)
        started.close()
    return found


def gaps_and_faults(cases: list[PlanCase]) -> tuple[list[float], int, int]:
    """Give the cost over the oracle's, how many problems have no plan, and how many faults."""
    engine = load_engine(wanted=("planning",))
    planner = engine.function("plan_search")
    choice = compiled(engine.module, numba.njit)["cheapest_of_choice"]
    gaps, unanswered, faults, spent, tried = [], 0, 0, 0.0, 0.0
    for place, case in enumerate(cases):
        start = time.process_time()
        status, counts, steps, figures = planner(*question(case))
        middle = time.process_time()
        least = least_cost(case, choice)
        if place > 0:  # the first call compiles
            spent += middle - start
            tried += time.process_time() - middle
        if status == PLAN_FOUND:
            faults += len(plan_faults(case, counts, steps))
            gaps.append(
                figures[1 + len(bands_of(case))] / least - 1 if least < NOTHING_FOUND else 0.0
            )
        else:
            unanswered += 1
    each = spent / len(cases) * 1e3
    print(f"compiled planner {each:.2f} ms a problem, oracle {tried / spent:.1f} times that")
    return gaps, unanswered, faults


def main() -> int:
    """Print everything; fail where a number is missed."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--count", type=int, default=2000)
    parser.add_argument("--seed", type=int, default=41)
    parser.add_argument("--timed", type=int, default=200)
    parser.add_argument("--browser", action="store_true")
    asked = parser.parse_args()
    cases = list(feasible_cases(asked.count, asked.seed))
    questions = [question(case) for case in cases[: asked.timed]]
    times = seconds(plan_search, questions)
    told(f"CPython, {len(times)} problems", times)
    solve = sum(seconds(ph_of_totals, [each[:3] for each in questions])) / len(questions)
    middle, high = part(times, 0.5) / solve, part(times, 0.95) / solve
    print(f"a plan takes as long as {middle:.0f} solves from nothing, p95 {high:.0f}")
    if asked.browser:
        told("Chromium", browser_times(questions))
    gaps, unanswered, faults = gaps_and_faults(cases)
    found = 1 - unanswered / len(cases)
    middle, high = part(gaps, 0.5), part(gaps, 0.95)
    print(
        f"{len(cases)} problems, seed {asked.seed}: every band met in {found:.2%}, {faults} faults"
    )
    print(f"cost over the best of all: median {middle:.2%}, p95 {high:.2%}, most {max(gaps):.0%},"
          f" cheaper than it (by a fourth product) {sum(gap < -1e-9 for gap in gaps)}")  # fmt: skip
    good = found >= FOUND_SHARE and middle <= GAP_MEDIAN and high <= GAP_HIGH and faults == 0
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())
