"""Vectors for the planner of kernel/water: problems with an answer, and such as have none."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

from tests.kernel.water.plan_cases import HUGE, PlanCase
from tests.kernel.water.plan_rehearsal import feasible_cases
from tests.parity.sides import Row, Suite

from lanewater.kernel.water.planningslots import PLAN_STARTS
from lanewater.service.constants import load_constants

# What is solved by iteration; counts and steps are whole and agree exactly all the same.
ITERATED = 1e-8


@cache
def problems() -> list[PlanCase]:
    """Problems that have an answer."""
    return list(feasible_cases(40, seed=71))


def planned() -> Iterator[Row]:
    """Each problem; some with a tenth of the stock, nothing to do, or a water that is none."""
    k = load_constants()
    for place, case in enumerate(problems()):
        rows = list(case.rows)
        bands = list(case.bands)
        starts = (1, PLAN_STARTS)[place % 2]
        totals = case.totals
        if place % 4 == 1:
            rows[3::8] = [number // 10 for number in rows[3::8]]
        if place % 10 == 3:
            bands[1::6] = [-HUGE] * len(bands[1::6])
            bands[2::6] = [HUGE] * len(bands[2::6])
        if place % 10 == 6:
            totals = (totals[0], -totals[1], *totals[2:])
        yield k, case.temperature_c, totals, case.fill, rows, bands, starts


SUITES = (Suite("plan_search", planned, ITERATED),)
