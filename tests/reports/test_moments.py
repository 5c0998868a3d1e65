"""Times are said by the site's clock, with only what stands beside them left out."""

from __future__ import annotations

import pytest

from lanewater.reports.moments import (
    day_text,
    duration_text,
    minute_near,
    minute_text,
    site_clock,
    window_text,
)

MINUTE_MS = 60_000
HOUR_MS = 60 * MINUTE_MS
DAY_MS = 24 * HOUR_MS
# From 2026-11-01T06:00Z on, Toronto is five hours behind instead of four.
CHANGE_S = 1_793_512_800
TORONTO = site_clock([{"from": 0, "minutes": -240}, {"from": CHANGE_S, "minutes": -300}])
AT = CHANGE_S * 1000


def test_the_hour_that_comes_twice_is_said_twice() -> None:
    assert minute_text(TORONTO(AT - HOUR_MS)) == "2026-11-01 01:00"
    assert minute_text(TORONTO(AT - 1)) == "2026-11-01 01:59"
    assert minute_text(TORONTO(AT)) == "2026-11-01 01:00"


def test_before_the_first_offset_the_first_one_holds() -> None:
    clock = site_clock([{"from": 1_000_000, "minutes": 60}])
    assert clock(0).hour == 1


@pytest.mark.parametrize(
    ("from_ms", "to_ms", "text"),
    [
        (-20 * MINUTE_MS, MINUTE_MS, "11:40–12:01"),
        (-20 * HOUR_MS, MINUTE_MS, "31 Oct 17:00–12:01"),
        (-400 * DAY_MS, 0, "2025-09-27 13:00–12:00"),
        (-10, 10, "11:59–12:00"),
        (0, 10, "12:00"),
        (None, 2 * DAY_MS, "by 3 Nov 12:00"),
    ],
)
def test_a_window_names_the_day_only_where_it_is_another(
    from_ms: int | None, to_ms: int, text: str
) -> None:
    noon = AT + 11 * HOUR_MS
    known = None if from_ms is None else noon + from_ms
    assert window_text(TORONTO, known, noon + to_ms, noon) == text


def test_a_minute_of_another_year_has_its_year() -> None:
    assert minute_near(TORONTO(AT - 365 * DAY_MS), TORONTO(AT)) == "2025-11-01 02:00"


def test_a_day_is_written_with_its_weekday() -> None:
    assert day_text(TORONTO(AT)) == "Sun 1 Nov 2026"


@pytest.mark.parametrize(
    ("minutes", "text"),
    [
        (0, "0 min"),
        (59, "59 min"),
        (60, "1 h"),
        (252, "4 h 12 min"),
        (2879, "47 h 59 min"),
        (2880, "2 days"),
        (10_000, "6 days"),
    ],
)
def test_how_long_is_said_shortly(minutes: int, text: str) -> None:
    assert duration_text(minutes * MINUTE_MS) == text
