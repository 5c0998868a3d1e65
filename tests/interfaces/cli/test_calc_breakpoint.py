"""`lanewater calc breakpoint` in the shell."""

from __future__ import annotations

import json

import pytest

from lanewater.interfaces.cli.main import main

FLAGS = [
    *("--ph", "7.4", "--temperature-c", "28", "--total-alkalinity-mg-l", "100"),
    *("--free-chlorine-mg-l", "3", "--ammonia-n-mg-l", "0.2", "--minutes", "30"),
]


def test_a_course_is_told_in_a_few_rows(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["calc", "breakpoint", *FLAGS]) == 0
    told = capsys.readouterr().out
    rows = [line.split() for line in told.splitlines()[2:] if line[:1] == " "]
    assert [row[0] for row in (rows[0], rows[-1])] == ["0", "30"]
    assert len(rows) <= 15
    assert "judge by the readings" in told


def test_flags_and_json_give_the_same_course(capsys: pytest.CaptureFixture[str]) -> None:
    question = {
        flag[2:].replace("-", "_"): float(n)
        for flag, n in zip(FLAGS[::2], FLAGS[1::2], strict=True)
    }
    assert main(["calc", "breakpoint", "--json", json.dumps(question)]) == 0
    by_json = json.loads(capsys.readouterr().out)
    assert main(["calc", "breakpoint", "--json", *FLAGS]) == 0
    assert json.loads(capsys.readouterr().out) == by_json
    assert len(by_json["course"]) == 31


def test_a_missing_number_is_asked_for(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["calc", "breakpoint", *FLAGS[:-2]]) == 2
    assert "minutes" in capsys.readouterr().err


def test_readings_that_cannot_be_are_told_as_such(capsys: pytest.CaptureFixture[str]) -> None:
    flags = [*FLAGS, "--cyanuric-acid-mg-l", "100"]
    flags[1], flags[5] = "8.2", "5"
    assert main(["calc", "breakpoint", *flags]) == 0
    assert "no water has these readings" in capsys.readouterr().out


QUESTION = {
    "pool": {
        "disinfectant": "chlorine",
        "location": "indoor",
        "kind": "pool",
        "stabiliser": "not-used",
    },
    "monopersulfate": "no",
    "heavy_load": "yes",
    "everybody_out": "yes",
    "fresh_air": "yes",
    "maximum_free_mg_l": "5",
    "readings": [
        {"parameter": "free_chlorine", "value": "0.50"},
        {"parameter": "total_chlorine", "value": "2.10"},
    ]
    * 2,
}


def test_superchlorination_is_answered_in_ids_and_numbers(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["calc", "superchlorination", "--json", json.dumps(QUESTION)]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert (answer["state"], answer["reasons"]) == ("may-help", [])
    assert answer["free_to_reach_mg_l"] == {"low": "1.30", "high": "1.30"}
    assert "competence" in answer


def test_superchlorination_is_told_in_words(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["calc", "superchlorination", json.dumps(QUESTION)]) == 0
    told = capsys.readouterr().out
    assert "Not ten times combined (16.00 mg/L)" in told
    assert "at least: 1.30 mg/L" in told


def test_a_question_beside_the_readings_is_refused_by_name(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["calc", "superchlorination", json.dumps({**QUESTION, "shock": "yes"})]) == 2
    assert "shock" in capsys.readouterr().err
