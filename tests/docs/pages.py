"""The written pages of the project."""

from __future__ import annotations

import re
from collections.abc import Iterator

from tests.contracts.house import ROOT

FENCE = re.compile(r"^ *```[^\n]*\n(.*?)^ *```$", re.MULTILINE | re.DOTALL)

PAGES = {
    str(path.relative_to(ROOT)): path.read_text(encoding="utf-8")
    for path in sorted([*ROOT.glob("*.md"), *(ROOT / "docs").rglob("*.md")])
}


def fenced(text: str) -> Iterator[str]:
    """Give what stands in a page's fenced blocks."""
    yield from FENCE.findall(text)


def prose(text: str) -> str:
    """Give a page without its fenced blocks."""
    return FENCE.sub("", text)
