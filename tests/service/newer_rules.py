"""A program that holds a newer text of some rules than the one a site accepted."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from tests.baths import Baths

from lanewater.service import rules_held
from lanewater.service.packs import FOLDER, load_pack

Change = Callable[[str], str]


def hold_newer(baths: Baths, folder: Path, monkeypatch: pytest.MonkeyPatch, change: Change) -> str:
    """Let the program hold ca-qc as changed; give the hash of the newer text."""
    packs = folder / "packs"
    if not packs.exists():
        shutil.copytree(FOLDER, packs)
    path = packs / "ca-qc.toml"
    before = (FOLDER / "ca-qc.toml").read_text(encoding="utf-8")
    after = change(before)
    assert after != before
    path.write_text(after, encoding="utf-8")
    monkeypatch.setattr(rules_held, "FOLDER", packs)
    baths.book.load = lambda identity: load_pack(identity, packs, folder / "compiled")
    return str(baths.book.load("ca-qc")["hash"])


def stricter(text: str) -> str:
    """Raise the minimum of free chlorine above what the test's rounds have."""
    head, rule, rest = text.partition('id = "free-chlorine-minimum"\n')
    return head + rule + rest.replace('at_least = "0.8"', 'at_least = "1.6"', 1)


def historic(text: str) -> str:
    """Let the rules be no longer in force."""
    return text.replace('status = "reviewed"', 'status = "historic"', 1)
