"""The planner beside two others that search in another way: every count tried, and HiGHS."""

from __future__ import annotations

import dataclasses
import random
from collections.abc import Iterator

import pytest
from tests.agreement.enumeration import NOTHING_FOUND, least_cost
from tests.agreement.milp import programmed_plan
from tests.kernel.water.plan_cases import PlanCase
from tests.kernel.water.plan_rehearsal import bands_of, feasible_cases, rows_of

from lanewater.kernel.water.planning import plan_search
from lanewater.kernel.water.planningslots import P_FRESH_WATER, PLAN_FOUND, PLAN_STARTS, ROW_WIDTH
from lanewater.service.constants import load_constants


def planned_cost(case: PlanCase, starts: int = PLAN_STARTS) -> float:
    """Give what the planner's plan costs; NOTHING_FOUND where it has none."""
    status, _, _, figures = plan_search(
        load_constants(), case.temperature_c, case.totals, case.fill, case.rows, case.bands, starts
    )
    return figures[1 + len(bands_of(case))] if status == PLAN_FOUND else NOTHING_FOUND


def small_cases(count: int) -> Iterator[PlanCase]:
    """Give problems of at most five rows and few units, that are soon tried through."""
    for case in feasible_cases(1000, seed=19):
        if max(case.known) <= 8 and len(case.known) <= 6 and count > 0:
            count -= 1
            rows = list(case.rows)
            rows[3::ROW_WIDTH] = [min(most, 9.0) for most in rows[3::ROW_WIDTH]]
            yield dataclasses.replace(case, rows=rows)
        elif count == 0:
            return


def test_a_plan_costs_hardly_more_than_the_best_of_all_that_can_be_tried() -> None:
    gaps = sorted(planned_cost(case) / least_cost(case) - 1 for case in small_cases(20))
    assert gaps[len(gaps) // 2] <= 0.03
    assert gaps[int(0.9 * len(gaps))] <= 0.25


def test_a_plan_costs_hardly_more_than_a_mixed_integer_program_finds() -> None:
    gaps = []
    for case in feasible_cases(30, seed=23):
        if P_FRESH_WATER not in {row[0] for row in rows_of(case)}:
            answer = programmed_plan(case)
            if answer is not None:
                gaps.append(planned_cost(case) / answer[0] - 1)
    assert len(gaps) >= 8
    gaps.sort()
    assert gaps[len(gaps) // 2] <= 0.03
    assert gaps[int(0.9 * len(gaps))] <= 0.25


def test_a_planner_that_takes_what_comes_first_is_found_out() -> None:
    """Told by the same measure: the dearest plan that it found would not pass."""
    draw = random.Random(2)  # noqa: S311 - prices, not secrets
    gaps = []
    for case in small_cases(12):
        rows = list(case.rows)
        rows[4::ROW_WIDTH] = [cost * draw.choice((0.1, 10.0)) for cost in rows[4::ROW_WIDTH]]
        priced = dataclasses.replace(case, rows=rows)
        status, counts, _, _ = plan_search(
            load_constants(), case.temperature_c, case.totals, case.fill, case.rows, case.bands, 1
        )
        if status == PLAN_FOUND:
            cost = sum(
                row[4] * n + row[5] * (n > 0)
                for row, n in zip(rows_of(priced), counts, strict=True)
            )
            gaps.append(cost / least_cost(priced) - 1)
    assert max(gaps) > 0.25


@pytest.mark.parametrize("case", list(small_cases(2)))
def test_where_nothing_can_be_found_nothing_is_planned(case: PlanCase) -> None:
    rows = list(case.rows)
    rows[3::ROW_WIDTH] = [0.0] * len(case.known)
    empty = dataclasses.replace(case, rows=rows)
    assert least_cost(empty) == planned_cost(empty) == NOTHING_FOUND
