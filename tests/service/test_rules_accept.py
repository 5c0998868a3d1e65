"""A site is judged by the text that a named person accepted, at the time of each round."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from tests.baths import Baths
from tests.service.newer_rules import historic, hold_newer, stricter

from lanewater.kernel.deciding.poolnow import actions_now
from lanewater.records.store import log
from lanewater.service import rules_texts
from lanewater.service.actor import SHELL, shell_as
from lanewater.service.backup import make_backup
from lanewater.service.carry import carry
from lanewater.service.config import Config
from lanewater.service.now import now_page
from lanewater.service.permission import NotAllowedError
from lanewater.service.restore import put_rules
from lanewater.service.rounds import correct_reading
from lanewater.service.rules_accept import accept_rules, rules_waiting
from lanewater.service.rules_held import rules_missing
from lanewater.service.set_up import add
from lanewater.terms.errors import InputError, RefusedError

DEVICE = {"id": "tab", "name": "Tablet", "kind": "shared"}


def verdict(found: dict[str, Any]) -> str:
    return str(found["verdict"]["overall"])


def accept(baths: Baths, digest: str) -> dict[str, Any]:
    return accept_rules(baths.book, baths.who("area"), {"rules": "ca-qc", "hash": digest})


def hash_of_last(baths: Baths) -> str:
    rules = baths.book.state.verdicts[baths.book.state.rounds["main"][-1].id].rules
    return rules.hash


def test_a_newer_text_changes_nothing_until_somebody_accepts_it(
    baths: Baths, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert verdict(baths.round()) == "meets"
    before = hash_of_last(baths)
    newer = hold_newer(baths, tmp_path, monkeypatch, stricter)
    baths.wait(10)
    assert verdict(baths.round()) == "meets"
    assert hash_of_last(baths) == before
    baths.wait(1)
    accept(baths, newer)
    baths.wait(10)
    assert verdict(baths.round()) == "does-not-meet"
    assert hash_of_last(baths) == newer
    assert rules_waiting(baths.book) == []


def test_an_older_round_keeps_the_rules_of_its_time_when_it_is_corrected(
    baths: Baths, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    old = baths.round()["round"]
    before = hash_of_last(baths)
    newer = hold_newer(baths, tmp_path, monkeypatch, stricter)
    baths.wait(10)
    accept(baths, newer)
    baths.wait(10)
    baths.reopened()
    baths.book.load = lambda _identity: {"hash": newer}
    given = {"round": old, "parameter": "ph", "value": "7.45", "reason": "Misread"}
    answer = correct_reading(baths.book, baths.who("tester"), given)
    assert verdict(answer) == "meets"
    assert baths.book.state.verdicts[old].rules.hash == before


def test_what_waits_is_shown_with_both_numbers_and_the_pools_it_touches(
    baths: Baths, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    newer = hold_newer(baths, tmp_path, monkeypatch, stricter)
    (row,) = rules_waiting(baths.book)
    assert (row["rules"], row["pool"], row["hash"]) == ("ca-qc", "", newer)
    assert row["may_be_accepted"]
    (change,) = row["changes"]
    assert (change["change"], change["rule"]) == ("tighter", "free-chlorine-minimum")
    assert "0.8 mg/L" in change["was"]
    assert "1.6 mg/L" in change["now"]
    assert change["pools"] == ["Main", "Teaching", "Plunge"]


def test_the_tablet_carries_the_accepted_text(
    baths: Baths, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = baths.book.load("ca-qc")["hash"]
    newer = hold_newer(baths, tmp_path, monkeypatch, stricter)
    carried = carry(baths.book, DEVICE, baths.now_ms)
    assert carried["packs"]["ca-qc"]["hash"] == before
    baths.wait(1)
    accept(baths, newer)
    again = carry(baths.book, DEVICE, baths.now_ms, carried["tag"])
    assert again["packs"]["ca-qc"]["hash"] == newer


@pytest.mark.parametrize("who", ["tester", "manager", "operator"])
def test_only_who_may_accept_rules_accepts_them(
    baths: Baths, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, who: str
) -> None:
    newer = hold_newer(baths, tmp_path, monkeypatch, stricter)
    for actor in (baths.who(who), SHELL, shell_as("p-area")):
        with pytest.raises(NotAllowedError):
            accept_rules(baths.book, actor, {"rules": "ca-qc", "hash": newer})


def test_a_text_that_was_not_shown_is_not_accepted(
    baths: Baths, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with pytest.raises(RefusedError, match="accepted already"):
        accept(baths, baths.book.load("ca-qc")["hash"])
    hold_newer(baths, tmp_path, monkeypatch, stricter)
    with pytest.raises(RefusedError, match="not the one that was shown"):
        accept(baths, "0" * 64)
    given = {"rules": "us-ca", "hash": "0" * 64}
    with pytest.raises(RefusedError, match="not the rules chosen"):
        accept_rules(baths.book, baths.who("area"), given)


def test_rules_that_became_historic_cannot_be_accepted(
    baths: Baths, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    newer = hold_newer(baths, tmp_path, monkeypatch, historic)
    assert rules_waiting(baths.book)[0]["why_not"] == "historic"
    with pytest.raises(RefusedError, match="historic"):
        accept(baths, newer)


def test_historic_rules_and_what_is_no_law_cannot_be_chosen(
    baths: Baths, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with pytest.raises(RefusedError, match="is no law"):
        add(baths.book, baths.who("area"), "rules", {"rules": "common-practice"})
    hold_newer(baths, tmp_path, monkeypatch, historic)
    with pytest.raises(RefusedError, match="is historic"):
        add(baths.book, baths.who("area"), "rules", {"rules": "ca-qc", "pool": "plunge"})


def asked_of(baths: Baths, pool: str) -> list[str]:
    """Give what the Now page asks at a pool, the same as a tablet that carries it."""
    lane = next(row for row in now_page(baths.book, baths.now_ms)["pools"] if row["pool"] == pool)
    rows = carry(baths.book, DEVICE, baths.now_ms)["pools"]
    facts = next(row["facts"] for row in rows if row["pool"] == pool)
    asked = [row["id"] for row in lane["open_actions"]]
    assert [row["id"] for row in actions_now(facts, baths.now_ms)] == asked
    return asked


def test_a_site_without_rules_is_asked_to_accept_none(baths: Baths) -> None:
    add(baths.book, baths.who("area"), "rules", {"rules": "none"})
    assert rules_missing(baths.book) == {}
    assert "rules-missing" not in asked_of(baths, "main")


def test_where_the_accepted_text_is_lost_nothing_is_judged_until_the_newer_is_accepted(
    baths: Baths, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    newer = hold_newer(baths, tmp_path, monkeypatch, stricter)
    for path in (baths.folder / "rules").iterdir():
        path.unlink()
    assert verdict(baths.round()) == "not-judged"
    assert rules_waiting(baths.book)[0]["unknown"] == "accepted-text-not-kept"
    assert set(rules_missing(baths.book)) == {"main", "teaching", "plunge"}
    assert all("rules-missing" in asked_of(baths, pool) for pool in ("main", "plunge"))
    baths.wait(1)
    accept(baths, newer)
    baths.wait(1)
    assert rules_missing(baths.book) == {}
    assert "rules-missing" not in asked_of(baths, "main")
    assert verdict(baths.round()) == "does-not-meet"


def test_a_text_that_was_changed_on_the_disk_judges_nothing(
    baths: Baths, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    hold_newer(baths, tmp_path, monkeypatch, stricter)
    for path in (baths.folder / "rules").iterdir():
        path.write_text(path.read_text().replace('"0.8"', '"0.1"'), encoding="utf-8")
    assert verdict(baths.round()) == "not-judged"


def test_a_text_that_this_version_cannot_read_judges_nothing_and_says_so(
    baths: Baths, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    hold_newer(baths, tmp_path, monkeypatch, stricter)

    def refused(_raw: dict[str, Any]) -> dict[str, Any]:
        raise InputError("rule[0].limit", "is not a key of this table")

    monkeypatch.setattr(rules_texts, "compile_raw", refused)
    found = baths.round()["verdict"]
    assert found["overall"] == "not-judged"
    assert "cannot be read by this version" in found["not_judged"][0]["why"]


def test_the_acceptance_is_on_record_by_name_with_the_text_before(
    baths: Baths, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = baths.book.load("ca-qc")["hash"]
    newer = hold_newer(baths, tmp_path, monkeypatch, stricter)
    entry = accept(baths, newer)["entry"]
    with baths.book.reading() as connection:
        row = log.row_by_id(connection, entry)
    assert row is not None
    assert b'"user":"p-area"' in row.raw
    assert f'"was":"{before}"'.encode() in row.raw


def test_a_backup_holds_the_texts_and_they_come_back(baths: Baths, tmp_path: Path) -> None:
    baths.round()
    make_backup(baths.book, baths.config, SHELL, tmp_path / "copy")
    elsewhere = Config(tmp_path / "elsewhere")
    put_rules(elsewhere, tmp_path / "copy")
    kept = {path.name: path.read_bytes() for path in (baths.folder / "rules").iterdir()}
    assert kept
    assert {p.name: p.read_bytes() for p in (elsewhere.data / "rules").iterdir()} == kept
