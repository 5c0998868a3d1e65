"""`lanewater demo` from the shell."""

import json
from pathlib import Path

import pytest

from lanewater.interfaces.cli import demo
from lanewater.interfaces.cli.main import main
from lanewater.service.config import Config
from lanewater.service.demonstration import Demo

PEOPLE = ({"initials": "AV", "name": "Ansa Veldt", "roles": "tester", "pin": "123456"},)


@pytest.fixture(autouse=True)
def made(monkeypatch: pytest.MonkeyPatch) -> None:
    """Stand in for the making, which has tests of its own."""
    monkeypatch.setattr(
        demo, "make_demo", lambda config, _clock: Demo(config, "abcd-efgh", PEOPLE, made=True)
    )


def test_it_says_where_it_is_and_how_to_sign_in(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["demo", "--no-serve", "--data", str(tmp_path)]) == 0
    text = capsys.readouterr().out
    assert "DEMO, not your pool" in text
    assert "http://127.0.0.1:8321/#key=abcd-efgh" in text
    assert "AV  123456" in text
    assert f"Data   {tmp_path}" in text


def test_the_answer_for_a_program_is_one_object(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["demo", "--no-serve", "--json", "--data", str(tmp_path)]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["people"] == list(PEOPLE)


def test_a_port_where_nothing_of_ours_answers_is_not_taken_for_a_running_demo(
    tmp_path: Path,
) -> None:
    assert demo.answers(Config(tmp_path, port=1)) is False


def test_a_port_that_is_no_number_is_wrong_use(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["demo", "--no-serve", "--data", str(tmp_path), "--port", "many"]) == 2
    assert "--port" in capsys.readouterr().err
