"""`lanewater calc contact-time` and the procedures that `lanewater rules` shows."""

from __future__ import annotations

import io
import json
import sys
from typing import Any

import pytest

from lanewater.interfaces.cli.main import main

EVENING = [
    "at=2026-07-01T20:00:00-04:00 free_chlorine=20.4 ph=7.3 temperature_c=26 point=deep",
    "at=2026-07-01T20:04:00-04:00 free_chlorine=20.1 ph=7.4 temperature_c=26 point=far",
    "at=2026-07-01T22:00:00-04:00 free_chlorine=19.9 ph=7.3 temperature_c=26 point=deep",
    "at=2026-07-01T22:04:00-04:00 free_chlorine=19.6 ph=7.4 temperature_c=26 point=far",
]
FLAGS = [word for text in EVENING for word in ("--reading", text)]
LOOSE = ["--rules", "ca-qc", "--procedure", "loose-stool"]
UNWANTED = ("best", "fastest", "quickest", "sooner", "safe", "verdict", "earliest")


def told(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    """Run the command and give what it told."""
    assert main(["calc", "contact-time", *words]) == 0
    return capsys.readouterr().out


def test_flags_and_one_json_text_answer_alike(capsys: pytest.CaptureFixture[str]) -> None:
    readings = [dict(word.split("=") for word in text.split()) for text in EVENING]
    question = {"rules": "ca-qc", "procedure": "loose-stool", "readings": readings}
    one = json.loads(told(capsys, "--json", *LOOSE, *FLAGS))
    other = json.loads(told(capsys, "--json", json.dumps(question)))
    assert one == other
    assert one["ct_conservative_mg_min_l"] == 4 * 20.1 + 116 * 19.9 + 4 * 19.6


def test_a_person_reads_the_routes_in_the_rules_order_each_with_not_before(
    capsys: pytest.CaptureFixture[str],
) -> None:
    text = told(capsys, *LOOSE, *FLAGS)
    heads = ("for 16 hours", "for 8 hours", "any other combination of mg/L and hours")
    places = [text.index(words) for words in heads]
    assert places == sorted(places)
    assert "not before 2026-07-02T" in text
    assert "if the next reading holds" in text
    assert "rules' own steps stand" in text
    assert not [word for word in UNWANTED if word in text.lower()]


def test_what_cannot_be_reached_is_said_so(capsys: pytest.CaptureFixture[str]) -> None:
    falling = [
        "--reading",
        "at=2026-07-01T20:00:00Z free_chlorine=20",
        "--reading",
        "at=2026-07-02T01:00:00Z free_chlorine=10",
    ]
    text = told(capsys, "--target-ct-mg-min-l", "15300", *falling)
    assert "cannot be reached from here" in text
    assert "not before" not in text


def test_a_finding_of_one_route_is_told_under_its_name(
    capsys: pytest.CaptureFixture[str],
) -> None:
    text = told(capsys, *LOOSE, *FLAGS)
    assert "20-for-8-hours (free_chlorine): Free chlorine at the lowest point was under" in text


def test_lines_are_answered_one_to_one(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    reading = {"at": "2026-07-01T20:00:00Z", "free_chlorine": "20"}
    lines: list[dict[str, Any]] = [
        {"target_ct_mg_min_l": 15300, "readings": [reading]},
        {"pathogen": "norovirus", "readings": [reading]},
        {"rules": "ca-qc", "procedure": "loose-stool", "readings": [reading]},
        {"rules": "zz", "procedure": "loose-stool", "readings": [reading]},
    ]
    given = "\n".join(json.dumps(line) for line in lines).encode()
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(given)))
    assert main(["calc", "contact-time", "--json"]) == 1
    answers = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert [one.get("line") for one in answers] == [None, 2, None, 4]
    assert answers[0]["not_before"] == "2026-07-02T08:45:00Z"
    assert answers[2]["route"] == "equal-product"


def test_a_word_that_is_no_reading_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["calc", "contact-time", "--reading", "twenty", "--pathogen", "giardia"]) == 2
    assert "name=value" in capsys.readouterr().err


def test_rules_show_prints_the_procedures_in_their_order(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["rules", "show", "ca-qc"]) == 0
    text = capsys.readouterr().out
    first, second = text.index("1. not less than 10.0"), text.index("2. not less than 20.0")
    assert first < second < text.index("3. any other combination")
    assert main(["rules", "show", "au-vic"]) == 0
    assert "archived" in capsys.readouterr().out


def test_rules_show_gives_the_procedures_in_json(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["rules", "show", "ca-qc", "--json"]) == 0
    procedures = json.loads(capsys.readouterr().out)["procedures"]
    assert [one["id"] for one in procedures] == ["loose-stool", "solid-stool-or-vomit"]
