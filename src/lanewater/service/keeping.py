"""What a server does by itself: stamps in time, and a backup a day where a folder was named."""

from __future__ import annotations

import logging
from datetime import timedelta
from pathlib import Path
from threading import Event

from lanewater.records.store import log
from lanewater.service.actor import Actor
from lanewater.service.backup import make_backup
from lanewater.service.book import Book
from lanewater.service.clock import offset_minutes
from lanewater.service.config import Config
from lanewater.service.stamping import STAMP_EVERY_MS, age_of, latest, signs, stamp
from lanewater.terms.errors import LanewaterError
from lanewater.terms.instants import EPOCH, MILLISECOND

LOG = logging.getLogger("lanewater.keeping")

EVERY_S = 60.0
# Pools are shut and the day before is whole.
BACKUP_HOUR = 3


def keep_until(stop: Event, book: Book, config: Config, backups: Path | None) -> None:
    """Stamp and back up every minute that it is due, until told to stop.

    Parameters
    ----------
    stop : Event
        Set to end it.
    book : Book
        The server's book.
    config : Config
        Where its data lie.
    backups : Path, optional
        The folder that holds the backups, one folder a day.
    """
    tried: set[str] = set()
    while not stop.wait(EVERY_S):
        keep_once(book, config, backups, tried)


def keep_once(book: Book, config: Config, backups: Path | None, tried: set[str]) -> None:
    """Do what is due now; what fails is said and tried no second time the same day."""
    try:
        stamp_if_waiting(book)
        if backups is not None:
            backup_of_the_day(book, config, backups, tried)
    except (LanewaterError, OSError) as error:
        LOG.error("not done: %s", error)


def stamp_if_waiting(book: Book) -> None:
    """Stamp lines that have waited for a quarter of an hour."""
    with book.reading() as connection:
        known, lines = latest(connection, book.site), log.size(connection, book.site)
    if not book.recording or not signs(book) or (known is not None and known[0] == lines):
        return
    age_ms = age_of(known, book.clock())
    if age_ms is None or age_ms >= STAMP_EVERY_MS:
        stamp(book)


def backup_of_the_day(book: Book, config: Config, backups: Path, tried: set[str]) -> None:
    """Make the day's backup after three at night by the site's clock, where there is none."""
    now = book.clock()
    local = EPOCH + now * MILLISECOND
    local += timedelta(minutes=offset_minutes(book.state.site.timezone, now))
    day = f"lanewater-{local:%Y-%m-%d}"
    if local.hour < BACKUP_HOUR or day in tried or (backups / day).exists():
        return
    tried.add(day)
    make_backup(book, config, Actor(), backups / day)
    LOG.info("backup made: %s", day)
