"""Instants as UTC milliseconds, their texts, and a site's offset from UTC."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from datetime import datetime, timedelta
from functools import lru_cache
from typing import Any
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from lanewater.terms.errors import InputError
from lanewater.terms.instants import EPOCH, MILLISECOND, instant_text, known_instant

__all__ = ["instant_text", "known_instant"]

Clock = Callable[[], int]

DAY_MS = 86_400_000
MINUTE_MS = 60_000
EARLIEST_MS = 0
# What the kernel gives in UTC ms and people and programs read as text.
TOLD_INSTANTS = ("at", "since", "until", "confirmed", "lifted", "notice", "due_at", "met_at")
LATEST_MS = 4_102_444_800_000  # 2100-01-01


def system_clock() -> int:
    """Give the machine's time in UTC milliseconds."""
    return time.time_ns() // 1_000_000


def instant_ms(text: object, field: str) -> int:
    """Read a time that somebody handed in.

    Parameters
    ----------
    text : object
        RFC 3339 with an offset or Z, from 1970 to 2100.
    field : str
        Its name, for the error.

    Raises
    ------
    InputError
        Where it is no such time.
    """
    moment = None
    if isinstance(text, str) and len(text) <= 40:
        try:
            moment = datetime.fromisoformat(text)
        except ValueError:
            moment = None
    if moment is None or moment.tzinfo is None or "T" not in str(text):
        raise InputError(field, "must be a time with its offset, such as 2026-07-01T05:51:00+02:00")
    try:
        instant = (moment - EPOCH) // MILLISECOND
    except OverflowError:
        instant = -1
    if not EARLIEST_MS <= instant < LATEST_MS:
        raise InputError(field, "must lie between 1970 and 2100")
    return instant


def in_text(value: Any) -> Any:
    """Give what the kernel tells of a pool with every instant as text; judgements as they are."""
    if isinstance(value, Mapping):
        return {key: told_in_text(key, item) for key, item in value.items()}
    if isinstance(value, list):
        return [in_text(item) for item in value]
    return value


def told_in_text(key: str, item: Any) -> Any:
    """Give one thing of what the kernel tells."""
    if key == "verdict":
        return item
    return instant_text(item) if key in TOLD_INSTANTS and type(item) is int else in_text(item)


def zone(name: str, field: str = "timezone") -> ZoneInfo:
    """Find a time zone by its name.

    Raises
    ------
    InputError
        Where there is no such zone.
    """
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise InputError(
            field, f"{name[:40]!r} is not a time zone; such as America/Toronto or Europe/Tallinn"
        ) from None


def offset_minutes(zone_name: str, instant: int) -> int:
    """Give a zone's offset from UTC in minutes at an instant (UTC milliseconds)."""
    offset = (EPOCH + instant * MILLISECOND).astimezone(ZoneInfo(zone_name)).utcoffset()
    return int((offset or timedelta()).total_seconds()) // 60


def offsets_ahead(zone_name: str, now_ms: int, days: int = 400) -> list[dict[str, int]]:
    """Give a zone's offset now and its changes ahead, as the kernel wants them.

    Returns
    -------
    list of dict
        {"from": UTC seconds, "minutes": offset}, from eight days ago on.
    """
    found = offsets_from_day(zone_name, now_ms // DAY_MS - 8, days)
    return [{"from": start, "minutes": minutes} for start, minutes in found]


@lru_cache(maxsize=64)
def offsets_from_day(zone_name: str, day: int, days: int) -> tuple[tuple[int, int], ...]:
    """Find the changes of offset from a day (since 1970) on, to the minute."""
    start = day * DAY_MS
    found = [(start // 1000, offset_minutes(zone_name, start))]
    for step in range(days):
        before, after = start + step * DAY_MS, start + (step + 1) * DAY_MS
        if offset_minutes(zone_name, after) != found[-1][1]:
            while after - before > MINUTE_MS:
                middle = (before + after) // 2 // MINUTE_MS * MINUTE_MS
                if offset_minutes(zone_name, middle) == found[-1][1]:
                    before = middle
                else:
                    after = middle
            found.append((after // 1000, offset_minutes(zone_name, after)))
    return tuple(found)
