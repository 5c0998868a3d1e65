"""What the pages print has been run: the tutorial's commands, and every piece of Python."""

from __future__ import annotations

import re
import shlex
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.contracts.house import ROOT
from tests.docs.pages import PAGES

from lanewater.interfaces.cli.main import main

TUTORIAL = PAGES["docs/tutorial/first-round.md"]
PRINTS = r"(.*?)^```$(?:\n\n^```text\n(.*?)^```$)?"
STEP = re.compile(r"^```sh\n" + PRINTS, re.MULTILINE | re.DOTALL)
PYTHON = re.compile(r"^```python\n" + PRINTS, re.MULTILINE | re.DOTALL)


def lines_missing(printed: str, output: str) -> list[str]:
    """Name the printed lines that an output does not hold; ... stands for anything."""
    lines = output.splitlines()
    wanted = [re.escape(line).replace(re.escape("..."), ".*") for line in printed.splitlines()]
    return [one for one in wanted if not any(re.fullmatch(one, line) for line in lines)]


def lanewater_commands(block: str) -> Iterator[list[str]]:
    """Give the arguments of each Lanewater command of a block."""
    for line in block.replace("\\\n", "").splitlines():
        words = shlex.split(line)
        if words[:2] == ["./run", "lanewater"]:
            yield words[2:]


def test_the_tutorial_goes_as_it_is_printed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("LANEWATER_DATA", str(tmp_path / "site"))
    steps = STEP.findall(TUTORIAL)
    assert len(steps) > 4
    for block, printed in steps:
        codes = [main(words) for words in lanewater_commands(block)]
        output = "".join(capsys.readouterr())
        assert set(codes) <= {0}, output
        assert lines_missing(printed, output) == [], output


@pytest.mark.parametrize("path", [path for path, text in PAGES.items() if PYTHON.search(text)])
def test_every_piece_of_python_runs_and_prints_what_the_page_says(path: str) -> None:
    for block, printed in PYTHON.findall(PAGES[path]):
        done = subprocess.run(
            [sys.executable, "-c", block], cwd=ROOT, capture_output=True, text=True, check=False
        )
        assert done.returncode == 0, done.stderr
        assert done.stdout == printed


def test_an_output_that_differs_is_seen() -> None:
    assert lines_missing("Saved ...\nmeets\n", "Saved 05:58\ndoes not meet\n") == ["meets"]
