"""The planner keeps every cap, limit and stock, and finds what there is to be found."""

from __future__ import annotations

import dataclasses
import random
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.kernel.water.plan_cases import HUGE, PlanCase, flat
from tests.kernel.water.plan_rehearsal import (
    after_step,
    bands_of,
    end_faults,
    feasible_cases,
    plan_faults,
    quantities,
    rows_of,
    steps_by_hand,
)

from lanewater.kernel.water import planningsteps, planningwater
from lanewater.kernel.water.additions import (
    P_HYDROCHLORIC_ACID,
    P_SODIUM_BICARBONATE,
    P_SODIUM_HYPOCHLORITE,
    P_SODIUM_THIOSULFATE,
)
from lanewater.kernel.water.constants import water_constants
from lanewater.kernel.water.equilibrium import solve_totals, totals_of_reading
from lanewater.kernel.water.planning import plan_search
from lanewater.kernel.water.planningfresh import fresh_waters, planned_totals
from lanewater.kernel.water.planningslots import (
    BINDS_LIMIT,
    BINDS_NOTHING,
    BINDS_STEP,
    BINDS_STEPS,
    BINDS_STOCK,
    BY_GROUP,
    P_FRESH_WATER,
    PLAN_FOUND,
    PLAN_NO_PLAN,
    PLAN_NO_WATER,
    PLAN_NOT_NEEDED,
    PLAN_STARTS,
    Q_SATURATION,
)
from lanewater.kernel.water.planningsteps import slotted
from lanewater.kernel.water.search import Q_ALKALINITY, Q_CYANURIC_ACID, Q_FREE_CHLORINE, Q_PH
from lanewater.service.constants import load_constants

Answer = tuple[int, list[float], list[float], list[float]]

# Alkalinity of about 1 mg/L, chlorine of about 0.2, and as much acid.
ACID = (P_HYDROCHLORIC_ACID, 2e-5, 0.0, 60.0, 1.0, 1.0, 2.0, HUGE)
HYPOCHLORITE = (P_SODIUM_HYPOCHLORITE, 3e-6, 0.05, 60.0, 1.0, 1.0, 1.0, HUGE)
BICARBONATE = (P_SODIUM_BICARBONATE, 4e-5, 0.0, 60.0, 1.0, 1.0, 3.0, HUGE)
THIOSULFATE = (P_SODIUM_THIOSULFATE, 1e-6, 0.0, 60.0, 1.0, 1.0, 2.0, HUGE)
FRESH = (P_FRESH_WATER, 0.02, 0.0, 40.0, 1.0, 1.0, 0.0, 10.0)
FREE = (Q_FREE_CHLORINE, 1.0, 3.0, 0.0, 5.0, 3.0)
PH = (Q_PH, 7.2, 7.6, 6.8, 8.6, 0.2)
ALKALINITY = (Q_ALKALINITY, 60.0, 160.0, 20.0, 300.0, 15.0)


def problem(
    rows: list[tuple[float, ...]], bands: list[tuple[float, ...]], **reading: float
) -> PlanCase:
    """Set a problem from a reading."""
    read = {"ph": 7.4, "ta": 100.0, "free": 2.0, "cya": 0.0, **reading}
    k = load_constants()
    _, totals = totals_of_reading(
        k, (read["ph"], 26.0, read["ta"], 200.0, read["cya"], 0.0, 500.0, 0.0, read["free"], 5.0)
    )
    _, fill = totals_of_reading(k, (7.6, 26.0, 80.0, 150.0, 0.0, 0.0, 50.0, 0.0, 0.0, 5.0))
    return PlanCase(26.0, totals, fill, flat(rows), flat(bands), (0.0,) * len(rows))


def solve(case: PlanCase, starts: int = PLAN_STARTS) -> Answer:
    """Ask the planner."""
    k = load_constants()
    return plan_search(k, case.temperature_c, case.totals, case.fill, case.rows, case.bands, starts)


def pairs(steps: list[float]) -> list[tuple[float, float]]:
    """Give the steps as pairs."""
    return list(zip(steps[::2], steps[1::2], strict=True))


@pytest.fixture(scope="module")
def cases() -> list[PlanCase]:
    """Problems that have an answer."""
    return list(feasible_cases(40, seed=5))


@pytest.fixture(scope="module")
def answers(cases: list[PlanCase]) -> list[Answer]:
    """What the planner says of each."""
    return [solve(case) for case in cases]


def test_nearly_every_problem_that_has_an_answer_is_answered(answers: list[Answer]) -> None:
    assert sum(answer[0] == PLAN_FOUND for answer in answers) >= 0.99 * len(answers)


def test_a_plan_breaks_nothing_when_done_again_by_plain_calls(
    cases: list[PlanCase], answers: list[Answer]
) -> None:
    both = zip(cases, answers, strict=True)
    assert [fault for case, answer in both for fault in plan_faults(case, *answer[1:3])] == []


