"""The threat table and the defaults name tests that exist, and leave no row half told."""

from __future__ import annotations

import ast
import re
from functools import cache

import pytest
from tests.contracts.house import ROOT
from tests.docs.pages import PAGES

THREATS = PAGES["docs/explanation/threats.md"]
DEFAULTS = PAGES["docs/explanation/security-defaults.md"]
NAMED = re.compile(r"`([\w/]+\.py)::(\w+)`")
STATES = ("exists", "partly", "does not apply", "deviation")


@cache
def functions_of(name: str) -> frozenset[str]:
    """Give the tests of a file."""
    tree = ast.parse((ROOT / "tests" / name).read_text(encoding="utf-8"))
    return frozenset(node.name for node in ast.walk(tree) if isinstance(node, ast.FunctionDef))


def missing(text: str) -> list[str]:
    """Name the tests that a page names and that are not there."""
    return [
        f"{name}::{test}"
        for name, test in NAMED.findall(text)
        if not (ROOT / "tests" / name).is_file() or test not in functions_of(name)
    ]


def rows(text: str) -> list[list[str]]:
    """Give the cells of each row of a page's table."""
    lines = [line for line in text.splitlines() if line.startswith("| ")]
    return [[cell.strip() for cell in line.strip("|").split(" | ")] for line in lines[2:]]


@pytest.mark.parametrize("text", [THREATS, DEFAULTS], ids=["threats", "defaults"])
def test_every_test_that_is_named_exists(text: str) -> None:
    assert len(NAMED.findall(text)) > 30
    assert missing(text) == []


def test_every_threat_has_what_stands_against_it_a_test_and_what_remains() -> None:
    found = rows(THREATS)
    assert [row[0] for row in found] == [f"T{number}" for number in range(1, 24)]
    for row in found:
        assert len(row) == 5, row[0]
        assert all(row), row[0]
        assert NAMED.search(row[3]), row[0]


def test_what_cannot_be_seen_is_said_before_the_table() -> None:
    assert "false number" in THREATS.partition("| # |")[0]
    assert "false number" in PAGES["SECURITY.md"]


def test_every_row_names_what_shows_it_or_why_it_does_not_apply() -> None:
    found = rows(DEFAULTS)
    assert len(found) > 50
    for row in found:
        state = row[2]
        assert state.startswith(STATES), row[0]
        if state.startswith(("exists", "partly")):
            assert NAMED.search(state), row[0]
        if state.startswith(("partly", "deviation")):
            assert len(row) == 4, row[0]
            assert row[3], row[0]


def test_a_test_that_is_not_there_is_missed() -> None:
    assert missing("`docs/test_security_pages.py::test_nothing`") != []
    assert missing("`docs/test_nowhere.py::test_nothing`") != []
