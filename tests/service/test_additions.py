"""One addition at a time on a filter; what was advised stays a question until it is answered."""

from __future__ import annotations

from typing import Any

import pytest
from tests.baths import Baths

from lanewater.service.actor import ANYBODY, SHELL, Actor
from lanewater.service.additions import (
    answer_addition,
    blocks,
    competent_for,
    record_advice,
    start_addition,
    why_not_amount,
)
from lanewater.service.permission import NotAllowedError
from lanewater.service.set_up import add
from lanewater.terms.errors import InputError, RefusedError

ADVICE = {
    "pool": "main",
    "round": "r",
    "product": "hypo",
    "amount": "2500",
    "unit": "mL",
    "wait_minutes": 45,
}


def ids(baths: Baths, pool: str = "main") -> list[str]:
    """Give what stands in the way of adding to a pool."""
    return [row["id"] for row in blocks(baths.book.state, pool, baths.now_ms)]


def advised(baths: Baths) -> str:
    """Show the operator an amount."""
    return record_advice(baths.book, baths.who("operator"), ADVICE)["id"]


def test_advice_is_a_question_until_it_is_answered(baths: Baths) -> None:
    advice = advised(baths)
    assert ids(baths) == ids(baths, "teaching") == ["advice-unanswered"]
    assert ids(baths, "plunge") == []
    with pytest.raises(RefusedError, match="advice-unanswered"):
        advised(baths)
    answer = {"advice": advice, "answer": "not-added"}
    assert answer_addition(baths.book, ANYBODY, answer)["blocks"] == []
    assert baths.reopened().state.advices[advice].answer == "not-added"
    advised(baths)


def test_adding_it_now_then_added_waits_and_asks_for_a_two_point_test(baths: Baths) -> None:
    advice = advised(baths)
    started = start_addition(baths.book, baths.who("operator"), {"pool": "main", "advice": advice})
    assert ids(baths, "teaching") == ["dose-running"]
    answer = {"addition": started["addition"], "answer": "added", "amount": "2400", "unit": "mL"}
    assert [row["id"] for row in answer_addition(baths.book, ANYBODY, answer)["blocks"]] == ["wait"]
    found = baths.reopened().state.additions[started["addition"]]
    assert (found.amount, found.unit, found.wait_minutes) == ("2400", "mL", 45)
    baths.wait(44)
    baths.retest("main")
    baths.retest("teaching")
    assert ids(baths) == ["wait"]
    baths.wait(2)
    assert ids(baths) == ["retest-first"]
    baths.round("main")
    baths.retest("main")
    assert ids(baths) == ["retest-first"]
    baths.retest("teaching")
    assert ids(baths) == []


def test_a_wait_is_never_shorter_than_half_an_hour(baths: Baths) -> None:
    given = {"pool": "main", "product": "hypo", "wait_minutes": 1, "answer": "added"}
    answer_addition(baths.book, ANYBODY, given)
    baths.wait(29)
    assert ids(baths) == ["wait"]


@pytest.mark.parametrize("wait", [0, 60 * 24])
def test_nobody_knowing_blocks_every_addition_until_a_two_point_test(
    baths: Baths, wait: int
) -> None:
    answer_addition(baths.book, ANYBODY, {"advice": advised(baths), "answer": "unknown"})
    baths.wait(wait)
    assert ids(baths, "teaching") == ["addition-unknown"]
    with pytest.raises(RefusedError, match="addition-unknown"):
        start_addition(baths.book, baths.who("operator"), {"pool": "main", "product": "hypo"})
    baths.retest("main")
    baths.retest("teaching")
    assert ids(baths) == []


def test_what_was_added_without_asking_is_taken_down_even_inside_a_wait(baths: Baths) -> None:
    given = {"pool": "main", "product": "hypo", "amount": "1", "unit": "L", "answer": "added"}
    answer_addition(baths.book, ANYBODY, given)
    answer_addition(baths.book, ANYBODY, given)
    assert ids(baths) == ["wait", "wait"]


def test_unknown_can_be_answered_later_and_added_cannot_be_unsaid(baths: Baths) -> None:
    advice = advised(baths)
    started = start_addition(baths.book, baths.who("operator"), {"pool": "main", "advice": advice})
    one = {"addition": started["addition"]}
    answer_addition(baths.book, ANYBODY, one | {"answer": "unknown"})
    answer_addition(baths.book, ANYBODY, one | {"answer": "added"})
    with pytest.raises(RefusedError, match="answered already"):
        answer_addition(baths.book, ANYBODY, one | {"answer": "not-added"})
    with pytest.raises(RefusedError, match="answered already"):
        start_addition(baths.book, baths.who("operator"), {"pool": "main", "advice": advice})


