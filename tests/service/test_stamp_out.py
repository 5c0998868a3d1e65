"""An older stamp is compared whatever state the record is in, and nothing is written for it."""

from __future__ import annotations

import shutil
from pathlib import Path

from tests.baths import Baths

from lanewater.records.store import log
from lanewater.service.book import open_book
from lanewater.service.stamp_out import compare
from lanewater.service.stamping import latest, stamp


def test_a_rolled_back_record_whose_last_lines_have_no_stamp_is_still_compared(
    baths: Baths, tmp_path: Path
) -> None:
    baths.round()
    older = stamp(baths.book)
    baths.round()  # lines that no stamp covers yet
    baths.book.close()
    shutil.copy(baths.config.store, tmp_path / "older.db")
    baths.book = open_book(baths.config, clock=baths.clock)
    baths.wait(20)
    baths.round()
    newer = stamp(baths.book)
    baths.book.close()
    shutil.copy(tmp_path / "older.db", baths.config.store)
    baths.book = open_book(baths.config, clock=baths.clock)
    assert baths.book.trouble.startswith("ROLLED BACK")
    assert compare(baths.book, older)["outcome"] == "goes-on"
    assert compare(baths.book, newer)["outcome"] == "rolled-back"


def test_comparing_makes_no_stamp(baths: Baths) -> None:
    note = stamp(baths.book)
    baths.round()
    before = latest(baths.book.connection, baths.book.site)
    lines = log.size(baths.book.connection, baths.book.site)
    assert compare(baths.book, note)["lines"] == lines
    assert latest(baths.book.connection, baths.book.site) == before
