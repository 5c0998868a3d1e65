"""The record leaves the building as a bundle that verifies, and comes back line by line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from tests.baths import Baths

from lanewater.records.errors import BrokenPromiseError
from lanewater.records.stamps import read_stamp
from lanewater.records.store import log
from lanewater.records.verifying import answer_over_bundle
from lanewater.service.actor import SHELL
from lanewater.service.book import open_book
from lanewater.service.bundle_read import read_bundle
from lanewater.service.config import Config
from lanewater.service.directory import contacts, names
from lanewater.service.export import export_bundle
from lanewater.service.importing import import_bundle
from lanewater.service.log_key import rotate_log_key
from lanewater.service.stamping import stamp
from lanewater.terms.errors import InputError, RefusedError


def rows(baths: Baths) -> list[log.Row]:
    """Give every row of the record."""
    return list(log.rows_from(baths.book.connection, baths.book.site, 0))


def test_a_bundle_is_complete_and_holds_every_line_as_it_came(baths: Baths, tmp_path: Path) -> None:
    baths.round()
    rotate_log_key(baths.book, SHELL)
    baths.wait(30)
    baths.round(ph="7.9")
    told = export_bundle(baths.book, SHELL, tmp_path / "bundle")
    files = read_bundle(tmp_path / "bundle")
    answer = answer_over_bundle(files, [stamp(baths.book)])
    assert answer.outcome == "complete", answer.findings
    assert (answer.lines, answer.root) == (told["lines"], told["root"])
    held = [json.loads(line) for line in files["events.jsonl"].splitlines()]
    assert [(row["index"], row["received_at"], row["entry"], row["sig"]) for row in held] == [
        (row.log_index, row.received_at, row.raw.decode(), row.sig.hex()) for row in rows(baths)
    ]


def test_no_name_is_in_a_bundle_unless_asked_for(baths: Baths, tmp_path: Path) -> None:
    baths.round()
    export_bundle(baths.book, SHELL, tmp_path / "bundle")
    export_bundle(baths.book, SHELL, tmp_path / "named", with_names=True)
    every = b"".join(path.read_bytes() for path in (tmp_path / "bundle").iterdir())
    assert b"Testerlund" not in every
    assert b"Testerlund" in (tmp_path / "named" / "names.json").read_bytes()
    assert b"argon2" not in (tmp_path / "named" / "names.json").read_bytes()


def test_a_folder_that_is_there_is_refused_and_nothing_is_recorded(
    baths: Baths, tmp_path: Path
) -> None:
    lines = len(rows(baths))
    with pytest.raises(RefusedError, match="there already"):
        export_bundle(baths.book, SHELL, tmp_path)
    assert len(rows(baths)) == lines


def test_a_bundle_makes_the_same_record_elsewhere(baths: Baths, tmp_path: Path) -> None:
    baths.round()
    export_bundle(baths.book, SHELL, tmp_path / "bundle", with_names=True)
    there = Config(tmp_path / "new")
    told = import_bundle(there, tmp_path / "bundle")
    before, known, phones = rows(baths), names(baths.book), contacts(baths.book)
    head = read_stamp(stamp(baths.book)).head
    baths.book.close()
    baths.folder = there.data
    baths.book = open_book(there, clock=baths.clock)
    assert told == {"lines": len(before), "root": head.root.hex(), "names": True}
    assert rows(baths) == before
    assert (names(baths.book), contacts(baths.book)) == (known, phones)
    # Without the old keys: recording goes on, stamping once somebody names a new key.
    baths.wait(30)
    assert baths.round()["round"]
    key = rotate_log_key(baths.book, SHELL, lost=True)["public_key"]
    export_bundle(baths.book, SHELL, tmp_path / "again")
    files = read_bundle(tmp_path / "again")
    assert answer_over_bundle(files).outcome != "complete"
    accepted = answer_over_bundle(files, (), frozenset({key}))
    assert accepted.outcome == "complete", accepted.findings


def test_a_changed_bundle_makes_nothing(baths: Baths, tmp_path: Path) -> None:
    baths.round()
    export_bundle(baths.book, SHELL, tmp_path / "bundle")
    events = tmp_path / "bundle" / "events.jsonl"
    events.write_bytes(events.read_bytes().replace(b"7.43", b"7.53"))
    with pytest.raises(BrokenPromiseError, match="not complete"):
        import_bundle(Config(tmp_path / "new"), tmp_path / "bundle")
    assert not (tmp_path / "new" / "lanewater.db").exists()


def test_names_that_do_not_fit_are_refused_by_their_place(baths: Baths, tmp_path: Path) -> None:
    export_bundle(baths.book, SHELL, tmp_path / "bundle", with_names=True)
    path = tmp_path / "bundle" / "names.json"
    changed = path.read_text().replace('"initials"', '"surprise"', 1)
    path.write_text(changed)
    with pytest.raises((InputError, BrokenPromiseError)):
        import_bundle(Config(tmp_path / "new"), tmp_path / "bundle")
