"""Sheets of the invented site."""

from __future__ import annotations

from datetime import date
from typing import Any

from tests.baths import GOOD, MORNING, Baths

from lanewater.reports.sheet import PoolSheet, Row, Sheet
from lanewater.service.actor import SHELL
from lanewater.service.rounds import correct_reading, record_round
from lanewater.service.sheet_days import day_at, sheet_wanted
from lanewater.service.sheets import sheet_of
from lanewater.service.stamping import stamp

ZONE = "America/Toronto"
FIRST_DAY = day_at(ZONE, MORNING)


def sheet(
    baths: Baths,
    first: date = FIRST_DAY,
    last: date | None = None,
    *,
    pools: tuple[str, ...] = (),
    stamped: bool = True,
) -> Sheet:
    """Make a sheet of the site, of its first day unless said."""
    wanted = sheet_wanted("Sheet", ZONE, first, last or first, pools)
    return sheet_of(baths.book, wanted, stamp(baths.book) if stamped else "")


def part(found: Sheet, pool: str = "main") -> PoolSheet:
    """Give one pool's part."""
    return next(row for row in found.pools if row.id == pool)


def rows(found: Sheet, *kinds: str, pool: str = "main") -> list[Row]:
    """Give a pool's rows of some kinds."""
    return [row for row in part(found, pool).rows if row.kind in kinds]


def late_round(baths: Baths, at: str, **more: Any) -> str:
    """Record a round that is entered later than it was taken."""
    given = {"pool": "main", "readings": GOOD, "at": at, **more}
    found: str = record_round(baths.book, baths.who("tester"), given)["round"]
    return found


def correct(baths: Baths, entry: str, parameter: str, value: str, reason: str = "misread") -> None:
    """Put a correction beside a reading."""
    change = {"round": entry, "parameter": parameter, "value": value, "reason": reason}
    correct_reading(baths.book, SHELL, change)
