"""A mark that silences a check says why beside it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from tests.contracts.house import SOURCE

TESTS = Path(__file__).parents[1]
CODES = r"[A-Z]+[0-9]+(?:, ?[A-Z]+[0-9]+)*"
MARK = re.compile(rf"# (?:ruff: noqa|noqa: {CODES}|noqa\b|type: ignore(?:\[[a-z, -]+\])?)(.*)$")
FEWEST_LETTERS = 8


def unreasoned(text: str) -> list[int]:
    """Number the lines whose mark has no reason: behind it, or as a comment above its group."""
    found = []
    given = False
    for number, line in enumerate(text.splitlines(), start=1):
        mark = MARK.search(line)
        if mark is None:
            # What stands above a group of marks is for all of it, over its empty lines.
            given = line.lstrip().startswith("# ") or (given and not line.strip())
            continue
        given = given or len(re.findall(r"[a-z]", mark[1])) >= FEWEST_LETTERS
        if not given:
            found.append(number)
    return found


@pytest.mark.parametrize("folder", [SOURCE, TESTS], ids=["src", "tests"])
def test_every_mark_that_silences_a_check_has_its_reason_beside_it(folder: Path) -> None:
    faults = [
        f"{path.relative_to(folder)}:{number}"
        for path in sorted(folder.rglob("*.py"))
        for number in unreasoned(path.read_text(encoding="utf-8"))
    ]
    assert faults == []


NOQA = "# no" + "qa: S311"


@pytest.mark.parametrize(
    ("text", "faults"),
    [
        (f"x = 1  {NOQA}\n", [1]),
        (f"x = 1  {NOQA} - no secret\n", []),
        (f"x = 1  {NOQA}  # no secret\n", []),
        (f"x = 1  {NOQA} - why\n", [1]),
        (f"# Wanted here alone.\nx = 1  {NOQA}\ny = 2  {NOQA}\n", []),
        (f"# Wanted here alone.\nx = 1\ny = 2  {NOQA}\n", [3]),
        ("x = 1  # type" + ": ignore[arg-type]\n", [1]),
        ("# ruff" + ": noqa\n", [1]),
    ],
)
def test_a_mark_without_a_reason_is_found(text: str, faults: list[int]) -> None:
    assert unreasoned(text) == faults
