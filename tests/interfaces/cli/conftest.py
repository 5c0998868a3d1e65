"""The invented site and a shell, for the tests of this folder."""

import shutil
from pathlib import Path

import pytest
from tests.baths import baths, template
from tests.interfaces.cli.shell_case import Shell

__all__ = ["baths", "empty_shell", "shell", "template"]


@pytest.fixture
def empty_shell(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> Shell:
    """Give a shell in a folder without a site."""
    return Shell(tmp_path / "empty", capsys, monkeypatch)


@pytest.fixture
def shell(
    template: Path,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> Shell:
    """Give a shell in a copy of the invented site."""
    shutil.copytree(template, tmp_path / "shell")
    return Shell(tmp_path / "shell", capsys, monkeypatch)
