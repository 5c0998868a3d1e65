"""Stamps say how the record stands, are kept, and come by themselves while somebody writes."""

from __future__ import annotations

import pytest
from tests.baths import Baths

from lanewater.records.entries import read
from lanewater.records.signing import make_key
from lanewater.records.stamps import read_stamp, stamp_holds
from lanewater.records.store import log
from lanewater.records.store.growing import root_at
from lanewater.service.clock import instant_ms
from lanewater.service.keys import Own
from lanewater.service.stamping import age_of, latest, stamp
from lanewater.service.witness import held_head
from lanewater.terms.errors import MissingError


def test_a_stamp_covers_every_line_and_is_signed_by_the_key_on_record(baths: Baths) -> None:
    baths.round()
    told = read_stamp(stamp(baths.book))
    connection, site = baths.book.connection, baths.book.site
    assert told.head.size == log.size(connection, site)
    assert told.head.root == root_at(connection, site, told.head.size)
    first = log.row_at(connection, site, 0)
    assert first is not None
    assert told.head.origin == f"lanewater/{site}/{first.hash[:16]}/1"
    keys = baths.book.state.log_keys
    assert [stamp_holds(told, key.public_key, told.head.name) for key in keys] == [True]


def test_asking_again_gives_the_same_stamp_and_adds_no_line(baths: Baths) -> None:
    baths.round()
    first = stamp(baths.book)
    assert stamp(baths.book) == first
    assert stamp(baths.reopened()) == first


def test_a_stamp_comes_by_itself_every_quarter_of_an_hour_of_writing(baths: Baths) -> None:
    def kept() -> int:
        known = latest(baths.book.connection, baths.book.site)
        return 0 if known is None else known[0]

    baths.round()
    begun = kept()
    assert begun > 0
    baths.wait(14.9)
    baths.round()
    assert kept() == begun
    baths.wait(0.2)
    baths.round()
    assert kept() > begun
    after = kept()
    baths.wait(-24 * 60)  # a clock set back does not end the stamps
    baths.round()
    assert kept() > after


@pytest.mark.parametrize("made_at", ["", "yesterday", "2026-13-45T00:00:00.000Z", "2026-01-01"])
def test_a_damaged_time_of_a_stamp_stops_nobody(baths: Baths, made_at: str) -> None:
    baths.round()
    known = latest(baths.book.connection, baths.book.site)
    assert known is not None
    assert age_of((*known[:3], made_at), baths.now_ms) is None
    assert age_of(known, baths.now_ms) is not None


def test_the_newest_stamp_is_kept_beside_the_record_too(baths: Baths) -> None:
    baths.round()
    told = read_stamp(stamp(baths.book)).head
    assert held_head(baths.config.seen) == told
    assert baths.config.seen.stat().st_mode & 0o777 == 0o600


def test_without_the_key_on_record_lines_are_written_but_never_stamped(baths: Baths) -> None:
    baths.round()
    known = latest(baths.book.connection, baths.book.site)
    own = baths.book.own
    own.log_file.unlink()
    baths.book.own = Own(own.device, make_key(), own.seen, own.log_file)
    baths.wait(60)
    baths.round()
    assert latest(baths.book.connection, baths.book.site) == known
    with pytest.raises(MissingError, match="not the one on record"):
        stamp(baths.book)


def test_each_entry_names_the_head_of_the_record_just_before_it(baths: Baths) -> None:
    baths.round()
    connection, site = baths.book.connection, baths.book.site
    for row in log.rows_from(connection, site, 0):
        root = root_at(connection, site, row.log_index).hex() if row.log_index else ""
        assert read(row.raw).seen == {"size": row.log_index, "root": root}
        assert instant_ms(row.received_at, "received_at") > 0
