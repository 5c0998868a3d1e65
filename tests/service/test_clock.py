"""Instants in and out, and a zone's offset."""

from __future__ import annotations

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lanewater.service.clock import (
    LATEST_MS,
    instant_ms,
    instant_text,
    known_instant,
    offset_minutes,
    offsets_ahead,
    zone,
)
from lanewater.terms.errors import InputError


@given(st.integers(0, LATEST_MS - 1))
def test_an_instant_comes_back_from_its_text(instant: int) -> None:
    text = instant_text(instant)
    assert known_instant(text) == instant == instant_ms(text, "at")
    assert len(text) == 24


@pytest.mark.parametrize(
    "text",
    [
        "",
        "now",
        "2026-07-01",
        "2026-07-01T05:51:00",
        "2026-13-01T05:51:00Z",
        "1969-12-31T23:59:59Z",
        "2100-01-01T00:00:00Z",
        "9999-12-31T23:59:59-14:00",
        "0001-01-01T00:00:00+14:00",
        5,
        None,
        [],
        "2026-07-01T05:51:00Z" + " " * 50,
    ],
)
def test_what_is_no_time_with_an_offset_is_refused_by_name(text: object) -> None:
    with pytest.raises(InputError, match=r"^at: "):
        instant_ms(text, "at")


@pytest.mark.parametrize("name", ["", "Mars/Base", "../../etc/passwd", "/etc/passwd", "a\0b"])
def test_what_is_no_zone_is_refused_by_name(name: str) -> None:
    with pytest.raises(InputError, match=r"^timezone: "):
        zone(name)


@pytest.mark.parametrize("name", ["America/Toronto", "Australia/Lord_Howe", "Asia/Tokyo"])
def test_offsets_ahead_are_those_of_the_zone_hour_by_hour(name: str) -> None:
    now = instant_ms("2026-03-01T00:00:00Z", "at")
    ahead = offsets_ahead(name, now, days=260)
    for hour in range(0, 250 * 24, 5):
        instant = now // 1000 + hour * 3600
        said = [row["minutes"] for row in ahead if row["from"] <= instant][-1]
        offset = datetime.fromtimestamp(instant, UTC).astimezone(ZoneInfo(name)).utcoffset()
        assert offset is not None
        assert said == offset.total_seconds() // 60 == offset_minutes(name, instant * 1000)
