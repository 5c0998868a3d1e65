"""`lanewater rules`: list, show, check."""

import json
from pathlib import Path

import pytest

from lanewater.interfaces.cli.main import main
from lanewater.service.packs import FOLDER, pack_ids


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


def test_explain_prints_sentences_with_clause_and_address(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["rules", "explain", "ca-qc"]) == 0
    text = " ".join(capsys.readouterr().out.split())
    assert "s.5: Free chlorine is at least 0.8 mg/L, where the disinfectant is chlorine" in text
    assert "read at https://www.legisquebec.gouv.qc.ca/" in text
    assert main(["rules", "explain", "ca-qc", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["parts"][1]["id"] == "coverage"


def test_diff_says_what_changes_with_both_numbers(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["rules", "diff", "us-fl@2016", "us-fl", "--json"]) == 0
    changes = json.loads(capsys.readouterr().out)["changes"]
    assert {"added", "tighter", "looser"} <= {row["change"] for row in changes}
    assert main(["rules", "diff", "us-fl", "us-fl"]) == 0
    assert "Nothing changes." in capsys.readouterr().out


def test_a_new_pack_is_begun_refused_filled_in_and_read_back(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(["rules", "new", "us-tx-dallas"]) == 0
    assert main(["rules", "new", "us-tx-dallas"]) == 2
    capsys.readouterr()
    assert main(["rules", "check", "us-tx-dallas.toml"]) == 4
    assert "Rule 2 (ph-minimum), line" in capsys.readouterr().out
    filled = (FOLDER / "au-sa.toml").read_text(encoding="utf-8")
    Path("us-tx-dallas.toml").write_text(filled, encoding="utf-8")
    assert main(["rules", "check", "us-tx-dallas.toml"]) == 0
    assert main(["rules", "explain", "us-tx-dallas.toml"]) == 0
    broken = filled.replace('level = "correct"', 'level = "closing"', 1)
    Path("us-tx-dallas.toml").write_text(broken, encoding="utf-8")
    capsys.readouterr()
    assert main(["rules", "explain", "us-tx-dallas.toml"]) == 2
    assert "Rule 1 (free-chlorine-cool), line" in capsys.readouterr().err


OWN = """
id = "house"
title = "House rules"
extends = "ca-qc"

[[rule]]
id = "house-ph"
parameter = "ph"
at_most = "7.4"
level = "correct"
"""


def test_a_sites_own_rules_are_checked_explained_and_compared(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    own = tmp_path / "house.toml"
    own.write_text(OWN, encoding="utf-8")
    assert main(["rules", "check", str(own)]) == 0
    assert main(["rules", "explain", str(own)]) == 0
    assert "own rules of the site: pH is at most 7.4." in capsys.readouterr().out
    assert main(["rules", "diff", "ca-qc", str(own), "--json"]) == 0
    rows = json.loads(capsys.readouterr().out)["changes"]
    assert [(row["change"], row["rule"]) for row in rows][-1] == ("added", "house-ph")
    assert {row["table"] for row in rows} == {"head", "rule"}
    own.write_text(OWN.replace("\n[[", 'replaces = ["ph-maximum"]\n\n[[', 1), encoding="utf-8")
    assert main(["rules", "check", str(own)]) == 4
    assert "takes a document of the authority" in capsys.readouterr().out


def test_the_table_has_every_pack(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["rules", "table", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert [row["id"] for row in told["packs"]] == pack_ids()
    assert len(told["features"]) == 45


def test_a_looser_limit_of_the_sites_own_is_let_in_where_it_tightens_somewhere_and_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    own = tmp_path / "house.toml"
    own.write_text(OWN.replace("7.4", "8.0"), encoding="utf-8")
    assert main(["rules", "check", str(own)]) == 0
    text = capsys.readouterr().out
    assert "note: Rule house-ph (pH is at most 8.0) loosens nothing: where the water is not" in text
    assert "ph-maximum (pH is at most 7.8) holds all the same." in text


def test_what_a_case_does_not_come_out_as_is_said_with_its_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = (FOLDER / "au-sa.toml").read_text(encoding="utf-8")
    pack = tmp_path / "mine.toml"
    pack.write_text(text.replace('overall = "meets"', 'overall = "close"', 1), encoding="utf-8")
    assert main(["rules", "check", str(pack)]) == 4
    said = capsys.readouterr().out
    number, line = said.partition("Golden case ")[2].partition(":")[0].split(", line ")
    begins = [at for at, row in enumerate(text.splitlines(), 1) if row == "[[golden]]"]
    assert int(line) == begins[int(number) - 1]
