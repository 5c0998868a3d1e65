"""A book reads what others wrote, keeps a command whole, and says when it records no more."""

from __future__ import annotations

import sqlite3
import threading
from pathlib import Path

import pytest
from tests.baths import GOOD, Baths

from lanewater.records.entries import digest, parse
from lanewater.records.errors import BrokenPromiseError
from lanewater.records.signing import check_signature
from lanewater.records.store import log
from lanewater.records.store.connection import close_store, open_store
from lanewater.service.actor import ANYBODY, SHELL
from lanewater.service.book import open_book
from lanewater.service.config import Config
from lanewater.service.rounds import record_round
from lanewater.service.set_up import add, new_site
from lanewater.terms.errors import InputError, MissingError, RefusedError


def test_every_entry_is_signed_by_a_device_on_record_and_follows_its_last(baths: Baths) -> None:
    baths.round()
    state = baths.book.state
    heads: dict[str, tuple[int, str]] = {}
    for row in log.rows_from(baths.book.connection, baths.book.site, 0):
        entry = parse(row.raw)
        device = state.devices[entry.dev]
        check_signature(device.algorithm, device.public_key, row.raw, row.sig)
        assert heads.get(entry.dev, (0, "")) == (entry.dseq - 1, entry.dprev)
        heads[entry.dev] = (entry.dseq, digest(row.raw))


def test_the_first_entry_enrols_the_device_that_signs_it(baths: Baths) -> None:
    first = parse(next(log.rows_from(baths.book.connection, baths.book.site, 0)).raw)
    assert (first.type, first.body["device"]) == ("device-enrolled", first.dev)


def test_two_books_see_what_the_other_wrote(baths: Baths) -> None:
    other = open_book(baths.config, "server", clock=baths.clock)
    mine = baths.round()["round"]
    assert other.state.last_round("main").id == mine
    theirs = record_round(other, ANYBODY, {"pool": "main", "readings": GOOD})["round"]
    assert baths.book.state.last_round("main").id == theirs
    baths.round()
    assert len(other.state.rounds["main"]) == len(baths.book.state.rounds["main"]) == 3
    other.close()


def test_the_state_read_again_from_disk_is_the_same(baths: Baths) -> None:
    baths.round(free_chlorine="0.62")
    before = baths.book.state
    after = baths.reopened().state
    assert after.pools == before.pools
    assert after.verdicts == before.verdicts
    assert [row.id for row in after.rounds["main"]] == [row.id for row in before.rounds["main"]]
    assert after.index == before.index


def test_a_command_that_fails_half_way_leaves_nothing(baths: Baths) -> None:
    before = baths.book.state.index

    def two_pools() -> None:
        with baths.book.writing():
            add(baths.book, SHELL, "pool", {"name": "Whole", "facts": {}})
            add(baths.book, SHELL, "pool", {"name": "Broken", "facts": {"kind": "zoo"}})

    with pytest.raises(InputError, match=r"facts\.kind"):
        two_pools()
    assert baths.book.state.index == before
    assert "whole" not in baths.book.state.pools
    assert "whole" not in baths.reopened().state.pools
    add(baths.book, SHELL, "pool", {"name": "Whole", "facts": {}})
    assert "whole" in baths.book.state.pools


def test_a_change_made_behind_the_guards_is_found_when_the_book_is_opened(baths: Baths) -> None:
    baths.round()
    baths.book.close()
    raw = sqlite3.connect(baths.config.store)
    guards = raw.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
    for name, _ in guards:
        raw.execute(f"DROP TRIGGER {name}")
    index, old = raw.execute(
        "SELECT seq, bytes FROM entry WHERE type = 'round-recorded'"
    ).fetchone()
    new = old.replace(b"1.52", b"1.25")
    raw.execute("UPDATE entry SET bytes = ? WHERE seq = ?", (new, index))
    for _, statement in guards:
        raw.execute(statement)
    raw.commit()
    raw.close()
    with pytest.raises(BrokenPromiseError, match="changed outside"):
        open_book(baths.config)


def test_threads_write_one_after_the_other_and_nothing_is_lost(baths: Baths) -> None:
    errors: list[Exception] = []

    def many() -> None:
        try:
            for _ in range(5):
                baths.round("plunge")
        except Exception as error:
            errors.append(error)

    threads = [threading.Thread(target=many) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert errors == []
    assert len(baths.book.state.rounds["plunge"]) == 20
    assert len(baths.reopened().state.rounds["plunge"]) == 20


def test_a_folder_without_a_site_says_how_to_make_one(tmp_path: Path) -> None:
    with pytest.raises(MissingError, match="site new"):
        open_book(Config(tmp_path))


def test_a_second_site_in_the_same_folder_is_refused(baths: Baths) -> None:
    with pytest.raises(RefusedError, match="holds a site already"):
        new_site(baths.config, {"name": "Other", "timezone": "UTC"})
    assert baths.book.state.site.name == "Harbour Baths"


def test_a_new_site_that_cannot_be_made_leaves_no_half_of_it(tmp_path: Path) -> None:
    config = Config(tmp_path / "data")
    for command in (
        {"name": "", "timezone": "UTC"},
        {"name": "A", "timezone": "Mars/Base"},
        {"name": "A", "timezone": "UTC", "rules": "zz-none"},
        {"name": "A", "timezone": "UTC", "units": {"volume": "gal"}},
        {"name": "A", "timezone": "UTC", "rules": "common-practice"},
    ):
        with pytest.raises((InputError, MissingError, RefusedError)):
            new_site(config, command)
        assert not config.store.exists()
    assert new_site(config, {"name": "A", "timezone": "UTC"})["site"]


def test_keys_are_for_their_owner_alone(baths: Baths) -> None:
    baths.round()
    modes = [path.stat().st_mode & 0o777 for path in (baths.folder / "keys").iterdir()]
    assert modes == [0o600, 0o600]  # the device's and the log's


def test_a_site_that_was_never_finished_can_be_made_again(tmp_path: Path) -> None:
    config = Config(tmp_path / "data")
    config.data.mkdir()
    close_store(open_store(config.store, create=True))
    with pytest.raises(MissingError, match="0 sites"):
        open_book(config)
    new_site(config, {"name": "A", "timezone": "UTC"})
    book = open_book(config)
    assert book.state.site.name == "A"
    book.close()


@pytest.mark.parametrize("content", [b"", b"short", b"x" * 33])
def test_a_damaged_key_is_named(baths: Baths, content: bytes) -> None:
    baths.config.key_file("shell").write_bytes(content)
    with pytest.raises(InputError, match=r"shell\.key: .*32 bytes"):
        open_book(baths.config)


def test_a_key_that_others_may_read_is_closed_to_them_again(baths: Baths) -> None:
    key = baths.config.key_file("shell")
    key.chmod(0o644)
    open_book(baths.config).close()
    assert key.stat().st_mode & 0o777 == 0o600


def test_a_key_that_cannot_be_made_is_named(baths: Baths) -> None:
    baths.config.key_file("server").mkdir()
    with pytest.raises(MissingError, match=r"server\.key"):
        open_book(baths.config, "server")
