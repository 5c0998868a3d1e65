"""The checks of plans find what is planted, and nothing in what the planner says."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pytest
from tests.parity.drawing import drawer
from tests.properties.plan_checks import faults_of
from tests.properties.plan_faults import PLANTED
from tests.properties.plan_situations import (
    TO_A_QUESTION,
    TO_A_SITE,
    TO_EITHER,
    Situation,
    alone_situation,
    draw_situation,
    site_situation,
)

from lanewater.dosing.advice import Tell
from lanewater.dosing.plan import plan_for, worked_out
from lanewater.dosing.plan_question import request_from
from lanewater.kernel.water.planning import plan_search
from lanewater.service.constants import load_constants

K = load_constants()
TELL = Tell(pool="Main")
COUNT = 120
Totals = tuple[float, ...]


class Answered:
    """Situations with their answers, and the water that each plan starts from."""

    def __init__(self, count: int, seed: int) -> None:
        draw = drawer(seed)
        self.rows = [self.answer(draw_situation(draw)) for _ in range(count)]

    def answer(self, situation: Situation) -> tuple[Situation, Mapping[str, Any], Totals | None]:
        """Answer one situation through the face that its asker has."""
        start: list[Totals] = []

        def engine(*asked: Any) -> Any:
            start.append(asked[2])
            return plan_search(*asked)

        if situation.request is None:
            return situation, worked_out(K, request_from(situation.question), engine), None
        answer = plan_for(K, situation.request, situation.may_dose, TELL, engine).as_dict()
        return situation, answer, start[-1] if start else None


@pytest.fixture(scope="module")
def answered() -> Answered:
    """Some answers, always the same."""
    return Answered(COUNT, seed=17)


def test_no_plan_breaks_a_promise(answered: Answered) -> None:
    found = {fault for row in answered.rows for fault in faults_of(K, row[0], row[1], row[2])}
    assert found == set()
    assert sum(row[1]["state"] == "plan" for row in answered.rows) > COUNT // 10


@pytest.mark.parametrize("name", sorted(PLANTED))
def test_a_planted_fault_is_found(answered: Answered, name: str) -> None:
    assert any(
        faults_of(K, situation, PLANTED[name](situation, answer), start)
        for situation, answer, start in answered.rows
    )


@pytest.mark.parametrize(
    "change", [*TO_EITHER, *TO_A_QUESTION, *TO_A_SITE], ids=lambda each: each.__name__
)
def test_whatever_is_taken_away_leaves_no_amount(change: Any) -> None:
    draw = drawer(23)
    for number in range(8):
        on_site = change in TO_A_SITE or (number % 2 == 0 and change not in TO_A_QUESTION)
        whole = site_situation(draw) if on_site else alone_situation(draw)
        row = Answered(0, 0).answer(change(whole, draw))
        assert faults_of(K, row[0], row[1], row[2]) == []
