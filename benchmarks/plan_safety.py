"""Ask the planner about generated situations: no plan may break what `plan_checks` holds.

    .venv/bin/python benchmarks/plan_safety.py [--count N] [--seed S] [--engine plain|compiled]
        [--plant NAME]

Six in ten situations are complete; the others lack something or are turned against the planner.
Each answer is followed again with the equilibrium itself (tests/properties/plan_checks.py). With
--engine compiled the search and the solver run compiled (lanewater.fleet); with --plant a fault is
planted into every answer, and the run fails where it is not found. The same seed gives the same
situations.
"""

from __future__ import annotations

import argparse
import random
import sys
import time
from collections import Counter
from collections.abc import Callable, Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parent.parent))

from tests.properties.plan_checks import faults_of
from tests.properties.plan_faults import PLANTED
from tests.properties.plan_situations import Situation, draw_situation

from lanewater.dosing.advice import Tell
from lanewater.dosing.plan import plan_for, worked_out
from lanewater.dosing.plan_question import request_from
from lanewater.kernel.deciding import decimals, tries
from lanewater.kernel.deciding.advice import advise
from lanewater.kernel.deciding.planproblem import plan_start
from lanewater.kernel.water.planning import plan_search
from lanewater.service.constants import load_constants

TELL = Tell(pool="Main")
MOST_SHOWN = 10
# Of the site's plans, how many have the water after the advice's step worked out again.
ADVICE_EVERY = 10
CLOSE = 1e-12
# What the deciding kernel asks of the solver, and where it holds it.
COMPILED = ("totals_of_reading", "solve_totals", "water_constants", "amount_to_reach")
# What the deciding kernel reads again and again; the same text always gives the same number.
KEPT = ("thousandths", "legible_text")
# Only these modules are compiled, so that work elsewhere in the kernel costs no compilation here.
MODULES = ("planning", "search", "equilibrium", "constants")

Totals = tuple[float, ...]


class Watched:
    """A search that remembers the water it was last asked to start from."""

    def __init__(self, search: Callable[..., Any]) -> None:
        self.search = search
        self.start: Totals | None = None

    def __call__(self, k: Totals, temperature_c: float, totals: Totals, *more: Any) -> Any:
        self.start = totals
        return self.search(k, temperature_c, totals, *more)


def compiled_search() -> Callable[..., Any]:
    """Give the compiled search, and let the deciding kernel use the compiled solver."""
    from lanewater.fleet.engine import load_engine  # noqa: PLC0415 - only where it is asked for

    engine = load_engine(wanted=MODULES)
    for name in COMPILED:
        put_in_place(name, engine.function(name))
    for name in KEPT:
        put_in_place(name, lru_cache(maxsize=100_000)(getattr(decimals_and_tries(name), name)))
    return engine.function("plan_search")


def decimals_and_tries(name: str) -> Any:
    """Give the module that holds a function of KEPT."""
    return decimals if hasattr(decimals, name) else tries


def put_in_place(name: str, other: Callable[..., Any]) -> None:
    """Let every module of the deciding kernel use another function for one of that name."""
    for module in list(sys.modules.values()):
        inside = getattr(module, "__name__", "").startswith("lanewater.kernel.deciding.")
        if inside and hasattr(module, name):
            setattr(module, name, other)


def answer_to(k: Totals, situation: Situation, engine: Watched) -> dict[str, Any]:
    """Answer one situation through the face that its asker has."""
    engine.start = None
    if situation.request is None:
        return worked_out(k, request_from(situation.question), engine)
    return plan_for(k, situation.request, situation.may_dose, TELL, engine).as_dict()


def apart_from_advice(k: Totals, situation: Situation, start: Totals) -> list[str]:
    """Name a plan that does not start from the water after the advice's own step."""
    if situation.request is None:
        return []
    request = situation.request.for_kernel()
    advice = advise(k, request)
    first = advice if advice["state"] == "add" else {}
    begun = plan_start(k, request, request["case"], first)
    same = all(abs(one - other) <= CLOSE for one, other in zip(begun["totals"], start, strict=True))
    return [] if same else ["a plan that starts from another water than the advice ends in"]


def main() -> int:
    """Ask; end with 1 where a plan breaks a promise, or a planted fault is not found."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=150)
    parser.add_argument("--seed", type=int, default=5)
    parser.add_argument("--engine", choices=("plain", "compiled"), default="plain")
    parser.add_argument("--plant", choices=sorted(PLANTED))
    asked = parser.parse_args()
    k = load_constants()
    engine = Watched(compiled_search() if asked.engine == "compiled" else plan_search)
    draw = random.Random(asked.seed)  # noqa: S311 - the same seed gives the same situations
    states: Counter[str] = Counter()
    faults: Counter[str] = Counter()
    began, cpu = time.perf_counter(), time.process_time()
    for number in range(asked.count):
        situation = draw_situation(draw)
        answer: Mapping[str, Any] = answer_to(k, situation, engine)
        if asked.plant:
            answer = PLANTED[asked.plant](situation, answer)
        found = faults_of(k, situation, answer, engine.start if situation.request else None)
        again = bool(answer.get("steps")) and not situation.refuse and number % ADVICE_EVERY == 0
        if again and engine.start is not None:
            found += apart_from_advice(k, situation, engine.start)
        states[f"{situation.kind} {situation.made}: {answer['state']}"] += 1
        faults.update(found)
        for fault in found if faults.total() <= MOST_SHOWN and not asked.plant else ():
            print(f"{number} ({situation.kind}, {situation.made}): {fault}")
    for state, count in sorted(states.items()):
        print(f"{count:8d} {state}")
    plans = sum(count for state, count in states.items() if state.endswith(": plan"))
    spent = time.process_time() - cpu
    print(
        f"{asked.count} situations (seed {asked.seed}), {plans} plans, {faults.total()} faults;"
        f" {spent:.1f} s of CPU, {1000 * spent / max(asked.count, 1):.2f} ms each,"
        f" {time.perf_counter() - began:.1f} s"
    )
    for fault, count in faults.most_common():
        print(f"{count:8d} {fault}")
    return 1 if bool(faults) != bool(asked.plant) else 0


if __name__ == "__main__":
    sys.exit(main())
