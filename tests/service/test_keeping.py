"""A server stamps in time and backs up once a day, and says what it could not do."""

from __future__ import annotations

import logging
import threading
from pathlib import Path

import pytest
from tests.baths import MINUTE_MS, Baths

from lanewater.records.store import log
from lanewater.service import keeping
from lanewater.service.config import Config
from lanewater.service.keeping import keep_once, keep_until
from lanewater.service.restore import restore_backup
from lanewater.service.stamping import latest


def kept(baths: Baths) -> int:
    """Give how many lines the newest stamp covers."""
    known = latest(baths.book.connection, baths.book.site)
    return 0 if known is None else known[0]


def test_lines_that_nobody_writes_after_are_stamped_within_a_quarter_of_an_hour(
    baths: Baths,
) -> None:
    baths.round()
    lines = log.size(baths.book.connection, baths.book.site)
    before = kept(baths)
    assert before < lines
    baths.wait(14)
    keep_once(baths.book, baths.config, None, set())
    assert kept(baths) == before
    baths.wait(1)
    keep_once(baths.book, baths.config, None, set())
    assert kept(baths) == lines
    baths.wait(60)
    keep_once(baths.book, baths.config, None, set())
    assert log.size(baths.book.connection, baths.book.site) == lines


def test_a_backup_a_day_is_made_after_three_at_the_site_and_comes_back(
    baths: Baths, tmp_path: Path
) -> None:
    backups, tried = tmp_path / "backups", set[str]()
    backups.mkdir()
    baths.now_ms -= 3 * 60 * MINUTE_MS  # 02:51 at the site
    keep_once(baths.book, baths.config, backups, tried)
    assert list(backups.iterdir()) == []
    baths.wait(10)
    for _ in range(3):
        keep_once(baths.book, baths.config, backups, tried)
    assert [path.name for path in backups.iterdir()] == ["lanewater-2026-07-01"]
    baths.wait(24 * 60)
    keep_once(baths.book, baths.config, backups, tried)
    assert len(list(backups.iterdir())) == 2
    told = restore_backup(
        Config(tmp_path / "new"), backups / "lanewater-2026-07-02", now_ms=baths.now_ms
    )
    assert told["trouble"] == ""


def test_a_backup_that_fails_is_said_once_and_stops_nothing(
    baths: Baths, tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    in_the_way = tmp_path / "file"
    in_the_way.write_text("")
    tried: set[str] = set()
    with caplog.at_level(logging.ERROR, logger="lanewater.keeping"):
        for _ in range(3):
            keep_once(baths.book, baths.config, in_the_way, tried)
    assert [record.levelname for record in caplog.records] == ["ERROR"]
    assert baths.round()["round"]


def test_it_ends_when_told(baths: Baths, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(keeping, "EVERY_S", 0.01)
    stop = threading.Event()
    keeper = threading.Thread(target=keep_until, args=(stop, baths.book, baths.config, None))
    keeper.start()
    stop.set()
    keeper.join(5)
    assert not keeper.is_alive()
