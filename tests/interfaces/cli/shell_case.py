"""Run a command as the shell would, in this process."""

from __future__ import annotations

import io
import json
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from lanewater.interfaces.cli.main import main


@dataclass
class Said:
    """What a command said."""

    code: int
    out: str
    err: str

    @property
    def answer(self) -> Any:
        """Give the one answer on standard output."""
        return json.loads(self.out)

    @property
    def lines(self) -> list[Any]:
        """Give the answers, one a line."""
        return [json.loads(line) for line in self.out.splitlines()]


class Shell:
    """A shell that stands in one data folder."""

    def __init__(
        self,
        folder: Path,
        capsys: pytest.CaptureFixture[str],
        monkeypatch: pytest.MonkeyPatch,
    ) -> None:
        self.capsys = capsys
        self.monkeypatch = monkeypatch
        monkeypatch.setenv("LANEWATER_DATA", str(folder))

    def __call__(self, *words: str, stdin: str | bytes = "") -> Said:
        """Run one command."""
        raw = stdin.encode() if isinstance(stdin, str) else stdin
        self.monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(raw)))
        self.capsys.readouterr()
        try:
            code = main(list(words))
        except SystemExit as ended:
            code = int(ended.code or 0)
        said = self.capsys.readouterr()
        assert "Traceback" not in said.err
        return Said(code, said.out, said.err)
