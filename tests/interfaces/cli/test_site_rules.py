"""`lanewater site rules` and `site overlay`: what changes the rules takes a name and a PIN."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from tests.interfaces.cli.shell_case import Shell

from lanewater.service import rules_held
from lanewater.service.actor import SHELL
from lanewater.service.book import open_book
from lanewater.service.config import load_config
from lanewater.service.packs import load_pack

OWN = """
id = "house"
title = "House rules"
extends = "ca-qc"

[[rule]]
id = "house-ph"
parameter = "ph"
at_most = "7.4"
level = "correct"
"""
AREA = ("--id", "p-area", "--name", "Arne Areaberg", "--initials", "AA", "--role", "area-manager")
LOOSER = OWN.replace("[[rule]]", 'replaces = ["ph-maximum"]\n\n[[rule]]', 1)


@pytest.fixture
def pin(shell: Shell) -> str:
    """Give the PIN of the area manager."""
    return str(shell("site", "add", "person", *AREA, "--new-pin", "--json").answer["pin"])


def test_own_rules_are_added_listed_and_ended_by_name(
    shell: Shell, pin: str, tmp_path: Path
) -> None:
    own = tmp_path / "house.toml"
    own.write_text(OWN, encoding="utf-8")
    words = ("site", "overlay", "add", str(own), "--by", "AA")
    assert shell(*words, stdin="000000\n").code == 2
    assert shell("site", "overlay", "list", "--json").answer == []
    assert shell(*words, stdin=f"{pin}\n").out == "house holds upon ca-qc.\n"
    (row,) = shell("site", "overlay", "list", "--json").answer
    assert (row["overlay"], row["by"], row["until"]) == ("house", "p-area", "")
    assert "House rules, upon ca-qc" in shell("site", "overlay", "list").out
    assert shell("site", "overlay", "end", "house", "--by", "AA", stdin=f"{pin}\n").code == 0
    (row,) = shell("site", "overlay", "list", "--json").answer
    assert row["until"]


def test_where_an_own_limit_has_no_effect_the_list_still_says_so(
    shell: Shell, pin: str, tmp_path: Path
) -> None:
    own = tmp_path / "house.toml"
    own.write_text(OWN.replace("7.4", "8.4"), encoding="utf-8")
    told = shell("site", "overlay", "add", str(own), "--by", "AA", stdin=f"{pin}\n").out
    (remark,) = told.splitlines()[1:]
    assert "loosens nothing" in remark
    assert f"  {remark}\n" in shell("site", "overlay", "list").out


def test_what_loosens_takes_the_document_and_its_name(
    shell: Shell, pin: str, tmp_path: Path
) -> None:
    own, document = tmp_path / "order.toml", tmp_path / "order.pdf"
    own.write_text(LOOSER, encoding="utf-8")
    document.write_bytes(b"Order")
    words = ("site", "overlay", "add", str(own), "--by", "AA")
    refused = shell(*words, stdin=f"{pin}\n")
    assert (refused.code, "takes a document of the authority" in refused.err) == (2, True)
    assert "--document-name" in shell(*words, "--document", str(document), stdin=f"{pin}\n").err
    named = (*words, "--document", str(document), "--document-name", "Order HO-17")
    assert shell(*named, stdin=f"{pin}\n").code == 0
    assert "by the authority's document: Order HO-17" in shell("site", "overlay", "list").out


def test_the_site_says_where_the_accepted_text_is_not_to_be_had(shell: Shell) -> None:
    assert "NO ROUND IS JUDGED" not in shell("site", "show").out
    book = open_book(load_config(None, os.environ))
    named = {"id": "ca-qc", "edition": "older", "hash": "0" * 64}
    with book.writing() as writing:
        writing.append("rules-chosen", {"rules": "ca-qc"}, SHELL, rules=named)
    book.close()
    shown = shell("site", "show").out
    assert "main: NO ROUND IS JUDGED. rules: the accepted text 000000000000 is not in" in shown
    assert "`lanewater site rules accept`" in shown


def test_a_newer_text_is_shown_and_accepted_from_the_shell(shell: Shell, pin: str) -> None:
    assert shell("site", "rules", "waiting").out == "No newer text of the rules waits.\n"
    assert shell("site", "rules", "accept", "--by", "AA", stdin=f"{pin}\n").code == 2
    text = (rules_held.FOLDER / "ca-qc.toml").read_text(encoding="utf-8")
    older = text.replace('at_least = "0.8"', 'at_least = "0.7"', 1)
    book = open_book(load_config(None, os.environ))
    named = {"id": "ca-qc", "edition": "older", "hash": book.texts.put(older.encode())}
    with book.writing() as writing:
        writing.append("rules-chosen", {"rules": "ca-qc"}, SHELL, rules=named)
    book.close()
    waiting = shell("site", "rules", "waiting").out
    assert "at least 0.7 mg/L before, free chlorine is at least 0.8 mg/L now" in waiting
    assert "touches: Main, Teaching, Plunge" in waiting
    assert shell("site", "rules", "accept", "--by", "TT", stdin="918273\n").code == 2
    answer = shell("site", "rules", "accept", "--by", "AA", "--json", stdin=f"{pin}\n").answer
    assert answer["hash"] == load_pack("ca-qc")["hash"]
    assert shell("site", "rules", "waiting", "--json").answer == []
