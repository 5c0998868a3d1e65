"""Who decides what."""

from __future__ import annotations

import pytest

from lanewater.people.authority import MATRIX, ROLES, answer_for, who_may
from lanewater.records.kinds import ROLES as ROLES_ON_RECORD


def test_the_matrix_answers_for_every_role_and_decision() -> None:
    assert ROLES == ROLES_ON_RECORD
    for row in MATRIX.values():
        assert tuple(row) == ROLES
        assert set(row.values()) <= {"yes", "no", "delegated", "competent"}


@pytest.mark.parametrize("roles", [[], *[[role] for role in ROLES]])
def test_anybody_calls_everyone_out_and_records(roles: list[str]) -> None:
    assert answer_for("everyone-out", roles) == "yes"
    assert answer_for("record", roles) == "yes"


@pytest.mark.parametrize("decision", sorted(set(MATRIX) - {"record", "everyone-out"}))
def test_nobody_and_a_tester_decide_nothing_else(decision: str) -> None:
    assert answer_for(decision, []) == "no"
    assert answer_for(decision, ["tester"], ["open"]) == "no"


def test_the_plant_operator_opens_only_where_it_was_delegated() -> None:
    assert answer_for("open", ["plant-operator"]) == "no"
    assert answer_for("open", ["plant-operator"], ["open"]) == "yes"
    assert answer_for("end-house-stop", ["plant-operator"], ["open"]) == "yes"


def test_two_roles_decide_what_either_may() -> None:
    assert answer_for("open", ["tester", "duty-manager"]) == "yes"
    assert answer_for("hand-dose", ["tester", "plant-operator"]) == "competent"


def test_a_role_alone_never_gives_an_amount() -> None:
    assert {answer_for("hand-dose", [role]) for role in ROLES} == {"no", "competent"}


def test_a_refusal_can_name_who_may() -> None:
    assert who_may("open") == ["duty-manager", "plant-operator", "area-manager"]
