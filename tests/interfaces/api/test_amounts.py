"""Advice over the wire: an amount only to recorded competence, a call for everybody else."""

from __future__ import annotations

import json
from typing import Any

import pytest
from tests.interfaces.api.baths import HYPOCHLORITE, LOW_ROUND, Baths

QUESTIONS = {
    "everybody_out": "yes",
    "pump_running": "yes",
    "anything_added": "no",
    "looked": "yes",
}
ASKED = {"pool": "main", "questions": QUESTIONS, "volume_of": "pool"}
NOT_COMPETENT = (
    "enrolled",
    "tester",
    "duty-manager",
    "plant-operator",
    "area-manager",
    "contractor",
    "owner",
)
FROM_AN_AMOUNT = {
    "amount",
    "unit",
    "low",
    "high",
    "product",
    "substance",
    "place",
    "place_words",
    "jug",
    "predicted",
    "after_use",
    "after_mixing",
    "cautions",
    "wait_s",
    "retest",
    "borrowed",
    "assumed",
    "half",
}


def ask(baths: Baths, role: str) -> dict[str, Any]:
    """Ask what to add, as somebody."""
    answer = baths.post("/advice", ASKED, role=role)
    assert answer.status_code == 200
    found: dict[str, Any] = answer.json()
    return found


def keys_of(value: Any) -> set[str]:
    """Give every name of a field, however deep."""
    if isinstance(value, dict):
        return set(value) | {key for inner in value.values() for key in keys_of(inner)}
    if isinstance(value, list):
        return {key for inner in value for key in keys_of(inner)}
    return set()


def test_a_competent_person_gets_one_amount_with_all_that_belongs_to_it(baths: Baths) -> None:
    baths.post("/rounds", LOW_ROUND, role="competent")
    found = ask(baths, "competent")
    assert found["state"] == "add", json.dumps(found["refusals"])
    assert found["substance"] == "sodium-hypochlorite"
    assert int(found["low"]) <= int(found["amount"]) <= int(found["high"])
    assert found["unit"] == "mL"
    assert found["cautions"]
    assert found["wait_s"] >= 1800
    assert found["retest"]["points"] == 2


@pytest.mark.parametrize("role", NOT_COMPETENT)
def test_nobody_else_gets_a_digit_of_it(baths: Baths, role: str) -> None:
    baths.post("/rounds", LOW_ROUND, role="tester")
    found = ask(baths, role)
    shown = ask(baths, "competent")
    assert shown["state"] == "add"
    assert found["state"] == "call"
    assert not keys_of(found) & FROM_AN_AMOUNT
    wire = json.dumps(found).lower()
    for told in (shown["amount"], shown["low"], shown["high"], shown["place_words"]):
        assert told.lower() not in wire
    for word in ("hypo", HYPOCHLORITE["jug"].lower(), "12.5", " ml", "litre", "350", "400"):
        assert word not in wire
    assert {row["name"] for row in found["people"]} >= {"The duty-manager"}


OPEN_PATHS = (
    "/record",
    "/now",
    "/rounds",
    "/pools/main/context",
    "/pools/main/additions",
    "/pools/main/causes",
    "/site/public",
    "/me",
)


def test_what_is_asked_for_leaves_no_amount_behind_for_others(baths: Baths) -> None:
    baths.post("/rounds", LOW_ROUND, role="tester")
    shown = ask(baths, "competent")
    baths.post("/additions/start", {"pool": "main", "advice": shown["advice"]}, role="competent")
    for role in NOT_COMPETENT:
        for path in OPEN_PATHS:
            answer = baths.get(path, role=role)
            assert f'"{shown["amount"]}"' not in answer.text
            assert shown["place_words"] not in answer.text
    lines = baths.get("/record", role="competent").json()
    given = next(line for line in lines if line["type"] == "advice-given")
    assert given["body"]["amount"] == shown["amount"]


@pytest.mark.parametrize("answer", ["not-added", "unknown"])
def test_an_answer_that_nothing_was_added_shows_nobody_what_was_advised(
    baths: Baths, answer: str
) -> None:
    baths.post("/rounds", LOW_ROUND, role="tester")
    shown = ask(baths, "competent")
    said = {"advice": shown["advice"], "answer": answer}
    assert baths.post("/additions/answer", said, role="tester").status_code == 200
    for role in NOT_COMPETENT:
        lines = baths.get("/record", role=role).json()
        told = next(line for line in lines if line["type"] == "addition-answered")
        assert told["body"]["answer"] == answer
        assert not keys_of(told["body"]) & FROM_AN_AMOUNT


