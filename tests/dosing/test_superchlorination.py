"""Superchlorination as people get it: by competence, and in plain words."""

from __future__ import annotations

from typing import Any

import pytest
from tests.kernel.deciding.superchlorination_cases import asked, drawn_requests, mornings

from lanewater.dosing.advice import Tell
from lanewater.dosing.superchlorination import asked_from, superchlorination_for, words_of
from lanewater.kernel.deciding.superchlorination import superchlorination_of
from lanewater.terms.errors import InputError

TELL = Tell("Main")


def answer_for(may_dose: frozenset[str], **changes: Any) -> dict[str, Any]:
    request = asked(**changes)
    case = request.pop("case")
    return superchlorination_for(case, request, may_dose, TELL).as_dict()


def test_without_competence_there_is_nothing_to_reckon_with() -> None:
    one = answer_for(frozenset())
    other = answer_for(frozenset(), free="0.20", total="3.00", ammonia_n_mg_l="0.9")
    assert one == other
    assert one["state"] == "call"
    assert "mg" not in str(one)


def test_the_competent_are_told_what_to_reach() -> None:
    answer = answer_for(frozenset({"sodium-hypochlorite"}))
    assert answer["state"] == "may-help"
    assert answer["free_to_reach_mg_l"]["high"] == "1.30"


def test_ten_times_combined_is_explained_and_never_the_amount() -> None:
    words = " ".join(words_of(superchlorination_of(asked(ammonia_n_mg_l="0.40"))))
    assert "Not ten times combined (16.00 mg/L)" in words
    assert "3.20 to 4.00" in words


def test_what_lasts_is_told_what_helps() -> None:
    words = words_of(superchlorination_of(asked(rounds=mornings("1.50", "2.60"))))
    assert words[0] == "More chlorine will not take this away."
    assert any("fresh water" in line for line in words)


def test_every_answer_has_words() -> None:
    states = set()
    for request in drawn_requests(600, 74):
        answer = superchlorination_of(request)
        states.add(answer["state"])
        words = words_of(answer)
        assert len(words) > len(answer["reasons"])
        assert not any("{" in line or "verdict" in line.lower() for line in words)
    assert len(states) == 8


@pytest.mark.parametrize(
    "given",
    [
        {"monopersulfate": "perhaps"},
        {"everybody_out": True},
        {"ammonia_n_mg_l": 0.3},
        {"ammonia_n_mg_l": "-1"},
        {"ammonia_n_mg_l": ">1"},
        {"maximum_free_mg_l": "1000"},
        {"people_due_in_minutes": 1.5},
        {"people_due_in_minutes": True},
        {"people_due_in_minutes": -1},
        {"rounds": []},
    ],
)
def test_what_cannot_be_read_is_refused_by_name(given: dict[str, Any]) -> None:
    with pytest.raises(InputError, match=next(iter(given))):
        asked_from(given)


def test_what_is_not_given_is_not_known() -> None:
    assert asked_from({"fresh_air": None, "ammonia_n_mg_l": "0.3"}) == {"ammonia_n_mg_l": "0.3"}
