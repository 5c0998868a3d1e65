"""The plan over the wire: steps only to recorded competence, a call for everybody else."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest
from tests.interfaces.api.baths import LOW_ROUND, Baths
from tests.interfaces.api.test_amounts import ASKED, FROM_AN_AMOUNT, NOT_COMPETENT, keys_of

WHOLE_ROUND = LOW_ROUND | {
    "readings": LOW_ROUND["readings"] | {"total_alkalinity": "100", "temperature_c": "27.5"}
}
FROM_A_PLAN = FROM_AN_AMOUNT | {"steps", "totals", "first", "left_out", "unreached", "binding"}


def ask(baths: Baths, role: str) -> dict[str, Any]:
    """Ask what it will take, as somebody."""
    answer = baths.post("/plan", ASKED, role=role)
    assert answer.status_code == 200
    found: dict[str, Any] = answer.json()
    return found


def test_a_competent_person_gets_the_way_without_the_amount_for_now(baths: Baths) -> None:
    baths.post("/rounds", WHOLE_ROUND, role="competent")
    found = ask(baths, "competent")
    assert found["state"] == "plan", json.dumps(found)
    assert found["first"]["substance"] == "sodium-hypochlorite"
    assert "amount" not in found["first"]
    assert not any(step["for_now"] for step in found["steps"])


def test_the_plan_leaves_nothing_on_record_and_no_question_open(baths: Baths) -> None:
    baths.post("/rounds", WHOLE_ROUND, role="competent")
    before = len(baths.get("/record", role="competent").json())
    ask(baths, "competent")
    assert len(baths.get("/record", role="competent").json()) == before
    advice = baths.post("/advice", ASKED, role="competent").json()
    assert advice["state"] == "add"


def test_while_an_amount_is_unanswered_there_is_no_plan(baths: Baths) -> None:
    baths.post("/rounds", WHOLE_ROUND, role="competent")
    assert baths.post("/advice", ASKED, role="competent").json()["state"] == "add"
    found = ask(baths, "competent")
    assert found["state"] == "refused"
    assert found["steps"] == []


@pytest.mark.parametrize("role", NOT_COMPETENT)
def test_nobody_else_gets_anything_of_a_plan(baths: Baths, role: str) -> None:
    baths.post("/rounds", WHOLE_ROUND, role="competent")
    found = ask(baths, role)
    assert found["state"] == "call"
    assert not FROM_A_PLAN & keys_of(found)
    assert not re.search(r"hypochlorite|\bmL\b|\bkg\b", json.dumps(found), re.I)
