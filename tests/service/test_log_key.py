"""The key of the log changes on record, with the old key's word, and is never lost on the way."""

from __future__ import annotations

import pytest
from tests.baths import Baths

from lanewater.records.entries import read
from lanewater.records.signing import key_bytes, make_key
from lanewater.records.stamps import handover_holds, read_stamp, stamp_holds
from lanewater.records.store import log
from lanewater.service.actor import ANYBODY, SHELL
from lanewater.service.book import open_book
from lanewater.service.log_key import rotate_log_key
from lanewater.service.permission import NotAllowedError
from lanewater.service.stamping import stamp
from lanewater.terms.errors import RefusedError


def test_the_old_key_stamps_a_last_time_and_gives_its_word(baths: Baths) -> None:
    old = baths.book.state.log_keys[-1].public_key
    told = rotate_log_key(baths.book, SHELL)
    assert (told["replaces"], told["word"]) == (old, True)
    named = list(log.rows_of_types(baths.book.connection, baths.book.site, ("log-key-named",)))
    body = read(named[-1].raw).body
    assert handover_holds(body["word"], old, body["public_key"])
    note = read_stamp(stamp(baths.book))
    assert stamp_holds(note, told["public_key"], note.head.name)
    assert not stamp_holds(note, old, note.head.name)
    assert [key.until_index for key in baths.book.state.log_keys] == [named[-1].log_index, None]
    assert baths.reopened().trouble == ""
    baths.round()
    assert stamp(baths.book)


def test_a_change_cut_short_before_it_is_on_record_keeps_the_old_key(
    baths: Baths, monkeypatch: pytest.MonkeyPatch
) -> None:
    old = baths.book.own.log.public_hex

    def fail(*_: object, **__: object) -> None:
        raise OSError("cut short")

    with monkeypatch.context() as planted:
        planted.setattr("lanewater.service.book.keep_or_forget", lambda *_: None)
        planted.setattr("lanewater.service.book.stamp_if_due", fail)
        with pytest.raises(OSError, match="cut short"):
            rotate_log_key(baths.book, SHELL)
    baths.reopened()
    assert baths.book.state.log_keys[-1].public_key == old
    baths.round()
    assert read_stamp(stamp(baths.book)).head.size == log.size(
        baths.book.connection, baths.book.site
    )
    assert rotate_log_key(baths.book, SHELL)["word"]


def test_a_change_cut_short_after_it_is_on_record_finds_the_new_key(
    baths: Baths, monkeypatch: pytest.MonkeyPatch
) -> None:
    with monkeypatch.context() as planted:
        planted.setattr("lanewater.service.log_key.put_log_key_in_place", lambda _: None)
        told = rotate_log_key(baths.book, SHELL)
    baths.reopened()
    baths.round()
    note = read_stamp(stamp(baths.book))
    assert stamp_holds(note, told["public_key"], note.head.name)
    again = rotate_log_key(baths.book, SHELL)
    assert (again["replaces"], again["word"]) == (told["public_key"], True)


def test_another_process_goes_on_with_the_new_key(baths: Baths) -> None:
    server = open_book(baths.config, "server", clock=baths.clock)
    told = rotate_log_key(baths.book, SHELL)
    note = read_stamp(stamp(server))
    assert stamp_holds(note, told["public_key"], note.head.name)
    server.close()


def test_a_lost_key_is_replaced_without_its_word_and_only_when_said(baths: Baths) -> None:
    with pytest.raises(RefusedError, match="without --lost"):
        rotate_log_key(baths.book, SHELL, lost=True)
    baths.config.key_file("log").write_bytes(key_bytes(make_key()))
    baths.reopened()
    baths.wait(60)
    baths.round()
    with pytest.raises(RefusedError, match="--lost"):
        rotate_log_key(baths.book, SHELL)
    told = rotate_log_key(baths.book, SHELL, lost=True)
    assert told["word"] is False
    note = read_stamp(stamp(baths.book))
    assert stamp_holds(note, told["public_key"], note.head.name)


def test_only_who_owns_the_site_changes_it(baths: Baths) -> None:
    for actor in (ANYBODY, baths.who("tester"), baths.who("operator")):
        with pytest.raises(NotAllowedError):
            rotate_log_key(baths.book, actor)
