"""Instants of the record: UTC milliseconds and their one text."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
MILLISECOND = timedelta(milliseconds=1)


def instant_text(instant_ms: int) -> str:
    """Write UTC milliseconds as 2026-11-25T05:58:00.000Z."""
    moment = EPOCH + instant_ms * MILLISECOND
    return moment.strftime("%Y-%m-%dT%H:%M:%S.") + f"{moment.microsecond // 1000:03d}Z"


def known_instant(text: str) -> int:
    """Read a time of our own record, which was checked when it was written."""
    return (datetime.fromisoformat(text) - EPOCH) // MILLISECOND
