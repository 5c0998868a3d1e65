"""Every text shown is in the one catalogue; words that mislead are in none of it."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

import lanewater.interfaces.web

STATIC = Path(lanewater.interfaces.web.__file__).parent / "static"
WORDS: dict[str, str] = json.loads((STATIC / "words" / "en.json").read_text(encoding="utf-8"))
SCRIPTS = sorted(path for path in STATIC.rglob("*.js") if path.parent.name != "generated")
OURS = [path for path in SCRIPTS if path.name != "strict.js"]

CALL = re.compile(r"""\bsay(?:Or)?\(\s*("|`)(.*?)\1""", re.DOTALL)
EITHER = re.compile(r"""\bsay\([^"`()]*\?\s*"([\w.-]+)"\s*:\s*"([\w.-]+)\"""")
BEGUN = re.compile(r"`([a-z-]+\.(?:[\w-]+[.-])*)\$\{")
QUOTED = re.compile(r"""["`]([a-z]+(?:\.[\w*-]+)+)["`]""")
HOUSE_STOP = "House stop, not a legal verdict."
LONGEST_MODULE = 300
MISLEADING = re.compile(
    r"\b(safe|safely|safety|verdict|calculator|dashboard|clear the water|code brown)\b",
    re.IGNORECASE,
)


def asked_for(script: str) -> tuple[set[str], set[str]]:
    """Give the keys a script asks for, and the beginnings of those it puts together."""
    whole = set(QUOTED.findall(script)) & set(WORDS)
    whole |= {key for quote, key in CALL.findall(script) if "${" not in key}
    for pair in EITHER.findall(script):
        whole.update(pair)
    return whole, set(BEGUN.findall(script))


def test_every_text_a_page_asks_for_is_in_the_catalogue() -> None:
    missing = {key for path in OURS for key in asked_for(path.read_text())[0] if key not in WORDS}
    assert missing == set()


def test_no_text_of_the_catalogue_is_asked_for_by_nobody() -> None:
    found = [asked_for(path.read_text(encoding="utf-8")) for path in OURS]
    whole = {key for asked, _ in found for key in asked}
    # Options of a form name where their texts stand in the form's own description.
    # The engine's sentences are found by their English, and the form for a number by its text.
    begun = tuple({"substance.", "told."} | {start for _, starts in found for start in starts})
    asked = {key for key in WORDS if key in whole or key.startswith(begun)}
    assert {key for key in WORDS if key.partition("~")[0] not in asked} == set()


def test_no_text_uses_a_word_that_misleads() -> None:
    said = {key: text.replace(HOUSE_STOP, "") for key, text in WORDS.items()}
    assert {key: text for key, text in said.items() if MISLEADING.search(text)} == {}


def test_what_stands_in_a_text_is_plain_names() -> None:
    for text in WORDS.values():
        assert re.sub(r"\{[a-z]+\}", "", text).count("{") == 0


@pytest.mark.parametrize("path", OURS, ids=lambda path: path.name)
def test_a_script_is_short_and_writes_no_markup_or_style(path: Path) -> None:
    script = path.read_text(encoding="utf-8")
    assert script.count("\n") <= LONGEST_MODULE
    for word in (
        "innerHTML",
        "outerHTML",
        "insertAdjacentHTML",
        "document.write",
        "eval(",
        ".style",
    ):
        assert word not in script


def test_the_page_itself_holds_no_script_and_no_style_of_its_own() -> None:
    page = (STATIC / "index.html").read_text(encoding="utf-8")
    assert re.search(r"<style|\sstyle=|\son\w+=|<script(?![^>]*\ssrc=)", page) is None