def test_a_plan_costs_no_more_than_one_that_is_known(
    cases: list[PlanCase], answers: list[Answer]
) -> None:
    dearer = [
        answer[3][1 + len(bands_of(case))] / known_cost(case) - 1
        for case, answer in zip(cases, answers, strict=True)
    ]
    assert sorted(dearer)[-2] <= 0.0


def known_cost(case: PlanCase) -> float:
    """Give what the known plan costs, efforts included."""
    used = zip(rows_of(case), case.known, strict=True)
    return sum(row[4] * units + row[5] for row, units in used if units > 0.0)


def test_the_figures_are_those_of_the_steps_done_again(
    cases: list[PlanCase], answers: list[Answer]
) -> None:
    for case, (_, _, steps, figures) in zip(cases, answers, strict=True):
        totals = case.totals
        again: list[float] = []
        for row, units in pairs(steps):
            totals = after_step(case, totals, int(row), units)
            again += quantities(case, totals)
        assert figures[0] == BINDS_NOTHING
        assert figures[2 + len(bands_of(case)) :] == pytest.approx(again, rel=1e-9, abs=1e-9)


def test_the_same_question_has_the_same_answer(
    cases: list[PlanCase], answers: list[Answer]
) -> None:
    assert [solve(case) for case in cases[:10]] == answers[:10]


@settings(max_examples=25, deadline=None, derandomize=True)
@given(seed=st.integers(0, 2**32), stock=st.integers(0, 6))
def test_no_plan_uses_more_than_there_is(seed: int, stock: int) -> None:
    case = next(feasible_cases(1, seed))
    rows = list(case.rows)
    rows[3::8] = [float(stock)] * len(rows[3::8])
    short = dataclasses.replace(case, rows=rows)
    status, counts, steps, _ = solve(short, starts=4)
    assert max(counts) <= stock
    if status == PLAN_FOUND:
        assert plan_faults(short, counts, steps) == []
    else:
        assert (max(counts), steps) == (0.0, [])


@settings(max_examples=25, deadline=None, derandomize=True)
@given(
    ph=st.floats(6.6, 8.6),
    ta=st.floats(20, 260),
    free=st.floats(0, 6),
    cya=st.floats(0, 90),
)
def test_whatever_the_water_a_plan_breaks_nothing(
    ph: float, ta: float, free: float, cya: float
) -> None:
    case = problem(
        [HYPOCHLORITE, ACID, BICARBONATE, FRESH],
        [PH, FREE, ALKALINITY, (Q_CYANURIC_ACID, -HUGE, 50.0, -HUGE, HUGE, HUGE)],
        ph=ph, ta=ta, free=free, cya=cya,
    )  # fmt: skip
    status, counts, steps, _ = solve(case)
    if status == PLAN_FOUND:
        assert plan_faults(case, counts, steps) == []
    if status == PLAN_NOT_NEEDED:
        assert end_faults(case, case.totals) == []


def test_acid_for_four_tenths_of_ph_goes_in_by_steps_of_two() -> None:
    status, _, steps, _ = solve(problem([ACID], [PH, ALKALINITY], ph=8.0))
    assert status == PLAN_FOUND
    assert len(pairs(steps)) == 3


def test_chlorine_goes_in_before_acid() -> None:
    status, _, steps, _ = solve(
        problem([ACID, HYPOCHLORITE], [PH, FREE, ALKALINITY], ph=7.8, free=0.4)
    )
    assert status == PLAN_FOUND
    assert pairs(steps)[0][0] == 1.0
    assert pairs(steps)[-1][0] == 0.0


def test_acid_goes_first_where_chlorine_would_break_a_limit_that_holds() -> None:
    tight = (Q_PH, 7.2, 7.6, 7.0, 7.8, 0.2)
    case = problem([ACID, HYPOCHLORITE], [tight, FREE, ALKALINITY], ph=7.79, free=0.2, ta=80)
    status, counts, steps, _ = solve(case)
    assert status == PLAN_FOUND
    assert plan_faults(case, counts, steps) == []
    assert pairs(steps)[0][0] == 0.0


def test_fresh_water_goes_in_before_any_product() -> None:
    cya = (Q_CYANURIC_ACID, -HUGE, 50.0, -HUGE, HUGE, HUGE)
    case = problem([HYPOCHLORITE, FRESH], [cya, FREE], cya=80.0, free=1.5)
    status, counts, steps, _ = solve(case)
    assert status == PLAN_FOUND
    assert plan_faults(case, counts, steps) == []
    assert [row for row, _ in pairs(steps)] == [1.0, 1.0, 1.0, 0.0]


def test_thiosulfate_takes_chlorine_down() -> None:
    status, _, steps, _ = solve(problem([THIOSULFATE], [FREE], free=4.5))
    assert status == PLAN_FOUND
    assert pairs(steps)[0][0] == 0.0


