"""A backup is proved before it counts; an older one put back needs somebody's decision."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from tests.baths import Baths
from tests.service.test_witness import change

from lanewater.records.errors import BrokenPromiseError, NotRecordingError
from lanewater.records.stamps import read_stamp
from lanewater.records.store import log
from lanewater.service.actor import ANYBODY, SHELL
from lanewater.service.backup import make_backup
from lanewater.service.book import open_book
from lanewater.service.config import Config
from lanewater.service.permission import NotAllowedError
from lanewater.service.restore import accept_restored, restore_backup
from lanewater.service.stamping import stamp
from lanewater.terms.errors import InputError, RefusedError


def backed_up(baths: Baths, folder: Path, **how: bool) -> dict[str, object]:
    """Make a backup from the shell."""
    return make_backup(baths.book, baths.config, SHELL, folder, **how)


def test_a_backup_holds_every_line_and_is_itself_on_record(baths: Baths, tmp_path: Path) -> None:
    saved = baths.round()["round"]
    lines = log.size(baths.book.connection, baths.book.site)
    told = backed_up(baths, tmp_path / "copy")
    assert told["lines"] == lines
    assert log.size(baths.book.connection, baths.book.site) == lines + 1
    copy = open_book(Config(tmp_path / "copy"), clock=baths.clock)
    assert copy.state.round_by_id(saved) is not None
    assert copy.trouble == ""
    copy.close()


def test_everything_in_a_backup_is_for_its_owner_alone(baths: Baths, tmp_path: Path) -> None:
    backed_up(baths, tmp_path / "copy")
    found = list((tmp_path / "copy").rglob("*"))
    assert {path.stat().st_mode & 0o777 for path in found if path.is_file()} == {0o600}
    rules = [path.name for path in found if path.is_file() and path.parent.name == "rules"]
    assert rules == [baths.book.state.site.rules.hash]
    assert sorted(path.name for path in found if path.is_file() and path.name not in rules) == [
        "lanewater.db", "log.key", "manifest.sha256", "seen.txt", "shell.key", "stamp.txt",
    ]  # fmt: skip


def test_without_keys_nothing_in_it_signs(baths: Baths, tmp_path: Path) -> None:
    backed_up(baths, tmp_path / "copy", with_keys=False)
    assert list((tmp_path / "copy").rglob("*.key")) == []


def test_a_record_that_was_changed_gives_no_backup(baths: Baths, tmp_path: Path) -> None:
    baths.round()
    stamp(baths.book)
    baths.book.close()
    # A line long before the tail: opening does not look there, a backup does.
    baths.book = open_book(baths.config, clock=baths.clock)
    baths.book.close()
    change(baths.config.store, "UPDATE tree_node SET hash = zeroblob(32) WHERE position = 1")
    change(
        baths.config.store,
        "UPDATE entry SET received_at = '2020-01-01T00:00:00.000Z' WHERE seq = 2",
    )
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr("lanewater.service.book.LOOKED_AT", {"shell": 1, "server": 1})
        baths.book = open_book(baths.config, clock=baths.clock)
    with pytest.raises(BrokenPromiseError, match="not complete"):
        backed_up(baths, tmp_path / "copy")
    assert list(tmp_path.glob("copy*")) == []


def test_a_folder_that_is_there_is_never_written_into(baths: Baths, tmp_path: Path) -> None:
    (tmp_path / "copy").mkdir()
    with pytest.raises(RefusedError, match="there already"):
        backed_up(baths, tmp_path / "copy")


@pytest.mark.parametrize("name", ["lanewater.db", "stamp.txt", "seen.txt"])
def test_a_flipped_bit_in_a_backup_is_found(baths: Baths, tmp_path: Path, name: str) -> None:
    backed_up(baths, tmp_path / "copy")
    path = tmp_path / "copy" / name
    content = bytearray(path.read_bytes())
    content[len(content) // 2] ^= 1
    path.write_bytes(content)
    with pytest.raises(BrokenPromiseError, match=name):
        restore_backup(Config(tmp_path / "new"), tmp_path / "copy", now_ms=baths.now_ms)
    assert not (tmp_path / "new" / "lanewater.db").exists()


def test_a_backup_goes_into_an_empty_folder_and_is_written_on(baths: Baths, tmp_path: Path) -> None:
    saved = baths.round()["round"]
    backed_up(baths, tmp_path / "copy")
    told = restore_backup(Config(tmp_path / "new"), tmp_path / "copy", now_ms=baths.now_ms)
    assert told["trouble"] == ""
    baths.book.close()
    baths.folder = tmp_path / "new"
    baths.book = open_book(baths.config, clock=baths.clock)
    assert baths.book.state.round_by_id(saved) is not None
    baths.wait(30)
    baths.round()
    assert read_stamp(stamp(baths.book)).head.epoch == 1


def test_an_older_backup_is_recognised_and_needs_a_decision(baths: Baths, tmp_path: Path) -> None:
    backed_up(baths, tmp_path / "copy")
    baths.wait(20)
    lost = baths.round()["round"]
    held = read_stamp(stamp(baths.book)).head
    baths.book.close()
    with pytest.raises(RefusedError, match="--replace"):
        restore_backup(baths.config, tmp_path / "copy", now_ms=baths.now_ms)
    told = restore_backup(baths.config, tmp_path / "copy", now_ms=baths.now_ms, replace=True)
    assert str(told["trouble"]).startswith("ROLLED BACK")
    assert (Path(str(told["moved"])) / "lanewater.db").is_file()
    baths.book = open_book(baths.config, clock=baths.clock)
    with pytest.raises(NotRecordingError, match="ROLLED BACK"):
        baths.round()
    with pytest.raises(NotAllowedError):
        accept_restored(baths.book, ANYBODY, "the disk broke")
    with pytest.raises(InputError, match="say why"):
        accept_restored(baths.book, SHELL, "  ")
    done = accept_restored(baths.book, SHELL, "the disk broke")
    assert done["held_size"] == held.size
    assert done["epoch"] == 2
    assert baths.book.state.round_by_id(lost) is None
    assert baths.round()["round"]
    assert baths.reopened().trouble == ""
    assert read_stamp(stamp(baths.book)).head.epoch == 2
    with pytest.raises(RefusedError, match="nothing to accept"):
        accept_restored(baths.book, SHELL, "again")


def test_a_decision_cut_short_after_it_is_on_record_is_not_asked_for_again(
    baths: Baths, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    backed_up(baths, tmp_path / "copy")
    baths.wait(20)
    baths.round()
    stamp(baths.book)
    baths.book.close()
    restore_backup(baths.config, tmp_path / "copy", now_ms=baths.now_ms, replace=True)
    held = baths.config.seen.read_text()
    baths.book = open_book(baths.config, clock=baths.clock)
    accept_restored(baths.book, SHELL, "the disk broke")
    baths.book.close()
    baths.config.seen.write_text(held)
    baths.book = open_book(baths.config, clock=baths.clock)
    assert baths.book.trouble == ""


def test_a_stamp_held_elsewhere_shows_that_a_backup_is_older(baths: Baths, tmp_path: Path) -> None:
    backed_up(baths, tmp_path / "copy")
    baths.wait(20)
    baths.round()
    later = stamp(baths.book)
    with pytest.raises(BrokenPromiseError, match="rolled back"):
        restore_backup(
            Config(tmp_path / "new"), tmp_path / "copy", now_ms=baths.now_ms, outside=[later]
        )
    assert not (tmp_path / "new" / "lanewater.db").exists()
    shutil.rmtree(tmp_path / "copy")
