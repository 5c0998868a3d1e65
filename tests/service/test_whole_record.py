"""A whole store is held to its entries: every column, every node, every stamp."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.baths import Baths
from tests.service.test_witness import change

from lanewater.records.verifying import Answer
from lanewater.service.stamping import stamp
from lanewater.service.whole_record import answer_for_place, answer_for_site, answer_for_store
from lanewater.terms.errors import MissingError

CHANGES: dict[str, tuple[str, str, str]] = {
    "a reading": (
        "UPDATE entry SET bytes = CAST(replace(CAST(bytes AS TEXT), '7.43', '7.40') AS BLOB)",
        "changed",
        "column",
    ),
    "the hash of a line": (
        "UPDATE entry SET hash = printf('%064d', 1) WHERE seq = 3",
        "changed",
        "column",
    ),
    "the type of a line": ("UPDATE entry SET type = 'told' WHERE seq = 3", "changed", "column"),
    "the device of a line": ("UPDATE entry SET dev = 'dev-0' WHERE seq = 3", "changed", "column"),
    "the id of a line": ("UPDATE entry SET id = 'x' WHERE seq = 3", "changed", "column"),
    "when a line came": (
        "UPDATE entry SET received_at = '2026-07-01T00:00:00.000Z' WHERE seq = 3",
        "changed",
        "column",
    ),
    "the site of a line": ("UPDATE entry SET site = 'other' WHERE seq = 3", "changed", "column"),
    "the place of a line": (
        "UPDATE entry SET log_index = 4000 WHERE seq = (SELECT max(seq) FROM entry)",
        "changed",
        "column",
    ),
    "a line is gone": ("DELETE FROM entry WHERE seq = 3", "missing", "place"),
    "the last line is gone": (
        "DELETE FROM entry WHERE seq = (SELECT max(seq) FROM entry)",
        "changed",
        "column",
    ),
    "a signature": ("UPDATE entry SET sig = zeroblob(64) WHERE seq = 3", "changed", "signature"),
    "bytes that are no text": ("UPDATE entry SET bytes = x'ff' WHERE seq = 3", "changed", "form"),
    "bytes that are no entry": ("UPDATE entry SET bytes = x'7b7d'", "changed", "column"),
    "when a line is claimed": (
        "UPDATE claimed SET at_ms = at_ms + 1 WHERE log_index = 3",
        "changed",
        "column",
    ),
    "a line cannot be found": ("DELETE FROM claimed WHERE log_index = 3", "changed", "column"),
    "the pool a line is found by": (
        "UPDATE claimed SET pool = 'plunge' WHERE pool = 'main'",
        "changed",
        "column",
    ),
    "a leaf of the tree": (
        "UPDATE tree_node SET hash = zeroblob(32) WHERE level = 0 AND position = 2",
        "changed",
        "column",
    ),
    "a branch of the tree": (
        "UPDATE tree_node SET hash = zeroblob(32) WHERE level = 2 AND position = 1",
        "changed",
        "column",
    ),
    "a node more": (
        (
            "INSERT INTO tree_node (site, level, position, hash) "
            "SELECT site, 40, 0, zeroblob(32) FROM tree_node LIMIT 1"
        ),
        "changed",
        "column",
    ),
    "a node less": ("DELETE FROM tree_node WHERE level = 1 AND position = 0", "changed", "column"),
    "the size of a stamp": (
        "UPDATE stamp SET size = 4000 WHERE size = (SELECT max(size) FROM stamp)",
        "changed",
        "stamp-beside",
    ),
    "the text of a stamp": ("UPDATE stamp SET text = 'x'", "changed", "stamp-beside"),
}


@pytest.fixture
def closed(baths: Baths) -> Baths:
    """A site with a round and a stamp, its book closed."""
    baths.round()
    stamp(baths.book)
    baths.book.close()
    return baths


def held(baths: Baths) -> Answer:
    return answer_for_site(baths.config)[0]


@pytest.mark.parametrize("name", CHANGES)
def test_a_change_with_the_file_in_hand_is_seen(closed: Baths, name: str) -> None:
    assert held(closed).complete
    statement, what, by = CHANGES[name]
    change(closed.config.store, statement)
    answer = held(closed)
    assert not answer.complete
    assert any(finding.by == by for finding in answer.findings), answer.findings
    assert answer.outcome == what


def test_the_stamp_that_this_machine_saw_shows_an_older_record(
    baths: Baths, tmp_path: Path
) -> None:
    baths.round()
    stamp(baths.book)
    baths.book.close()
    older = baths.config.store.read_bytes()
    baths.reopened()
    baths.wait(30)
    baths.round()
    stamp(baths.book)
    baths.book.close()
    baths.config.store.write_bytes(older)
    for beside in baths.folder.glob("lanewater.db-*"):
        beside.unlink()
    assert held(baths).outcome == "rolled-back"
    assert answer_for_place(baths.config.store).complete


def test_lines_that_came_after_the_newest_stamp_are_no_finding(baths: Baths) -> None:
    stamp(baths.book)
    baths.round()
    with baths.book.reading() as connection:
        answer = answer_for_store(connection, baths.book.site)
    assert answer.complete
    assert answer.lines > 10


@pytest.mark.parametrize("content", [b"", b"not a store", b"SQLite format 3\0" + b"\xff" * 5000])
def test_a_file_that_is_no_store_is_never_complete(tmp_path: Path, content: bytes) -> None:
    place = tmp_path / "lanewater.db"
    place.write_bytes(content)
    answer = answer_for_place(place)
    assert answer.outcome == "not-checked"
    assert answer.findings[0].file == "store"


def test_a_store_that_is_not_there_is_missing(baths: Baths, tmp_path: Path) -> None:
    assert answer_for_place(tmp_path / "none.db").outcome == "not-checked"
    config = baths.config
    config.store.rename(tmp_path / "away.db")
    with pytest.raises(MissingError, match="no site"):
        answer_for_site(config)
    (tmp_path / "away.db").rename(config.store)
