"""`lanewater calc plan`: a plan or its refusals; only what cannot be read fails."""

from __future__ import annotations

import io
import json
from typing import Any

import pytest

from lanewater.interfaces.cli.main import main

QUESTION: dict[str, Any] = {
    "ph": 7.8,
    "temperature_c": 28,
    "total_alkalinity_mg_l": 100,
    "free_chlorine_mg_l": 0.6,
    "volume_m3": 400,
    "volume_known": "meter",
    "targets": {"ph": [7.2, 7.6], "free_chlorine_mg_l": [1, 2]},
    "products": [
        {"product": "sodium-hypochlorite", "strength_g_l": 120},
        {"product": "hydrochloric-acid", "strength_g_l": 364},
    ],
}
Capture = pytest.CaptureFixture[str]


def test_a_question_gives_ordered_steps(capsys: Capture) -> None:
    assert main(["calc", "plan", json.dumps(QUESTION), "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["state"] == "plan"
    assert answer["steps"][0]["for_now"]
    assert [step["step"] for step in answer["steps"]] == list(range(1, len(answer["steps"]) + 1))


def test_what_is_missing_is_an_answer_and_no_error(capsys: Capture) -> None:
    assert main(["calc", "plan", json.dumps({**QUESTION, "volume_m3": None}), "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["state"] == "refused"
    assert [row["id"] for row in answer["refusals"]] == ["volume-missing"]


def test_lines_in_are_lines_out_in_order(capsys: Capture, monkeypatch: pytest.MonkeyPatch) -> None:
    lines = [json.dumps(QUESTION), "{}", '{"ph": "x"}', json.dumps(QUESTION)]
    text = io.TextIOWrapper(io.BytesIO(("\n".join(lines) + "\n").encode()))
    monkeypatch.setattr("sys.stdin", text)
    assert main(["calc", "plan", "--json"]) == 1
    answers = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert [answer.get("state", "error") for answer in answers] == [
        "plan",
        "refused",
        "error",
        "plan",
    ]
    assert answers[2]["line"] == 3


def test_a_person_is_told_the_questions_the_steps_and_the_cautions(capsys: Capture) -> None:
    assert main(["calc", "plan", json.dumps(QUESTION)]) == 0
    told = capsys.readouterr().out
    assert "Is everybody out of the water?" in told
    assert "test at two points" in told
    assert "Caution: " in told
    assert " safe" not in told.lower()
