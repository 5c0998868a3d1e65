"""Which days a sheet is of: a day, a month, from one day to another, at the site's own clock."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta

from lanewater.service.clock import DAY_MS, MINUTE_MS, offset_minutes
from lanewater.service.sheets import Wanted
from lanewater.terms.errors import InputError
from lanewater.terms.instants import EPOCH, MILLISECOND

DATE = re.compile(r"\d{4}-\d\d-\d\d", re.ASCII)
MONTH = re.compile(r"\d{4}-\d\d", re.ASCII)
FIRST, LAST = date(1970, 1, 1), date(2099, 12, 31)
# JUDG: longer than any code asks a record to be kept, short enough to be worked out.
MOST_DAYS = 366 * 11


def day_at(timezone: str, instant_ms: int) -> date:
    """Give the site's day at an instant (UTC milliseconds)."""
    shifted = instant_ms + offset_minutes(timezone, instant_ms) * MINUTE_MS
    return (EPOCH + shifted * MILLISECOND).date()


def midnight_ms(timezone: str, day: date) -> int:
    """Give the instant at which a day begins at the site, at 01:00 where midnight is left out."""
    local = (datetime(day.year, day.month, day.day, tzinfo=UTC) - EPOCH) // MILLISECOND
    offsets = {offset_minutes(timezone, local + side * DAY_MS) for side in (-1, 1)}
    begins = (local - offset * MINUTE_MS for offset in offsets)
    return min(instant for instant in begins if day_at(timezone, instant) >= day)


def day_named(text: str, field: str) -> date:
    """Read a day.

    Raises
    ------
    InputError
        Where it is none between 1970 and 2099.
    """
    try:
        day = date.fromisoformat(text) if DATE.fullmatch(text) else None
    except ValueError:
        day = None
    if day is None or not FIRST <= day <= LAST:
        raise InputError(field, f"{text[:20]!r} is no day such as 2026-11-25")
    return day


def days_of_month(text: str, field: str) -> tuple[date, date]:
    """Give the first and last day of a month such as 2026-11."""
    if MONTH.fullmatch(text) is None:
        raise InputError(field, f"{text[:20]!r} is no month such as 2026-11")
    first = day_named(f"{text}-01", field)
    following = (first + timedelta(days=31)).replace(day=1)
    return first, following - timedelta(days=1)


def sheet_wanted(
    title: str, timezone: str, first: date, last: date, pools: tuple[str, ...] = ()
) -> Wanted:
    """Say which sheet is wanted: from one day to another, both included.

    Raises
    ------
    InputError
        Where the last day lies before the first, or eleven years after it.
    """
    if last < first:
        raise InputError("to", f"{last} lies before {first}")
    if (last - first).days > MOST_DAYS:
        raise InputError("to", "more than eleven years at once")
    until = midnight_ms(timezone, last + timedelta(days=1))
    return Wanted(title, midnight_ms(timezone, first), until, pools)
