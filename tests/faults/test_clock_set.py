"""The clock set ahead or back, or jumping by law: order stays, days stay the site's own."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from tests.faults.checking import hold_record

from lanewater.records.entries import Entry, read
from lanewater.records.store import log
from lanewater.service.actor import ANYBODY, SHELL
from lanewater.service.book import Book, open_book
from lanewater.service.clock import instant_text, known_instant
from lanewater.service.config import Config
from lanewater.service.context import pool_context
from lanewater.service.judging import local_date
from lanewater.service.now import now_page
from lanewater.service.rounds import record_round
from lanewater.service.set_up import add, new_site
from lanewater.service.sheet_days import midnight_ms
from lanewater.terms.errors import InputError

READINGS = {"free_chlorine": "1.52", "total_chlorine": "1.68", "ph": "7.43"}
SECOND_MS, MINUTE_MS, HOUR_MS, DAY_MS = 1000, 60_000, 3_600_000, 86_400_000
NOON = "2026-05-15T12:00:00Z"
# Both hemispheres; a jump of half an hour; one at midnight, so that a day begins at 01:00; the
# first and the last place to reach a day; an offset of quarters of an hour.
JUMPING = (
    *("America/Toronto", "Europe/Tallinn", "Australia/Sydney", "Australia/Lord_Howe"),
    *("America/Santiago", "America/Havana"),
)
ZONES = (*JUMPING, "Pacific/Kiritimati", "Etc/GMT+12", "Asia/Kathmandu")
Cases = Callable[[str], list[int]]


def ms(text: str) -> int:
    """Read an instant."""
    return known_instant(text)


def offset(zone: str, instant: int) -> timedelta:
    """Give a zone's offset from the standard library alone."""
    found = datetime.fromtimestamp(instant / 1000, UTC).astimezone(ZoneInfo(zone)).utcoffset()
    assert found is not None
    return found


def day_of(zone: str, instant: int) -> date:
    """Give a zone's day from the standard library alone."""
    return datetime.fromtimestamp(instant / 1000, UTC).astimezone(ZoneInfo(zone)).date()


def jumps(zone: str) -> list[int]:
    """Find the instants of a year at which a zone's offset jumps."""
    start, found = ms("2027-01-01T00:00:00Z"), []
    for hour in range(365 * 24):
        at = start + hour * HOUR_MS
        if offset(zone, at) != offset(zone, at + HOUR_MS):
            minutes = (at + minute * MINUTE_MS for minute in range(1, 61))
            found.append(next(one for one in minutes if offset(zone, one) != offset(zone, at)))
    return found


def around(*instants: int) -> list[int]:
    """Give instants before and after some, to the second and to the hour."""
    steps = (-HOUR_MS, -SECOND_MS, 0, SECOND_MS, HOUR_MS)
    return [instant + step for instant in instants for step in steps]


def local_midnight(zone: str, instant: int) -> int:
    """Give about when a zone's next day begins."""
    while day_of(zone, instant) == day_of(zone, instant + HOUR_MS):
        instant += HOUR_MS
    return instant + HOUR_MS - instant % HOUR_MS


SET: dict[str, Cases] = {
    "a day ahead and back": lambda _: [ms(NOON), ms(NOON) + DAY_MS, ms(NOON) + MINUTE_MS],
    "a year ahead and back": lambda _: [ms(NOON), ms(NOON) + 365 * DAY_MS, ms(NOON) + MINUTE_MS],
    "a day back": lambda _: [ms(NOON), ms(NOON) - DAY_MS, ms(NOON) - DAY_MS + MINUTE_MS],
    "a year back": lambda _: [ms(NOON), ms(NOON) - 365 * DAY_MS, ms(NOON) + DAY_MS],
    "back in mid-shift": lambda _: [ms(NOON) + step * MINUTE_MS for step in (0, 5, -52, -47, 8)],
    "to 1970": lambda _: [ms(NOON), DAY_MS, ms(NOON) + MINUTE_MS],
    "the last second of 31 bits": lambda _: around(ms("2038-01-19T03:14:07Z")),
}
DAYS: dict[str, Cases] = {
    "midnight": lambda zone: around(local_midnight(zone, ms(NOON))),
    "the year's end": lambda zone: around(local_midnight(zone, ms("2026-12-31T20:00:00Z"))),
    "a leap day": lambda zone: around(local_midnight(zone, ms("2028-02-28T18:00:00Z"))),
}
JUMPS: dict[str, Cases] = {"the jumps": lambda zone: around(*jumps(zone))}
CASES = SET | DAYS | JUMPS
RUNS = (
    *((case, zone) for case in SET for zone in ZONES[2:4]),
    *((case, zone) for case in DAYS for zone in ZONES),
    *((case, zone) for case in JUMPS for zone in JUMPING),
)