def test_a_reducer_that_would_find_no_chlorine_in_its_step_makes_no_plan() -> None:
    case = problem([HYPOCHLORITE, (*THIOSULFATE[:6], 0.0, HUGE)], [(*FREE[:4], 9.0, 9.0)], free=0.0)
    k = load_constants()
    c = water_constants(k, case.temperature_c)
    state = solve_totals(c, case.totals)[1]
    waters = fresh_waters(c, case.totals, state, case.fill, case.rows, case.bands)
    counts = [20.0, 8.0]
    end = planned_totals(waters, case.rows, counts)
    assert end_faults(case, end) == []
    fault, steps = slotted(c, state, waters, case.rows, case.bands, counts, BY_GROUP)
    assert pairs(steps) == [(1.0, 8.0), (0.0, 20.0)]
    assert fault == 0


def test_nothing_is_planned_where_nothing_is_missing() -> None:
    assert solve(problem([ACID], [PH, FREE]))[:3] == (PLAN_NOT_NEEDED, [0.0], [])


def test_no_plan_is_made_for_a_water_that_there_is_not() -> None:
    case = problem([ACID], [PH])
    totals = (case.totals[0], -1e-3, *case.totals[2:])
    assert solve(dataclasses.replace(case, totals=totals))[0] == PLAN_NO_WATER


@pytest.mark.parametrize(
    ("case", "binds"),
    [
        (problem([ACID], [PH, FREE], free=0.2), 1),
        (problem([(*ACID[:3], 2.0, *ACID[4:])], [PH], ph=8.2), BINDS_STOCK),
        (problem([BICARBONATE, (*ACID[:3], 0.0, *ACID[4:])], [PH], ph=8.2), BINDS_STOCK + 1),
        (problem([(*ACID[:1], 2.2e-4, *ACID[2:])], [PH], ph=8.2), BINDS_STEP),
        (problem([HYPOCHLORITE], [FREE, (Q_PH, -HUGE, HUGE, 7.0, 7.61, 0.2)], ph=7.6, free=0.1),
         BINDS_LIMIT + 1),
        (problem([BICARBONATE], [(Q_ALKALINITY, 120.0, 140.0, 0.0, HUGE, 5.0)], ta=40.0),
         BINDS_STEPS),
    ],
)  # fmt: skip
def test_where_there_is_no_plan_what_binds_is_named(case: PlanCase, binds: int) -> None:
    status, counts, steps, figures = solve(case)
    assert (status, max(counts), steps) == (PLAN_NO_PLAN, 0.0, [])
    assert figures[0] == binds


def test_the_saturation_index_is_held_as_a_band() -> None:
    index = (Q_SATURATION, -0.2, 0.2, -HUGE, HUGE, HUGE)
    case = problem([BICARBONATE, ACID], [PH, index], ta=60.0, ph=7.3)
    status, counts, steps, _ = solve(case)
    assert status == PLAN_FOUND
    assert plan_faults(case, counts, steps) == []


# The harness is worth what it catches: each of these plants a fault in the planner.


def without_caps(*_: Any) -> int:
    """Hold no step to anything."""
    return BINDS_NOTHING


def of_the_wrong_sign(
    totals: tuple[float, ...], rows: list[float], row: int, units: float
) -> tuple[float, ...]:
    """Take a product out in place of putting it in."""
    return planningwater.add_product(totals, int(rows[row * 8]), -rows[row * 8 + 1] * units, 0.0)


def one_more(waters: list[float], rows: list[float], row: int) -> float:
    """Give one unit more than there is."""
    return rows[row * 8 + 3] + 1.0 if rows[row * 8] != P_FRESH_WATER else 0.0


PLANTED = (
    (planningsteps, "step_fault", without_caps),
    (planningsteps, "with_units", of_the_wrong_sign),
)


@pytest.mark.parametrize(("module", "name", "fault"), PLANTED, ids=["cap", "sign"])
def test_a_planted_fault_is_caught(
    monkeypatch: pytest.MonkeyPatch, cases: list[PlanCase], module: Any, name: str, fault: Any
) -> None:
    monkeypatch.setattr(module, name, fault)
    assert [fault for case in cases for fault in plan_faults(case, *solve(case, 4)[1:3])] != []


def test_a_stock_that_is_off_by_one_is_caught(
    monkeypatch: pytest.MonkeyPatch, cases: list[PlanCase]
) -> None:
    monkeypatch.setattr("lanewater.kernel.water.planning.most_units", one_more)
    faults = []
    for case in cases:
        rows = list(case.rows)
        rows[3::8] = [max(units - 1.0, 0.0) for units in case.known]
        short = dataclasses.replace(case, rows=rows)
        status, counts, steps, _ = solve(short, starts=4)
        faults += plan_faults(short, counts, steps) if status == PLAN_FOUND else []
    assert any("in stock" in fault for fault in faults)


def test_the_known_plan_is_put_into_steps_by_hand() -> None:
    case = random.Random(3).choice(list(feasible_cases(5, seed=9)))  # noqa: S311 - any of them
    assert plan_faults(case, case.known, steps_by_hand(case)) == []
