"""A sheet's days are the site's own, across a change of the clocks too."""

from __future__ import annotations

from datetime import date

import pytest

from lanewater.service.clock import instant_ms, instant_text
from lanewater.service.sheet_days import (
    day_at,
    day_named,
    days_of_month,
    midnight_ms,
    sheet_wanted,
)
from lanewater.terms.errors import InputError

HOUR_MS = 3_600_000


@pytest.mark.parametrize(
    ("zone", "day", "begins", "hours"),
    [
        ("America/Toronto", date(2026, 7, 1), "2026-07-01T04:00:00.000Z", 24),
        ("America/Toronto", date(2026, 3, 8), "2026-03-08T05:00:00.000Z", 23),
        ("America/Toronto", date(2026, 11, 1), "2026-11-01T04:00:00.000Z", 25),
        ("Pacific/Auckland", date(2026, 7, 1), "2026-06-30T12:00:00.000Z", 24),
        ("UTC", date(2026, 2, 28), "2026-02-28T00:00:00.000Z", 24),
    ],
)
def test_a_day_is_from_midnight_to_midnight_at_the_site(
    zone: str, day: date, begins: str, hours: int
) -> None:
    assert instant_text(midnight_ms(zone, day)) == begins
    wanted = sheet_wanted("Day", zone, day, day)
    assert wanted.until_ms - wanted.since_ms == hours * HOUR_MS
    assert day_at(zone, wanted.since_ms) == day_at(zone, wanted.until_ms - 1) == day
    assert day_at(zone, wanted.since_ms - 1) < day


def test_a_month_has_all_its_days() -> None:
    assert days_of_month("2028-02", "m") == (date(2028, 2, 1), date(2028, 2, 29))
    assert days_of_month("2026-12", "m") == (date(2026, 12, 1), date(2026, 12, 31))


@pytest.mark.parametrize(
    "text", ["", "2026-02-30", "20260201", "2026-W01-1", "1969-12-31", "٢٠٢٦-01-01"]
)
def test_what_is_no_day_is_refused(text: str) -> None:
    with pytest.raises(InputError, match="no day"):
        day_named(text, "--date")


def test_today_is_the_sites() -> None:
    late = instant_ms("2026-07-02T02:00:00+00:00", "at")
    assert day_at("America/Toronto", late) == date(2026, 7, 1)
