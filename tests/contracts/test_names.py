"""No room without a name of its own, and nothing in the tree that belongs to one machine."""

from __future__ import annotations

import codecs
import re
from pathlib import Path

import pytest
from tests.contracts.house import ROOT, plant, tracked_files

NAMELESS = {"util", "utils", "helper", "helpers", "common", "misc", "manager", "managers"}

# Put together here, so that this file does not hold what it looks for.
HOSTS = re.compile(
    r"py{}\.org|python{}\.org|registry\.{}|deb\.{}".format("pi", "hosted", "npmjs", "debian")
)
MACHINE_PATHS = re.compile(r"(?<![\w./-])/(?:{}|{})/".format("work", "farm"))
FOREIGN_WORDS = re.compile(
    codecs.decode(
        r"\ogenafpevcgf?\o|frrq qbphzrag|nf na nv|ynathntr zbqry|pynhqr|pungtcg|pbcvybg", "rot13"
    ).replace("\\o", r"\b"),
    re.IGNORECASE,
)
WHAT = {"a registry's host": HOSTS, "a path of one machine": MACHINE_PATHS, "a word": FOREIGN_WORDS}


def nameless_modules(root: Path) -> list[str]:
    """Name the modules and folders that say only that they hold things."""
    paths = [*(root / "src").rglob("*"), *(root / "tests").rglob("*")]
    return sorted(
        str(path.relative_to(root))
        for path in paths
        if path.suffix in {".py", ".js", ".mjs"} or (path.is_dir() and path.name != "__pycache__")
        if NAMELESS & set(path.stem.lower().split("_"))
    )


def foreign_lines(paths: list[Path], root: Path) -> list[str]:
    """Name each line that holds something of a registry, a machine or another world."""
    found = []
    for path in paths:
        try:
            text = path.read_text(encoding="utf-8")
        except UnicodeDecodeError:
            continue
        for number, line in enumerate(text.splitlines(), 1):
            found += [
                f"{path.relative_to(root)}:{number}: {what}: {line.strip()[:100]}"
                for what, pattern in WHAT.items()
                if pattern.search(line)
            ]
    return found


def test_every_room_has_a_name_of_its_own() -> None:
    assert nameless_modules(ROOT) == []


def test_nothing_of_a_registry_or_of_one_machine_is_in_the_tree() -> None:
    paths = tracked_files(ROOT)
    assert len(paths) > 100
    assert foreign_lines(paths, ROOT) == []


@pytest.mark.parametrize("name", ["src/utils.py", "src/misc/__init__.py", "tests/page_helpers.py"])
def test_a_nameless_module_is_refused(tmp_path: Path, name: str) -> None:
    assert nameless_modules(plant(tmp_path, name, "")) != []


@pytest.mark.parametrize(
    "line",
    [
        "index = https://" + "py" + "pi.org/simple",
        "from deb." + "debian.org",
        "see /wo" + "rk/main/run",
        "as the Tran" + "script says",
        "made by Co" + "pilot",
    ],
)
def test_a_line_of_another_world_is_refused(tmp_path: Path, line: str) -> None:
    plant(tmp_path, "page.md", f"first\n{line}\n")
    assert [fault[:9] for fault in foreign_lines([tmp_path / "page.md"], tmp_path)] == ["page.md:2"]


def test_work_in_a_path_of_the_tree_is_no_machine(tmp_path: Path) -> None:
    plant(tmp_path, "page.md", "docs/work/plan and homework/ are fine\n")
    assert foreign_lines([tmp_path / "page.md"], tmp_path) == []
