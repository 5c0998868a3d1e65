"""Where the house stands, and how a contract looks at it. Each contract names faults as texts."""

from __future__ import annotations

import ast
import subprocess
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
SOURCE = ROOT / "src" / "lanewater"


@cache
def modules(source: Path) -> tuple[tuple[Path, ast.Module], ...]:
    """Give every Python module below a folder, parsed once."""
    return tuple(
        (path, ast.parse(path.read_text(encoding="utf-8"), filename=str(path)))
        for path in sorted(source.rglob("*.py"))
    )


def scripts(source: Path) -> list[Path]:
    """Give the hand-written scripts and modules of the pages."""
    written = (*source.rglob("*.js"), *source.rglob("*.mjs"))
    return sorted(path for path in written if "generated" not in path.parts)


def tracked_files(root: Path) -> list[Path]:
    """Give every file of the tree that is, or is about to be, committed."""
    listed = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
        cwd=root,
        check=True,
        capture_output=True,
        text=True,
    )
    paths = [root / name for name in listed.stdout.split("\0") if name]
    return [path for path in paths if path.is_file()]


def plant(folder: Path, name: str, text: str) -> Path:
    """Write a small faulty tree for a contract to refuse."""
    path = folder / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")
    return folder
