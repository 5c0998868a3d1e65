"""Imports go down only. The contracts are import-linter's; here it is proved that they bite."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from tests.contracts.house import ROOT, SOURCE


def lint(root: Path) -> subprocess.CompletedProcess[str]:
    """Run the import contracts over the tree at a root."""
    return subprocess.run(
        [Path(sys.executable).parent / "lint-imports", "--no-cache"],
        cwd=root,
        env={**os.environ, "PYTHONPATH": str(root / "src")},
        capture_output=True,
        text=True,
        check=False,
    )


@pytest.fixture
def copy_of_the_house(tmp_path: Path) -> Path:
    """Give a copy to plant a fault in."""
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    shutil.copytree(SOURCE, tmp_path / "src" / "lanewater", ignore=shutil.ignore_patterns("static"))
    return tmp_path


def test_the_house_keeps_its_contracts() -> None:
    result = lint(ROOT)
    assert result.returncode == 0, result.stdout


FAULTS = {
    "chemistry reads a database": (
        "chemistry/planted.py",
        "import sqlite3",
        "thinking does no input or output",
    ),
    "the kernel looks at the clock": (
        "kernel/water/planted.py",
        "import time",
        "thinking does no input or output",
    ),
    "the kernel uses more than math": (
        "kernel/deciding/planted.py",
        "import re",
        "the kernel imports only math and typing",
    ),
    "rules ask the service": (
        "rules/planted.py",
        "import lanewater.service",
        "imports go down only",
    ),
    "rules and dosing meet": ("rules/planted.py", "import lanewater.dosing", "imports go down"),
    "a page reaches the store": (
        "interfaces/api/planted.py",
        "import lanewater.records.store",
        "only service and reports reach the store",
    ),
    "two faces know each other": (
        "interfaces/api/planted.py",
        "import lanewater.interfaces.cli",
        "the faces do not know each other",
    ),
    "a room nobody listed": ("extras/__init__.py", "", "every room is listed"),
}


@pytest.mark.parametrize("fault", FAULTS)
def test_a_planted_fault_is_refused(copy_of_the_house: Path, fault: str) -> None:
    name, line, contract = FAULTS[fault]
    path = copy_of_the_house / "src" / "lanewater" / name
    path.parent.mkdir(exist_ok=True)
    path.write_text(f'"""Planted."""\n\n{line}\n', encoding="utf-8")
    result = lint(copy_of_the_house)
    assert result.returncode == 1, result.stdout + result.stderr
    broken = [line for line in result.stdout.splitlines() if " BROKEN" in line]
    assert any(contract in line for line in broken), result.stdout
    planted = path.relative_to(copy_of_the_house / "src").with_suffix("").parts
    assert ".".join(planted).removesuffix(".__init__") in result.stdout