@pytest.mark.parametrize(
    ("actor", "why"),
    [
        (ANYBODY, "not-signed-in"),
        (SHELL, "not-signed-in"),
        (Actor("p-operator", "shell"), "not-signed-in"),
        (Actor("p-operator", "none"), "not-signed-in"),
        (Actor("p-nobody", "pin", verified=True), "not-signed-in"),
        (Actor("p-tester", "pin", verified=True), "role"),
        (Actor("p-manager", "pin", verified=True), "no-competence-on-record"),
        (Actor("p-operator", "pin", verified=True), ""),
    ],
)
def test_an_amount_takes_a_signed_in_person_with_a_recorded_competence(
    baths: Baths, actor: Actor, why: str
) -> None:
    state = baths.book.state
    assert why_not_amount(state, actor, "sodium-hypochlorite", baths.now_ms) == why
    assert why_not_amount(state, actor, "hydrochloric-acid", baths.now_ms) != ""
    assert bool(competent_for(state, actor, baths.now_ms)) == (why == "")
    if why:
        before = baths.book.state.index
        with pytest.raises(NotAllowedError):
            record_advice(baths.book, actor, ADVICE)
        with pytest.raises(NotAllowedError):
            start_addition(baths.book, actor, {"pool": "main", "product": "hypo"})
        assert baths.book.state.index == before


def test_a_competence_ends_on_the_sites_own_day(baths: Baths) -> None:
    row = {"covers": "hand-dosing", "product": "*", "from": "2026-01-01", "until": "2026-07-01"}
    item = {"person": "p-operator", "name": "O", "initials": "O", "roles": ["plant-operator"]}
    add(baths.book, SHELL, "person", item | {"competences": [row]})
    operator = baths.who("operator")
    baths.wait(18 * 60)  # 23:51 at the site, the next day in UTC
    assert why_not_amount(baths.book.state, operator, "borax", baths.now_ms) == ""
    baths.wait(10)
    assert why_not_amount(baths.book.state, operator, "borax", baths.now_ms) == "competence-expired"


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"pool": "zz", "product": "hypo"}, "pool"),
        ({"pool": "main"}, "product"),
        ({"pool": "main", "product": "gold"}, "product"),
        ({"pool": "main", "product": "hypo", "amount": "1"}, "unit"),
        ({"pool": "main", "product": "hypo", "unit": "L"}, "amount"),
        ({"pool": "main", "product": "hypo", "amount": "1", "unit": "gal"}, "unit"),
        ({"pool": "main", "product": "hypo", "amount": "1", "unit": "oz"}, "unit"),
        ({"pool": "main", "product": "hypo", "amount": "-0.x", "unit": "L"}, "amount"),
        ({"pool": "main", "product": "hypo", "amount": 1, "unit": "L"}, "amount"),
        ({"pool": "main", "advice": "none"}, "advice"),
        ({"pool": "main", "product": "hypo", "wait_minutes": -1}, "wait_minutes"),
    ],
)
def test_what_does_not_fit_is_refused_by_field(
    baths: Baths, given: dict[str, Any], field: str
) -> None:
    for command, more in ((start_addition, {}), (answer_addition, {"answer": "added"})):
        with pytest.raises(InputError) as caught:
            command(baths.book, baths.who("operator"), given | more)
        assert caught.value.field == field


def test_an_answer_to_nothing_is_refused(baths: Baths) -> None:
    for given in ({"addition": "none"}, {"advice": "none"}, {}):
        with pytest.raises(InputError):
            answer_addition(baths.book, ANYBODY, given | {"answer": "added"})


def test_an_addition_keeps_its_lot_and_which_water_it_went_into(baths: Baths) -> None:
    known = dict(baths.book.state.products["hypo"].body)
    add(baths.book, SHELL, "product", known | {"lot": "T-204"})
    advice = record_advice(baths.book, baths.who("operator"), ADVICE | {"scope": "circuit"})["id"]
    given = {"pool": "main", "advice": advice}
    started = start_addition(baths.book, baths.who("operator"), given)["addition"]
    answer_addition(baths.book, ANYBODY, {"addition": started, "answer": "added"})
    found = baths.reopened().state.additions[started]
    assert (found.lot, found.scope) == ("T-204", "circuit")


def test_the_lot_that_was_poured_counts_before_the_one_on_the_list(baths: Baths) -> None:
    known = dict(baths.book.state.products["hypo"].body)
    add(baths.book, SHELL, "product", known | {"lot": "T-204"})
    given = {"pool": "main", "product": "hypo", "answer": "added", "lot": "T-205"}
    answer_addition(baths.book, ANYBODY, given)
    assert [row.lot for row in baths.reopened().state.additions.values()] == ["T-205"]