def test_lines_for_others_say_what_happened_without_product_amount_or_holes(baths: Baths) -> None:
    baths.post("/rounds", LOW_ROUND, role="tester")
    shown = ask(baths, "competent")
    sent = {"pool": "main", "advice": shown["advice"]}
    begun = baths.post("/additions/start", sent, role="competent").json()
    said = {"addition": begun["addition"], "answer": "added"}
    baths.post("/additions/answer", said, role="competent")
    lines = {line["type"]: line for line in baths.get("/record", role="tester").json()}
    words = ("advice-given", "addition-started", "addition-answered")
    assert [lines[kind]["words"] for kind in words] == [
        "An amount was shown to somebody who may add it.",
        "Something is being added.",
        "Something was added.",
    ]
    for kind in words:
        assert not keys_of(lines[kind]["body"]) & FROM_AN_AMOUNT
    known = {line["type"]: line for line in baths.get("/record", role="competent").json()}
    assert known["addition-answered"]["body"]["product"]
    assert "words" not in known["addition-answered"]
    context = baths.get("/pools/main/context", role="tester")
    assert [row["product"] for row in context.json()["case"]["events"]] == ["chlorine"]
    assert HYPOCHLORITE["jug"] not in context.text
    assert shown["substance"] not in json.dumps(context.json()["case"])


def test_the_record_shows_how_strong_a_product_is_only_to_whom_it_may_be_shown(
    baths: Baths,
) -> None:
    for role in (*NOT_COMPETENT, "competent"):
        lines = baths.get("/record", role=role).json()
        told = next(line for line in lines if line["type"] == "product-registered")
        shown = {"strength", "jug", "approved", "substance"} <= set(told["body"])
        hidden = not {"strength", "jug", "approved", "substance"} & set(told["body"])
        assert shown if role in ("competent", "area-manager", "owner") else hidden


def test_the_four_questions_have_no_default(baths: Baths) -> None:
    for missing in QUESTIONS:
        questions = {key: value for key, value in QUESTIONS.items() if key != missing}
        sent = {"pool": "main", "questions": questions}
        answer = baths.post("/advice", sent, role="competent")
        assert answer.status_code == 422
        assert answer.json()["error"]["field"] == f"questions.{missing}"


def test_with_people_in_the_water_there_is_no_amount(baths: Baths) -> None:
    baths.post("/rounds", LOW_ROUND, role="competent")
    sent = {**ASKED, "questions": {**QUESTIONS, "everybody_out": "no"}}
    found = baths.post("/advice", sent, role="competent").json()
    assert found["state"] != "add"
    assert "amount" not in found


def test_an_addition_is_begun_answered_and_then_waited_for(baths: Baths) -> None:
    baths.post("/rounds", LOW_ROUND, role="competent")
    shown = ask(baths, "competent")
    sent = {"pool": "main", "advice": shown["advice"]}
    begun = baths.post("/additions/start", sent, role="competent").json()
    running = baths.get("/now").json()["pools"][0]["open_actions"]
    assert "dose-running" in {row["id"] for row in running}
    answered = baths.post(
        "/additions/answer",
        {"addition": begun["addition"], "answer": "added"},
        role="competent",
    ).json()
    assert answered["answer"] == "added"
    assert [row["id"] for row in answered["blocks"]] == ["wait"]
    assert ask(baths, "competent")["state"] == "refused"


def test_a_second_amount_is_not_shown_while_the_first_is_unanswered(baths: Baths) -> None:
    baths.post("/rounds", LOW_ROUND, role="competent")
    assert ask(baths, "competent")["state"] == "add"
    again = ask(baths, "competent")
    assert again["state"] == "refused"
    assert "amount" not in again


def test_nobody_without_competence_begins_an_addition(baths: Baths) -> None:
    baths.post("/rounds", LOW_ROUND, role="competent")
    shown = ask(baths, "competent")
    sent = {"pool": "main", "advice": shown["advice"]}
    for role in ("tester", "duty-manager", "area-manager"):
        assert baths.post("/additions/start", sent, role=role).status_code == 403


def test_additions_are_listed_to_all_and_their_amounts_to_the_competent(baths: Baths) -> None:
    baths.post("/rounds", LOW_ROUND, role="tester")
    shown = ask(baths, "competent")
    began = baths.post(
        "/additions/start", {"pool": "main", "advice": shown["advice"]}, role="competent"
    ).json()
    baths.post("/additions/answer", {"addition": began["addition"], "answer": "added"})
    seen = baths.get("/pools/main/additions", role="competent").json()["additions"][0]
    assert (seen["amount"], seen["unit"]) == (shown["amount"], shown["unit"])
    assert (seen["answer"], seen["retest"]) == ("added", None)
    assert seen["place"] == shown["place_words"]
    bare = baths.get("/pools/main/additions", role="tester").json()["additions"][0]
    assert bare["withheld"]
    assert [bare[key] for key in ("product", "amount", "unit", "lot", "place")] == [""] * 5
    assert bare["answer"] == "added"
