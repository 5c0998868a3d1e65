"""Days of a site: when they begin, when a pool opens on them, and days later by the calendar.

A day is counted from 1970-01-01 by the site's own clock; instants are UTC seconds.
"""

from typing import Any

from lanewater.kernel.deciding.due import (
    DAY,
    closed_of,
    instant_of_local,
    offset_at,
    openings_between,
    weekday_of,
)
from lanewater.kernel.deciding.inorder import placed_by

MOST_DAYS_SHUT = 62
MONTH_DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
FIRST_YEAR = 1970
MONTHS = 12


def day_begins(offsets: list[dict[str, Any]], day: int) -> int:
    """Give when a day begins. [UTC s]

    Parameters
    ----------
    offsets : list of dict
        As `offset_at` takes them.
    day : int
        The site's day.
    """
    return instant_of_local(offsets, day * DAY)


def local_day(offsets: list[dict[str, Any]], instant: int) -> int:
    """Give the site's day at an instant.

    Parameters
    ----------
    offsets : list of dict
        As `offset_at` takes them.
    instant : int
        UTC seconds.
    """
    return (instant + offset_at(offsets, instant)) // DAY


def windows_of_day(case: dict[str, Any], day: int) -> list[dict[str, Any]]:
    """Give the openings that begin on a day, the earliest first; none on a closed day.

    Parameters
    ----------
    case : dict
        "hours", "offsets" and "closed_days"? as for `openings_between`. Without hours a day that is
        not a closed one is one opening from its beginning to its end.
    day : int
        The site's day.

    Returns
    -------
    list of dict
        {"opens", "closes"} in UTC seconds.
    """
    offsets = case["offsets"]
    if day in closed_of(case):
        return []
    if case["hours"] is None:
        whole = {"opens": day_begins(offsets, day), "closes": day_begins(offsets, day + 1)}
        return [whole]
    single = []
    for hours in case["hours"]:
        if hours["day"] == weekday_of(day):
            single.append(hours)
    case_of_day = {"hours": single, "offsets": offsets}
    found: list[dict[str, Any]] = []
    begins = day_begins(offsets, day)
    for window in openings_between(case_of_day, begins, day_begins(offsets, day + 1) - 1):
        if window["opens"] >= begins and window["opens"] < window["closes"]:
            found = window_placed(found, window)
    return found


def window_placed(rows: list[dict[str, Any]], window: dict[str, Any]) -> list[dict[str, Any]]:
    """Put an opening where its beginning belongs."""
    return placed_by(rows, window, "opens")


def first_day_open(case: dict[str, Any], day: int) -> int | None:
    """Give the first day from one on on which the pool opens; None where none is near."""
    for later in range(day, day + MOST_DAYS_SHUT):
        if len(windows_of_day(case, later)) > 0:
            return later
    return None


def day_ends(case: dict[str, Any], day: int) -> int:
    """Give the last closing of a day, or its end where the pool does not open on it. [UTC s]"""
    windows = windows_of_day(case, day)
    if len(windows) == 0:
        return day_begins(case["offsets"], day + 1)
    latest: int = windows[0]["closes"]
    for window in windows:
        latest = max(latest, window["closes"])
    return latest


def leaps(year: int) -> bool:
    """Tell whether a year has a 29 February."""
    if year % 100 == 0:
        return year % 400 == 0
    return year % 4 == 0


def days_of_month(year: int, month: int) -> int:
    """Give how many days a month (1 to 12) has."""
    if month == 2 and leaps(year):
        return 29
    return MONTH_DAYS[month - 1]


def days_before(year: int, month: int) -> int:
    """Give the day on which a month begins, counted from 1970-01-01."""
    found = 0
    for earlier in range(FIRST_YEAR, year):
        found = found + (366 if leaps(earlier) else 365)
    for earlier in range(1, month):
        found = found + days_of_month(year, earlier)
    return found


def months_later(day: int, months: int) -> int:
    """Give the same day of a later month, or that month's last day where it has no such day."""
    year = FIRST_YEAR
    while days_before(year + 1, 1) <= day:
        year = year + 1
    month = 1
    while month < MONTHS and days_before(year, month + 1) <= day:
        month = month + 1
    of_month = day - days_before(year, month)
    place = month - 1 + months
    year = year + place // MONTHS
    month = place % MONTHS + 1
    return days_before(year, month) + min(of_month, days_of_month(year, month) - 1)


def day_later(day: int, count: int, unit: str) -> int:
    """Give the day so many days, weeks, months or years after another.

    Parameters
    ----------
    day : int
        From 1970-01-01 on.
    count : int
        How many.
    unit : str
        days, weeks, months or years.
    """
    if unit == "days":
        return day + count
    if unit == "weeks":
        return day + count * 7
    if unit == "months":
        return months_later(day, count)
    return months_later(day, count * MONTHS)
