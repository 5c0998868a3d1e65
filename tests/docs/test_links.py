"""Links between pages lead somewhere, and every page can be reached."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path, PurePosixPath

import pytest
from tests.contracts.house import ROOT
from tests.docs.pages import PAGES, prose

LINK = re.compile(r"\]\(([^)\s]+)\)")


def anchors(text: str) -> set[str]:
    """Give the anchors that a page's headings make."""
    heads = re.findall(r"^#+ (.+)$", prose(text), re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", head).strip().lower().replace(" ", "-") for head in heads}


def links(page: str, text: str) -> Iterator[tuple[Path, str]]:
    """Give the file and the anchor of each link that stays inside the project."""
    for target in LINK.findall(prose(text)):
        if not target.startswith(("http://", "https://", "mailto:")):
            name, _, anchor = target.partition("#")
            file = ROOT / page if not name else ROOT / PurePosixPath(page).parent / name
            yield file.resolve(), anchor


def dead(page: str, text: str) -> list[str]:
    """Name the links of a page that lead nowhere."""
    return [
        f"{page}: {file}#{anchor}"
        for file, anchor in links(page, text)
        if not file.exists() or (anchor and anchor not in anchors(file.read_text(encoding="utf-8")))
    ]


@pytest.mark.parametrize("path", PAGES)
def test_every_link_leads_somewhere(path: str) -> None:
    assert dead(path, PAGES[path]) == []


def test_every_page_can_be_reached_from_the_first() -> None:
    reached: set[str] = set()
    waiting = ["README.md"]
    while waiting:
        page = waiting.pop()
        if page in reached:
            continue
        reached.add(page)
        files = [file for file, _ in links(page, PAGES.get(page, "")) if file.suffix == ".md"]
        waiting += [str(file.relative_to(ROOT)) for file in files if file.is_relative_to(ROOT)]
    assert sorted(set(PAGES) - reached) == []


@pytest.mark.parametrize("target", ["no-such-page.md", "index.md#no-such-heading", "../gone.png"])
def test_a_dead_link_is_seen(target: str) -> None:
    assert len(dead("docs/index.md", f"see [this]({target})")) == 1
