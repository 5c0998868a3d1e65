"""`lanewater judge --all-rules`: the same round under every pack, each marked for what it is."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

from lanewater.interfaces.cli.judge_all import table_of
from lanewater.rules.case import case_from
from lanewater.rules.side_by_side import under_all
from lanewater.service.packs import FOLDER, load_pack, pack_ids

ROUND = {
    "pool": {"kind": "pool", "location": "outdoor", "disinfectant": "chlorine"},
    "readings": {"free_chlorine": "0.2", "ph": "7.7", "clarity": "not-visible"},
}


def told(*arguments: str, line: str = json.dumps(ROUND)) -> tuple[int, str, str]:
    done = subprocess.run(
        [sys.executable, "-m", "lanewater", "judge", "--all-rules", *arguments],
        input=line.encode() + b"\n",
        capture_output=True,
        check=False,
        timeout=60,
    )
    return done.returncode, done.stdout.decode(), done.stderr.decode()


def answered() -> dict[str, Any]:
    return under_all([load_pack(identity) for identity in pack_ids()], case_from(ROUND))


def test_every_pack_has_its_row_with_its_status_and_none_hides_the_house_stop() -> None:
    answer = answered()
    assert [row["rules"] for row in answer["under"]] == pack_ids()
    assert [stop["about"] for stop in answer["stops"]] == ["clarity"]
    assert all(row["overall"] not in ("meets", "meets-borderline") for row in answer["under"])
    by_id = {row["rules"]: row for row in answer["under"]}
    assert by_id["ca-qc"]["overall"] == "evacuate"
    assert by_id["us-fl@2016"]["said"].startswith("Historic")
    assert by_id["us-ia"]["said"].startswith("Draft")


def test_the_table_marks_each_pack_and_says_what_fails_with_its_clause() -> None:
    lines = table_of(answered()).splitlines()
    assert lines[0].startswith("Everyone out: ")
    rows = {line.split()[0]: line for line in lines if line.split()[0] in pack_ids()}
    assert set(rows) == set(pack_ids())
    assert " historic " in rows["us-fl@2016"]
    assert " draft " in rows["us-ia"]
    assert " no law " in rows["common-practice"]
    assert "free_chlorine 0.2, at least 0.3 (" in rows["ca-qc"]


def test_a_worked_out_limit_is_shown_with_its_arithmetic() -> None:
    pool = {**ROUND["pool"], "stabiliser": "used"}
    given = {"pool": pool, "readings": {"free_chlorine": "3.5", "ph": "7.7"}}
    text = table_of(under_all([load_pack("au-nsw@2012")], case_from(given)))
    assert "at least 3.0 + 1.0 (pH above 7.6) = 4.0" in text


def test_the_shell_gives_json_and_a_table_and_names_a_bad_line() -> None:
    code, out, _ = told("--json")
    assert (code, len(json.loads(out)["under"])) == (0, len(pack_ids()))
    code, out, errors = told(line="nonsense")
    assert (code, json.loads(out)["line"], errors) == (1, 1, "")


def test_a_table_is_counted_under_every_pack_and_under_a_file_of_ones_own(tmp_path: Path) -> None:
    table = tmp_path / "log.csv"
    table.write_text("free_chlorine,ph\n0.62,7.4\n1.5,7.4\n1.5\n", encoding="utf-8")
    own = tmp_path / "mine.toml"
    text = (FOLDER / "ca-qc.toml").read_text(encoding="utf-8")
    own.write_text(text.replace('id = "ca-qc"', 'id = "ca-qc-mine"', 1), encoding="utf-8")
    arguments = ("--rules", str(own), "--table", str(table))
    code, out, errors = told(*arguments)
    assert code == 1
    assert "line 4: 1 cells, where the header has 2" in errors
    lines = out.splitlines()
    assert lines[0] == f"2 rows under each of {len(pack_ids()) + 1} packs"
    assert lines[1].split() == ["ca-qc-mine", "reviewed", "does-not-meet", "1,", "meets", "1"]
    _, out, _ = told("--json", "--table", str(table))
    rows = [json.loads(line) for line in out.splitlines()]
    assert [row["line"] for row in rows] == [2, 3]
    assert len(rows[0]["under"]) == len(pack_ids())


def test_a_pack_that_is_held_is_not_named_beside_all_of_them() -> None:
    code, _, errors = told("--rules", "ca-qc")
    assert code == 2
    assert "leave --rules out" in errors
