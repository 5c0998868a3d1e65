"""The page on architecture prints the layers that import-linter holds, and every room there is."""

from __future__ import annotations

import re
import tomllib

from tests.contracts.house import ROOT, SOURCE
from tests.docs.pages import PAGES, fenced

PAGE = PAGES["docs/explanation/architecture.md"]


def held_layers() -> list[list[str]]:
    """Give the layers of the import contract, highest first, the rooms of each in order."""
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    contracts = settings["tool"]["importlinter"]["contracts"]
    (contract,) = [
        c for c in contracts if c["type"] == "layers" and c["containers"] == ["lanewater"]
    ]
    return [sorted(re.findall(r"\w+", layer)) for layer in contract["layers"]]


def printed_layers(page: str) -> list[list[str]]:
    """Give the layers that a page prints in its first block."""
    lines = next(iter(fenced(page))).splitlines()
    return [sorted(re.findall(r"\w+", line)) for line in lines if line.strip()]


def test_the_page_prints_the_layers_that_are_held() -> None:
    assert printed_layers(PAGE) == held_layers()


def test_the_page_says_of_every_room_what_is_in_it() -> None:
    rooms = {path.parent.name for path in SOURCE.glob("*/__init__.py")}
    described = set(re.findall(r"^\| `(\w+)` \|", PAGE, re.MULTILINE))
    assert rooms - described == set()
    assert described - rooms == set()


def test_a_page_with_two_layers_exchanged_is_refused() -> None:
    layers = held_layers()
    wrong = "```\n" + "\n".join("  ".join(layer) for layer in reversed(layers)) + "\n```\n"
    assert printed_layers(wrong) != layers
