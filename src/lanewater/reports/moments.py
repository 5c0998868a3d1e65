"""Times in words, by the site's own clock."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Sequence
from datetime import UTC, datetime, timedelta
from typing import Any

Local = Callable[[int], datetime]

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


def site_clock(offsets: Sequence[dict[str, Any]]) -> Local:
    """Make the site's clock: UTC milliseconds to the wall clock there.

    Parameters
    ----------
    offsets : sequence of dict
        {"from": UTC seconds, "minutes": offset from then on}, oldest first; the first one holds
        before itself too.
    """
    starts = [change["from"] for change in offsets[1:]]
    shifts = [timedelta(minutes=change["minutes"]) for change in offsets]

    def local(instant_ms: int) -> datetime:
        shift = shifts[bisect_right(starts, instant_ms // 1000)]
        return EPOCH + timedelta(milliseconds=instant_ms) + shift

    return local


def minute_text(moment: datetime) -> str:
    """Write 2026-11-03 05:51; what is under a minute is cut off, never rounded up."""
    return moment.strftime("%Y-%m-%d %H:%M")


def day_text(moment: datetime) -> str:
    """Write Tue 3 Nov 2026."""
    return f"{moment:%a} {moment.day} {moment:%b %Y}"


def short_text(moment: datetime) -> str:
    """Write 3 Nov 05:51, where the year stands elsewhere."""
    return f"{moment.day} {moment:%b %H:%M}"


def minute_near(moment: datetime, other: datetime) -> str:
    """Write a minute beside another one: without the date where it is the same day."""
    if moment.date() == other.date():
        return moment.strftime("%H:%M")
    return short_text(moment) if moment.year == other.year else minute_text(moment)


def window_text(local: Local, known_from_ms: int | None, received_ms: int, at_ms: int) -> str:
    """Say between which times something came on record, beside the time it claims.

    Returns
    -------
    str
        "05:40–05:52", or "by 05:52" where nothing bounds it from below.
    """
    claimed, end = local(at_ms), local(received_ms)
    to = minute_near(end, claimed)
    if known_from_ms is None:
        return f"by {to}"
    start = minute_near(local(known_from_ms), claimed)
    return to if start == to else f"{start}–{to}"


def duration_text(milliseconds: int) -> str:
    """Say how long: 35 min, 4 h, 4 h 12 min, 3 days."""
    minutes = milliseconds // 60_000
    if minutes >= 2 * 24 * 60:
        return f"{minutes // (24 * 60)} days"
    hours, rest = divmod(minutes, 60)
    if not hours:
        return f"{rest} min"
    return f"{hours} h {rest} min" if rest else f"{hours} h"
