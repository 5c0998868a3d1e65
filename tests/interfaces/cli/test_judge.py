"""`lanewater judge` from the shell: one line in, one line out, in order."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

from lanewater.service.packs import FOLDER

ROUND = (
    '{"rules": "ca-qc", "pool": {"kind": "pool", "location": "indoor"}, "readings": {"ph": "7.4"}}'
)


NAMED = "at-bhygv@2012"


def judge(lines: str | bytes, *arguments: str) -> tuple[int, list[dict[str, object]], str]:
    text = lines.encode() if isinstance(lines, str) else lines
    done = subprocess.run(
        [sys.executable, "-m", "lanewater", "judge", *arguments],
        input=text,
        capture_output=True,
        check=False,
        timeout=60,
    )
    answers = [json.loads(line) for line in done.stdout.decode().splitlines()]
    return done.returncode, answers, done.stderr.decode()


def test_a_bad_line_is_answered_in_its_place_and_the_rest_goes_on() -> None:
    code, answers, _ = judge(f"{ROUND}\nnonsense\n{ROUND}\n")
    assert code == 1
    assert [answer.get("overall") for answer in answers] == ["not-judged", None, "not-judged"]
    assert answers[1]["line"] == 2


@pytest.mark.parametrize(
    "line",
    [
        "",
        "null",
        "[]",
        '{"readings": {"ph": NaN}}',
        '{"readings": {"ph": 1e400}}',
        '{"rules": 5, "readings": {}}',
        '{"rules": "no-such", "readings": {}}',
        '{"rules": "../ca-qc", "readings": {}}',
        '{"readings": {}, "readings": {}}',
    ],
)
def test_every_kind_of_bad_line_gives_a_named_error_and_no_traceback(line: str) -> None:
    code, answers, errors = judge(line + "\n")
    assert code == 1
    assert set(answers[0]) == {"line", "error"}
    assert "Traceback" not in errors


def test_bytes_that_are_no_text_and_a_line_without_end_are_answered() -> None:
    code, answers, _ = judge(b"\xff\xfe\n" + b'"' + b"x" * 1_200_000 + b"\n" + ROUND.encode())
    assert code == 1
    assert [set(answer) == {"line", "error"} for answer in answers] == [True, True, False]


def test_an_unknown_pack_as_default_is_said_at_once() -> None:
    code, answers, errors = judge(ROUND, "--rules", "atlantis")
    assert code == 3
    assert answers == []
    assert "ca-qc" in errors


def test_the_pool_may_stand_in_a_file(tmp_path: Path) -> None:
    pool = tmp_path / "pool.json"
    pool.write_text('{"kind": "spa", "location": "indoor", "disinfectant": "chlorine"}')
    line = '{"readings": {"free_chlorine": "0.9", "temperature_c": "38"}}'
    _, answers, _ = judge(line, "--rules", "ca-qc", "--pool", str(pool))
    assert answers[0]["overall"] == "does-not-meet"


def test_a_pool_file_without_end_is_refused_and_not_read_whole() -> None:
    code, _, errors = judge(ROUND, "--pool", "/dev/zero")
    assert code == 2
    assert "longer than a million" in errors


@pytest.mark.parametrize("content", ["", "[]", "{", '{"kind": NaN}'])
def test_a_pool_file_that_cannot_be_read_is_wrong_use(tmp_path: Path, content: str) -> None:
    pool = tmp_path / "pool.json"
    pool.write_text(content)
    code, _, errors = judge(ROUND, "--pool", str(pool))
    assert code == 2
    assert "--pool" in errors


def test_a_round_is_judged_by_a_file_that_somebody_writes(tmp_path: Path) -> None:
    text = (FOLDER / "ca-qc.toml").read_text(encoding="utf-8")
    own = tmp_path / "mine.toml"
    own.write_text(text.replace('id = "ca-qc"', 'id = "ca-qc-mine"', 1), encoding="utf-8")
    line = '{"pool": {"kind": "pool", "location": "indoor"}, "readings": {"ph": "7.9"}}\n'
    code, answers, _ = judge(line, "--rules", str(own))
    assert code == 0
    assert (answers[0]["rules"], answers[0]["overall"]) == ("ca-qc-mine", "does-not-meet")
    own.write_text(text.replace('at_least = "7.2"', 'at_least = ">7.2"', 1), encoding="utf-8")
    code, answers, errors = judge(line, "--rules", str(own))
    assert (code, answers) == (2, [])
    assert "), line " in errors
    assert "write `above` or `below`" in errors


def test_what_only_the_sites_own_file_limits_is_met_by_nobody(tmp_path: Path) -> None:
    own = tmp_path / "house.toml"
    own.write_text(
        'id = "house"\ntitle = "House"\nextends = "ca-qc"\n[[rule]]\nid = "salt"\n'
        'parameter = "salt"\nat_most = "3000"\nlevel = "correct"\n',
        encoding="utf-8",
    )
    line = '{"purpose": "sample", "pool": {"kind": "pool"}, "readings": {"salt": "1000"}}\n'
    code, answers, _ = judge(line, "--rules", str(own))
    assert (code, answers[0]["overall"]) == (0, "not-judged")


def test_a_line_cannot_name_a_file(tmp_path: Path) -> None:
    own = tmp_path / "mine.toml"
    own.write_bytes((FOLDER / "ca-qc.toml").read_bytes())
    code, answers, _ = judge(json.dumps({"rules": str(own), "readings": {"ph": "7.4"}}) + "\n")
    assert code == 1
    assert "is not a rules pack held here" in str(answers[0]["error"])


def dated(rules: str, day: str) -> str:
    """Write a round of an Austrian pool on a day."""
    pool = {"kind": "pool", "location": "indoor", "disinfectant": "chlorine"}
    readings = {"free_chlorine": "0.7", "ph": "7.2", "clarity": "visible"}
    at = f"{day}T12:00:00Z"
    return json.dumps({"rules": rules, "pool": pool, "readings": readings, "at": at}) + "\n"


@pytest.mark.parametrize(
    ("rules", "day", "named"),
    [
        ("at-bhygv", "2020-06-01", "at-bhygv@2012"),
        ("at-bhygv@2012", "2026-08-01", "at-bhygv"),
        ("at-bhygv", "2005-06-01", ""),
        ("at-bhygv", "2026-08-01", ""),
        ("at-bhygv@2012", "2020-06-01", ""),
    ],
)
def test_the_edition_of_the_rounds_date_is_named_and_never_chosen(
    rules: str, day: str, named: str
) -> None:
    _, (answer,), _ = judge(dated(rules, day))
    assert answer["rules"] == rules
    told = [row for row in answer["findings"] if row["id"] == "another-edition-was-in-force"]
    assert [row["do"] for row in told] == ([f"To judge by it, name it: {named}."] if named else [])
    outside = bool(named) or day.startswith("2005")
    why = [row["why"] for row in answer["not_judged"]]
    assert ("these rules were not in force at that time" in why) == outside
    assert (answer["overall"] == "not-judged" and not answer["results"]) == outside


def test_an_old_round_is_judged_by_the_edition_that_is_named() -> None:
    _, (first, then), _ = judge(dated("at-bhygv", "2020-06-01") + dated(NAMED, "2020-06-01"))
    assert first["results"] == []
    assert then["status"] == "historic"
    assert then["results"]