class Site:
    """A site in a zone, with a clock that the test sets."""

    def __init__(self, folder: Path, zone: str) -> None:
        self.config = Config(folder)
        self.zone = zone
        self.now_ms = ms(NOON) - DAY_MS

    def clock(self) -> int:
        """Give the set time."""
        return self.now_ms

    def open(self) -> Book:
        """Open its book."""
        return open_book(self.config, clock=self.clock)

    def make(self) -> None:
        """Set it up with a pool."""
        new_site(self.config, {"name": "Far", "timezone": self.zone}, clock=self.clock)
        book = self.open()
        facts = {"kind": "plunge", "location": "indoor", "disinfectant": "chlorine"}
        hours = [{"day": day, "opens": "00:00", "closes": "24:00"} for day in range(7)]
        plunge = {"pool": "plunge", "name": "Plunge", "facts": facts, "hours": hours}
        add(book, SHELL, "pool", plunge | {"interval_minutes": 240})
        book.close()


@pytest.fixture(scope="module")
def sites(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Make a site in each zone once."""
    place = tmp_path_factory.mktemp("zones")
    made = {}
    for number, zone in enumerate(ZONES):
        made[zone] = place / str(number)
        Site(made[zone], zone).make()
    return made


@pytest.fixture
def site(sites: dict[str, Path], tmp_path: Path, zone: str) -> Site:
    """Give a copy of a zone's site."""
    shutil.copytree(sites[zone], tmp_path / "data")
    return Site(tmp_path / "data", zone)


def record_at(site: Site, book: Book, instants: list[int]) -> list[str]:
    """Record a round at each instant, in this order, and look at the pages then."""
    ids = []
    for instant in instants:
        site.now_ms = instant
        ids.append(record_round(book, ANYBODY, {"pool": "plunge", "readings": READINGS})["round"])
        assert now_page(book, instant)["recording"] is True
        pool_context(book, "plunge", instant)
    return ids


def rounds_of(book: Book) -> list[Entry]:
    """Give the rounds on record, by their place."""
    entries = [read(row.raw) for row in log.rows_from(book.connection, book.site, 0)]
    return [entry for entry in entries if entry.type == "round-recorded"]


def hold_days(book: Book, zone: str, entry: Entry, instant: int) -> None:
    """Hold an entry to its instant, its offset, and the only day of the site that it lies in."""
    day = day_of(zone, instant)
    assert entry.at == entry.rec == instant_text(instant)
    assert timedelta(minutes=entry.off) == offset(zone, instant)
    assert (EPOCH + timedelta(milliseconds=instant, minutes=entry.off)).date() == day
    assert local_date(book.state, instant) == day.isoformat()
    assert midnight_ms(zone, day) <= instant < midnight_ms(zone, day + timedelta(days=1))


EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


@pytest.mark.parametrize(("case", "zone"), RUNS)
def test_order_stays_and_every_round_lies_in_its_own_day(site: Site, zone: str, case: str) -> None:
    instants = CASES[case](zone)
    book = site.open()
    said = record_at(site, book, instants)
    book.close()
    book = site.open()
    try:
        rounds = rounds_of(book)
        assert [entry.id for entry in rounds] == said
        for entry, instant in zip(rounds, instants, strict=True):
            hold_days(book, zone, entry, instant)
        hold_record(book)
        record_at(site, book, [max(instants) + HOUR_MS])
    finally:
        book.close()


@pytest.mark.parametrize("zone", ["America/Toronto"])
def test_a_leap_second_is_refused_by_name(site: Site) -> None:
    book = site.open()
    given = {"pool": "plunge", "readings": READINGS, "at": "2016-12-31T23:59:60Z"}
    with pytest.raises(InputError, match=r"^at: "):
        record_round(book, ANYBODY, given)
    book.close()


def test_the_zones_jump_where_the_cases_need_them_to() -> None:
    assert sum(len(jumps(zone)) for zone in ZONES) == 2 * 6
    santiago = [day_of("America/Santiago", jump) for jump in jumps("America/Santiago")]
    midnights = [midnight_ms("America/Santiago", day) for day in santiago]
    # The day of the spring jump begins with it, at 01:00 by the clock.
    assert set(midnights) & set(jumps("America/Santiago"))


def test_a_day_told_by_the_offset_of_now_would_be_caught() -> None:
    # The planted fault: the offset of one moment taken for another.
    for zone in ("Europe/Tallinn", "Australia/Sydney"):
        wrong = [
            instant
            for jump in jumps(zone)
            for midnight in [local_midnight(zone, jump)]
            for instant in around(midnight)
            if (EPOCH + timedelta(milliseconds=instant) + offset(zone, jump - DAY_MS)).date()
            != day_of(zone, instant)
        ]
        assert wrong
