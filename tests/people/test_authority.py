"""Who decides what."""

from __future__ import annotations

import pytest

from lanewater.people.authority import (
    ALWAYS,
    MATRIX,
    ROLES,
    answer_for,
    hold_to_house,
    matrix_with,
    who_may,
)
from lanewater.records.kinds import ROLES as ROLES_ON_RECORD
from lanewater.terms.errors import InputError
from lanewater.terms.words import DECISIONS


def test_the_matrix_answers_for_every_role_and_decision() -> None:
    assert ROLES == ROLES_ON_RECORD
    assert tuple(MATRIX) == DECISIONS
    for row in MATRIX.values():
        assert tuple(row) == ROLES
        assert set(row.values()) <= {"yes", "no", "delegated", "competent"}


@pytest.mark.parametrize("roles", [[], *[[role] for role in ROLES]])
def test_anybody_calls_everyone_out_and_records(roles: list[str]) -> None:
    assert answer_for("everyone-out", roles) == "yes"
    assert answer_for("record", roles) == "yes"
    assert answer_for("start-incident", roles) == "yes"


@pytest.mark.parametrize("decision", sorted(set(MATRIX) - set(ALWAYS)))
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


def row(decision: str, role: str, answer: str) -> dict[str, str]:
    """Give one row of a change."""
    return {"decision": decision, "role": role, "answer": answer}


def test_the_defaults_are_those_of_the_trade() -> None:
    assert who_may("end-incident") == ["duty-manager", "plant-operator", "area-manager"]
    assert who_may("accept-rules") == ["area-manager"]
    assert who_may("start-incident") == list(ROLES)
    assert who_may("close") == ["duty-manager", "plant-operator", "area-manager"]


@pytest.mark.parametrize("role", ["tester", "contractor"])
def test_a_tester_and_a_contractor_open_only_where_the_site_says_so_by_name(role: str) -> None:
    changed = hold_to_house(MATRIX, [row("open", role, "yes")])
    assert answer_for("open", [role]) == "no"
    assert answer_for("open", [role], (), changed) == "yes"
    others = set(ROLES) - {role}
    assert {name: changed["open"][name] for name in others} == {
        name: MATRIX["open"][name] for name in others
    }


@pytest.mark.parametrize("decision", ALWAYS)
@pytest.mark.parametrize("role", ROLES)
def test_recording_and_calling_out_cannot_be_taken_from_anybody(decision: str, role: str) -> None:
    with pytest.raises(InputError, match=decision):
        hold_to_house(MATRIX, [row(decision, role, "no")])
    # Not by a line of the record either, whoever wrote it.
    forced = matrix_with(MATRIX, [row(decision, role, "no")])
    assert forced == MATRIX
    assert answer_for(decision, [role], (), forced) == "yes"


@pytest.mark.parametrize(
    ("decision", "role", "answer"),
    [
        ("hand-dose", "duty-manager", "yes"),
        ("hand-dose", "plant-operator", "delegated"),
        ("open", "tester", "competent"),
        ("set-up", "tester", "delegated"),
    ],
)
def test_an_answer_that_means_nothing_for_a_decision_is_refused(
    decision: str, role: str, answer: str
) -> None:
    with pytest.raises(InputError, match=decision):
        hold_to_house(MATRIX, [row(decision, role, answer)])
    assert matrix_with(MATRIX, [row(decision, role, answer)]) == MATRIX


def test_no_decision_is_left_to_nobody_but_adding_by_hand() -> None:
    with pytest.raises(InputError, match="set-up"):
        hold_to_house(MATRIX, [row("set-up", "area-manager", "no")])
    with pytest.raises(InputError, match="open"):
        hold_to_house(
            MATRIX, [row("open", "duty-manager", "no"), row("open", "area-manager", "no")]
        )
    nobody = hold_to_house(MATRIX, [row("hand-dose", role, "no") for role in ROLES])
    assert {answer_for("hand-dose", [role], (), nobody) for role in ROLES} == {"no"}


def test_a_change_leaves_the_default_as_it_is() -> None:
    hold_to_house(MATRIX, [row("close", "tester", "yes")])
    assert answer_for("close", ["tester"]) == "no"


def test_who_was_delegated_to_open_ends_what_keeps_it_closed() -> None:
    changed = hold_to_house(MATRIX, [row("end-incident", "plant-operator", "delegated")])
    assert answer_for("end-incident", ["plant-operator"], (), changed) == "no"
    assert answer_for("end-incident", ["plant-operator"], ["open"], changed) == "yes"
