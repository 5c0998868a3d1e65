"""`lanewater calc`: one answer a line, in order, and a word for every line that cannot be read."""

from __future__ import annotations

import io
import json
import sys
from typing import Any

import pytest

from lanewater.interfaces.cli.main import main

LEAST = {"ph": 7.4, "temperature_c": 28, "total_alkalinity_mg_l": 100}
FLAGS = ["--ph", "7.4", "--temperature-c", "28", "--total-alkalinity-mg-l", "100"]
ADD = "product=sodium-hypochlorite amount=2 unit=L strength_g_l=125"


class Stdin(io.TextIOWrapper):
    """Standard input that holds given bytes."""

    def __init__(self, given: bytes) -> None:
        super().__init__(io.BytesIO(given))


def run_lines(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], kind: str, given: bytes
) -> tuple[int, list[Any]]:
    monkeypatch.setattr(sys, "stdin", Stdin(given))
    code = main(["calc", kind, "--json"])
    return code, [json.loads(line) for line in capsys.readouterr().out.splitlines()]


def test_lines_are_answered_one_to_one_and_in_order(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    lines = [json.dumps({**LEAST, "free_chlorine_mg_l": n / 10}) for n in range(1, 6)]
    given = "\n".join([*lines[:2], "nonsense", *lines[2:]]).encode()
    code, answers = run_lines(monkeypatch, capsys, "water", given)
    assert code == 1
    assert len(answers) == 6
    assert answers[2]["line"] == 3
    assert "JSON" in answers[2]["error"]
    found = [one["hocl_mg_l"] for one in answers if "error" not in one]
    assert found == sorted(found)


@pytest.mark.parametrize(
    ("line", "words"),
    [
        (b"", "JSON"),
        (b"[]", "object"),
        (b"null", "object"),
        (b"7", "object"),
        (b"\xff\xfe", "UTF-8"),
        (b'{"ph": NaN}', "NaN"),
        (b'{"ph": 1e400}', "too large"),
        (b'{"ph": 7, "ph": 8}', "twice"),
        (b'{"ph": "7.4", "temperature_c": 28, "total_alkalinity_mg_l": 100}', "ph: must be"),
        (b'{"ph": -1, "temperature_c": 28, "total_alkalinity_mg_l": 100}', "ph: must be from"),
        (b'{"ph": 7.4, "temperature_c": 28}', "total_alkalinity_mg_l: is missing"),
        (b'{"ph": 7.4, "temperature": 28}', "temperature: not known"),
        (b"[" * 100000, "nested"),
    ],
)
@pytest.mark.parametrize("kind", ["water", "addition"])
def test_a_bad_line_is_told_and_the_next_is_answered(
    kind: str,
    line: bytes,
    words: str,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    good = dict(LEAST)
    if kind == "addition":
        entry = {"product": "borax", "amount": 1, "unit": "kg", "strength_percent_w_w": 52.8}
        good |= {"volume_m3": 50, "additions": [entry]}  # type: ignore[dict-item]  # any JSON goes in
    given = line + b"\n" + json.dumps(good).encode() + b"\n"
    code, answers = run_lines(monkeypatch, capsys, kind, given)
    assert code == 1
    assert answers[0]["line"] == 1
    assert words in answers[0]["error"]
    assert "findings" in answers[1]


def test_nothing_on_standard_input_gives_nothing(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run_lines(monkeypatch, capsys, "water", b"") == (0, [])


def test_flags_and_one_json_text_ask_the_same(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["calc", "water", *FLAGS, "--json"]) == 0
    by_flags = json.loads(capsys.readouterr().out)
    assert main(["calc", "water", json.dumps(LEAST), "--json"]) == 0
    assert json.loads(capsys.readouterr().out) == by_flags


def test_a_person_gets_a_table_and_what_was_assumed(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["calc", "water", *FLAGS, "--cyanuric-acid-mg-l", "50"]) == 0
    shown = capsys.readouterr().out
    assert "carbonate alkalinity, mg/L as CaCO3" in shown
    assert "Not given, taken as zero: calcium_hardness_mg_l" in shown
    assert "safe" not in shown.lower()


def test_an_addition_shows_three_waters_and_its_cautions(
    capsys: pytest.CaptureFixture[str],
) -> None:
    trichlor = "product=trichloroisocyanuric-acid amount=1 unit=kg strength_percent_w_w=90"
    command = ["calc", "addition", *FLAGS, "--volume-m3", "100", "--add", ADD, "--add", trichlor]
    assert main(command) == 0
    shown = capsys.readouterr().out
    assert "before" in shown
    assert "after use" in shown
    assert "Caution: trichloroisocyanuric-acid is feeder-only." in shown
    assert shown.startswith(
        "MUST NOT MEET (sodium-hypochlorite + trichloroisocyanuric-acid): Two kinds"
    )
    assert "Computed, not advice" in shown


def test_an_addition_by_flags_is_that_by_json(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["calc", "addition", *FLAGS, "--volume-m3", "100", "--add", ADD, "--json"]) == 0
    by_flags = json.loads(capsys.readouterr().out)
    entry = {"product": "sodium-hypochlorite", "amount": 2.0, "unit": "L", "strength_g_l": 125.0}
    question = {**LEAST, "volume_m3": 100, "additions": [entry]}
    assert main(["calc", "addition", json.dumps(question), "--json"]) == 0
    assert json.loads(capsys.readouterr().out) == by_flags


@pytest.mark.parametrize(
    ("command", "words"),
    [
        (["water", "--ph", "7.4"], "temperature_c: is missing"),
        (["water", "--ph", "nan", "--temperature-c", "28", "--total-alkalinity-mg-l", "1"], "ph:"),
        (["water", "{}", "--ph", "7.4"], "not both"),
        (["water", "{"], "JSON"),
        (["addition", *FLAGS, "--volume-m3", "9", "--add", "borax"], "name=value"),
        (["addition", *FLAGS, "--volume-m3", "9", "--add", "amount=much"], "not a number"),
        (["addition", *FLAGS], "volume_m3: is missing"),
    ],
)
def test_wrong_use_ends_with_two_and_a_word(
    command: list[str], words: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["calc", *command]) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert words in captured.err


def test_a_flag_that_is_no_number_is_wrong_use(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as raised:
        main(["calc", "water", "--ph", "seven"])
    assert raised.value.code == 2
    assert "not a number" in capsys.readouterr().err


def test_a_terminal_without_a_question_is_told_what_to_give(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    given = Stdin(b"")
    monkeypatch.setattr(given, "isatty", lambda: True)
    monkeypatch.setattr(sys, "stdin", given)
    assert main(["calc", "water"]) == 2
    assert "--ph N" in capsys.readouterr().err


def test_sea_water_by_flags_is_told_without_chlorine(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["calc", "water", *FLAGS, "--salinity-g-kg", "35"]) == 0
    told = capsys.readouterr().out
    assert "bromine" in told
    assert "HOCl, mg/L" not in told
    assert main(["calc", "water", *FLAGS, "--salinity-g-kg", "35", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["hocl_mg_l"] is None


def test_no_addition_is_computed_in_sea_water(capsys: pytest.CaptureFixture[str]) -> None:
    entry = {"product": "hydrochloric-acid", "amount": 1, "unit": "L", "strength_g_l": 300}
    question = {**LEAST, "salinity_g_kg": 35, "volume_m3": 50, "additions": [entry]}
    assert main(["calc", "addition", json.dumps(question), "--json"]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert "salinity_g_kg" in said.err
