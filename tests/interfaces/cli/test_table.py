"""A table of samples: columns mapped, carried or refused, and agreement counted honestly."""

import json
import os
import threading
from pathlib import Path

import pytest

from lanewater.interfaces.cli.main import main

HEADER = "sample_id,official_compliant,free_chlorine,ph\n"


def table(folder: Path, text: str | bytes) -> str:
    path = folder / "samples.csv"
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    return str(path)


def test_agreement_counts_judged_rows_and_shows_the_others_beside(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rows = "a,1,1.0,7.2\nb,0,1.0,7.2\nc,1,,\nd,0,0.4,7.2\ne,,1.0,7.2\n"
    code = main(["judge", "--rules", "ee", "--table", table(tmp_path, HEADER + rows)])
    out = capsys.readouterr()
    assert code == 0
    assert "agreement with the official verdict: 2 of 3 judged rows (66.7 %)" in out.out
    assert "not judged: 1" in out.out
    assert "carried along, not judged: sample_id" in out.err


def test_each_row_is_answered_with_its_carried_columns(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = table(tmp_path, "sample_id;klaar;ph\nx;0,4;9,0\n")
    code = main(
        ["judge", "--rules", "ee", "--table", path, "--columns", "klaar=free_chlorine", "--json"]
    )
    answer = json.loads(capsys.readouterr().out)
    assert code == 0
    assert answer["row"] == {"sample_id": "x"}
    assert answer["overall"] == "does-not-meet"


def test_a_row_that_cannot_be_read_is_answered_in_its_place(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = table(tmp_path, HEADER + "a,1,high,7.2\nb,1,1.0\nc,yes,1.0,7\nd,1,1.0,7.2\n")
    code = main(["judge", "--rules", "ee", "--table", path, "--json"])
    answers = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert code == 1
    assert ["error" in answer for answer in answers] == [True, True, True, False]


@pytest.mark.parametrize(
    ("text", "columns"),
    [
        ("", ""),
        ("ph,ph\n7,7\n", ""),
        ("a,ph\n7,7\n", "a=ph"),
        ("ph\n7\n", "b=free_chlorine"),
        ("ph\n7\n", "ph=nothing"),
        ("ph\n7\n", "ph"),
        (b"ph\n\xff\xfe\n", ""),
        ("h" * 20_000, ""),
        ("ph\n" + "7" * 1_000_001, ""),
    ],
)
def test_a_table_or_mapping_that_is_wrong_is_said(
    tmp_path: Path, text: str | bytes, columns: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["judge", "--table", table(tmp_path, text), "--columns", columns]) == 2
    assert "--" in capsys.readouterr().err


def test_an_empty_line_is_no_row_and_a_table_may_come_through_a_pipe(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    writer = threading.Thread(target=pipe.write_text, args=("ph;x\n\n7,2;a\n\n",))
    writer.start()
    assert main(["judge", "--rules", "ee", "--table", str(pipe), "--json"]) == 0
    writer.join()
    (answer,) = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert (answer["overall"], answer["row"]) == ("meets", {"x": "a"})


def test_a_table_that_is_not_there_is_missing(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["judge", "--table", "no-such-file.csv"]) == 3
    assert "no-such-file.csv" in capsys.readouterr().err
