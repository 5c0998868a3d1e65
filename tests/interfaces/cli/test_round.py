"""`lanewater round`."""

from __future__ import annotations

import json
from typing import Any

import pytest
from tests.baths import GOOD
from tests.interfaces.cli.shell_case import Shell

from lanewater.interfaces.cli.round import AGAINST
from lanewater.terms.words import VERDICTS

FLAGS = (
    "--free", "1.52", "--total", "1.68", "--ph", "7.43", "--temperature", "28.4",
    "--clarity", "visible", "--turbidity", "0.3",
)  # fmt: skip
ROUND = {"pool": "main", "readings": GOOD}


def test_a_round_is_saved_judged_and_said_in_words(shell: Shell) -> None:
    said = shell("round", "add", "--pool", "main", *FLAGS, "--by", "tt")
    assert said.code == 0
    assert "Saved " in said.out
    assert "Against the rules: meets" in said.out
    line = next(row for row in shell("record", "show", "--json").answer if "readings" in row)
    assert (line["by"], line["method"], line["verified"]) == ("p-tester", "shell", False)


def test_the_answer_for_a_program_is_whole(shell: Shell) -> None:
    answer = shell("round", "add", "--pool", "main", *FLAGS, "--json").answer
    assert answer["verdict"]["overall"] == "meets"
    assert answer["judged"]


def test_a_stop_comes_first_and_words_that_mislead_never_come(shell: Shell) -> None:
    words = [word.replace("visible", "not-visible") for word in FLAGS]
    out = shell("round", "add", "--pool", "main", *words).out
    assert out.splitlines()[1].startswith("EVERYONE OUT.")
    assert "clarity not-visible, must be visible" in out
    assert " safe" not in out.lower()
    assert set(AGAINST) == set(VERDICTS)


def test_points_kits_units_and_dilutions_are_kept(shell: Shell) -> None:
    said = shell(
        "round", "add", "--pool", "main", "--reading", "free_chlorine=1.50@deep", "--kit", "bench",
        "--temperature", "82.4", "--fahrenheit", "--point", "shallow", "--json",
    )  # fmt: skip
    assert said.code == 0, said.err
    rows = [row for row in shell("record", "show", "--json").answer if "readings" in row][-1]
    found = {row["parameter"]: row for row in rows["body"]["readings"]}
    assert found["free_chlorine"] == {
        "parameter": "free_chlorine",
        "value": "1.50",
        "point": "deep",
        "kit": "bench",
    }
    assert (found["temperature_c"]["value"], found["temperature_c"]["unit"]) == ("82.4", "F")
    assert found["temperature_c"]["point"] == "shallow"


@pytest.mark.parametrize("text", [json.dumps(ROUND), json.dumps(ROUND, indent=2)])
def test_one_round_comes_as_json(shell: Shell, text: str) -> None:
    said = shell("round", "add", "--json", stdin=text)
    assert said.code == 0, said.err
    assert said.answer["verdict"]["overall"] == "meets"


def test_rounds_come_as_lines_and_are_answered_one_to_one(shell: Shell) -> None:
    given: list[Any] = [ROUND, "{bad", {"pool": "zz", "readings": GOOD}, 5, ROUND | {"by": "TT"}]
    text = "\n".join(row if isinstance(row, str) else json.dumps(row) for row in given) + "\n"
    said = shell("round", "add", "--from", "-", stdin=text)
    assert said.code == 1
    assert [sorted(row)[:1] == ["error"] for row in said.lines] == [False, True, True, True, False]
    assert [row["line"] for row in said.lines if "error" in row] == [2, 3, 4]
    rows = [row for row in shell("record", "show", "--json").answer if "readings" in row]
    assert [row["by"] for row in rows] == ["unlisted", "p-tester"]


def test_a_resend_with_its_id_stands_once(shell: Shell) -> None:
    words = ("round", "add", "--pool", "main", *FLAGS, "--json")
    more = ("--id", "01a212e6-893f-7a4b-a9c7-b3c72b444587")
    first = shell(*words, *more).answer
    assert shell(*words, *more).answer == first | {"repeated": True}


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--pool", "zz", *FLAGS), "pool: 'zz'"),
        (FLAGS, "pool: is missing"),
        (("--pool", "main", "--free", "abc"), "--free: "),
        (("--pool", "main", "--ph", "NaN"), "--ph: "),
        (("--pool", "main", "--free", "1e400"), "--free: "),
        (("--pool", "main", "--free", "-1"), "--free: "),
        (("--pool", "main", "--free", ""), "--free: "),
        (("--pool", "main", "--clarity", "clear"), "--clarity: "),
        (("--pool", "main", "--reading", "ph"), "--reading: "),
        (("--pool", "main", "--reading", "luck=1"), "'luck' is not a parameter"),
        (("--pool", "main", *FLAGS, "--kit", "zz"), "'zz' is not set up"),
        (("--pool", "main", *FLAGS, "--at", "noon"), "at: "),
        (("--pool", "main", *FLAGS, "--at", "2099-01-01T00:00:00Z"), "future"),
        (("--pool", "main", *FLAGS, "--by", "nobody"), "--by: "),
        (("--pool", "main", *FLAGS, "--bathers", "many"), "--bathers: "),
        (("--pool", "main", *FLAGS, "--source", "paper"), "at: is missing"),
        (("--pool", "main"), "readings: are missing"),
        (("--from", "/nowhere/file"), "cannot be read"),
    ],
)
def test_what_does_not_fit_is_named_and_nothing_is_saved(
    shell: Shell, words: tuple[str, ...], said: str
) -> None:
    before = shell("record", "show", "--json").answer
    answer = shell("round", "add", *words)
    assert answer.code in (2, 3)
    assert answer.out == ""
    assert said in answer.err
    assert shell("record", "show", "--json").answer == before


@pytest.mark.parametrize("text", [b"\xff\xfe\n", b"[[[[", b'{"pool":"main"', b"null", b'"x"'])
def test_what_is_no_round_on_standard_input_is_refused(shell: Shell, text: bytes) -> None:
    said = shell("round", "add", stdin=text)
    assert said.code in (1, 2)
    assert said.err or "error" in said.out


def test_a_correction_keeps_both(shell: Shell) -> None:
    first = shell("round", "add", "--pool", "main", *FLAGS, "--json").answer["round"]
    words = ("round", "correct", first, "--parameter", "ph", "--value", "7.50", "--reason", "typo")
    assert shell(*words, "--json").answer["verdict"]["overall"] == "meets"
    assert "ph 7.43 -> 7.50" in shell("record", "show").out
    said = shell(*words)
    assert (said.code, said.out) == (2, "")
    assert "stands there already" in said.err
