"""`lanewater rules`: list, show, check."""

import json

import pytest

from lanewater.interfaces.cli.main import main
from lanewater.service.packs import pack_ids


def test_the_list_shows_what_every_pack_covers(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["rules", "list", "--json"]) == 0
    rows = json.loads(capsys.readouterr().out)
    assert [row["id"] for row in rows] == pack_ids()
    assert {row["id"]: row["full_coverage"] for row in rows}["us-ca"] is False


def test_show_prints_clause_and_evidence(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["rules", "show", "ca-qc"]) == 0
    text = capsys.readouterr().out
    assert "s.17(5)" in text
    assert "cannot be computed" in text


def test_check_judges_every_golden_case(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["rules", "check", "--json"]) == 0
    assert all(row["golden_cases"] >= 5 for row in json.loads(capsys.readouterr().out))


def test_an_unknown_pack_is_missing(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["rules", "show", "atlantis"]) == 3
    assert "atlantis" in capsys.readouterr().err
