"""Who gets a plan, with which search, and that nobody else can read or work one out."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest
from tests.dosing.test_advice import NEVER_KEYS, TELL, keys_in, request
from tests.kernel.deciding.advice_cases import full

from lanewater.dosing.plan import plan_for, worked_out
from lanewater.dosing.plan_words import ASSUMED, BINDING, UNREACHED
from lanewater.kernel.deciding.plan import plan
from lanewater.kernel.water.planning import plan_search
from lanewater.service.constants import load_constants

K = load_constants()
ALL = frozenset({"*"})
HARD = {
    "free_chlorine": "1.5",
    "total_chlorine": "1.6",
    "ph": "8.1",
    "total_alkalinity": "100",
    "calcium_hardness": "150",
}


def asked(**values: str) -> Any:
    """Give the typed request of the advice's tests with other readings."""
    return request(case=full(**{**HARD, **values})["case"])


def test_without_competence_the_wire_holds_nothing_of_a_plan() -> None:
    text = json.dumps(plan_for(K, asked(), frozenset(), TELL).as_dict())
    answer = json.loads(text)
    assert answer["state"] == "call"
    assert not (NEVER_KEYS | {"steps", "totals", "first", "unreached"}) & set(keys_in(answer))
    assert set(re.findall(r"[0-9]+(?:\.[0-9]+)?", text)) == {"0.60", "7.40"}


def test_competence_for_one_product_does_not_show_a_plan_with_another() -> None:
    chlorine = frozenset({"sodium-hypochlorite"})
    assert plan_for(K, asked(), chlorine, TELL).state == "call"
    assert plan_for(K, asked(), frozenset({"hydrochloric-acid"}), TELL).state == "plan"
    assert plan_for(K, asked(), ALL, TELL).state == "plan"


def test_every_step_is_said_in_words_with_its_cautions() -> None:
    body = plan_for(K, asked(), ALL, TELL).as_dict()
    assert body["steps"]
    for number, step in enumerate(body["steps"], 2):
        assert step["words"].startswith(f"{number}. ")
        assert "test at two points" in step["words"]
        assert "Not for now" in step["words"]
        assert any(caution["id"] == "acid-from-chlorine" for caution in step["cautions"])
    assert body["totals"][0]["words"].startswith("Pool acid: ")
    assert body["why"][0]["words"].endswith("over the site's target.")


def test_another_search_is_used_where_it_is_handed_in() -> None:
    calls = []

    def search(*given: Any) -> Any:
        calls.append(given)
        return plan_search(*given)

    answer = worked_out(K, full(**HARD), search)
    assert calls
    assert answer == plan(K, full(**HARD))


def test_a_search_that_says_more_than_holds_shows_no_amount() -> None:
    def search(*given: Any) -> Any:
        status, counts, steps, figures = plan_search(*given)
        return status, counts, [2 * number for number in steps], figures

    answer = plan_for(K, asked(), ALL, TELL, search).as_dict()
    assert answer["state"] == "refused"
    assert answer["steps"] == []


@pytest.mark.parametrize("words", [*ASSUMED.values(), *BINDING.values(), *UNREACHED.values()])
def test_no_sentence_says_what_nobody_may_promise(words: str) -> None:
    assert not re.search(r"\bsafe\b|verdict|guarantee", words, re.I)
