"""When the next test is due, and what is said where nothing asks for one."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lanewater.kernel.deciding.due import (
    instant_of_local,
    next_due,
    open_by_hours,
    openings_between,
    weekday_of,
)

HOUR = 3600
DAILY = [{"day": day, "opens": 390, "closes": 1320} for day in range(7)]  # 06:30 to 22:00


def at(text: str) -> int:
    """Give UTC seconds."""
    return int(datetime.fromisoformat(text).replace(tzinfo=UTC).timestamp())


def case(**changes: Any) -> dict[str, Any]:
    """Give a case in which nothing asks for a test, with changes."""
    plain: dict[str, Any] = {
        "now": at("2026-07-01T10:00"),
        "last": at("2026-07-01T08:00"),
        "pack": {"every_seconds": 0, "detail": "this rules pack holds no test interval"},
        "plan": {"every_seconds": 0, "before_opening_seconds": 0},
        "retests": [],
        "events": [],
        "hours": None,
        "offsets": [],
    }
    return plain | changes


def plan(hours: int, before: int = 0) -> dict[str, int]:
    """Give a site plan."""
    return {"every_seconds": hours * HOUR, "before_opening_seconds": before}


def test_without_any_interval_it_is_said_in_words() -> None:
    answer = next_due(case())
    assert answer["at"] is None
    assert answer["why"] == "no-interval"
    assert answer["detail"] == "this rules pack holds no test interval"


def test_the_earliest_of_rules_plan_retest_and_event_wins() -> None:
    pack = {"every_seconds": 4 * HOUR, "detail": "s. 9"}
    everything = case(
        pack=pack,
        plan=plan(3),
        events=[{"at": at("2026-07-01T10:50"), "detail": "storm"}],
        retests=[{"at": at("2026-07-01T10:40"), "detail": "addition"}],
    )
    assert next_due(everything) | {"at": None} == {
        "at": None,
        "why": "retest",
        "detail": "addition",
        "every_seconds": 0,
    }
    everything["retests"] = []
    assert next_due(everything)["why"] == "event"
    everything["events"] = []
    assert next_due(everything)["why"] == "plan-interval"
    assert next_due(everything)["at"] == at("2026-07-01T11:00")
    everything["plan"] = plan(5)
    assert (next_due(everything)["why"], next_due(everything)["detail"]) == (
        "pack-interval",
        "s. 9",
    )


def test_a_pool_never_tested_is_due_now() -> None:
    answer = next_due(case(last=None, plan=plan(2)))
    assert (answer["at"], answer["why"]) == (at("2026-07-01T10:00"), "no-round-yet")


def test_a_test_that_falls_in_the_night_is_due_at_the_opening() -> None:
    late = case(now=at("2026-07-01T21:30"), last=at("2026-07-01T21:00"), plan=plan(4), hours=DAILY)
    answer = next_due(late)
    assert (answer["at"], answer["why"]) == (at("2026-07-02T06:30"), "before-opening")


def test_a_missed_opening_test_stays_due_at_the_opening() -> None:
    missed = case(
        now=at("2026-07-02T10:00"), last=at("2026-07-01T21:00"), plan=plan(4), hours=DAILY
    )
    assert next_due(missed)["at"] == at("2026-07-02T06:30")


def test_a_round_long_before_opening_does_not_serve_for_it() -> None:
    early = case(
        now=at("2026-07-02T05:00"),
        last=at("2026-07-02T04:00"),
        plan=plan(0, before=HOUR),
        hours=DAILY,
    )
    assert next_due(early)["at"] == at("2026-07-02T06:30")
    early["last"] = at("2026-07-02T05:30")
    assert next_due(early)["at"] == at("2026-07-03T06:30")


def test_a_pool_without_hours_ahead_says_so() -> None:
    answer = next_due(case(plan=plan(2), hours=[]))
    assert (answer["at"], answer["why"]) == (None, "no-opening-ahead")


def test_hours_past_midnight_belong_to_the_evening_before() -> None:
    night = case(hours=[{"day": 2, "opens": 1200, "closes": 120}])  # Wednesday 20:00 to 02:00
    assert open_by_hours(night, at("2026-07-02T01:59"))
    assert not open_by_hours(night, at("2026-07-02T02:00"))
    assert not open_by_hours(night, at("2026-07-01T19:59"))


def test_the_day_of_the_week_is_right() -> None:
    for day in range(20_000, 20_014):
        assert weekday_of(day) == datetime.fromtimestamp(day * 86400, UTC).weekday()


def offsets_of(zone: str, year: int) -> list[dict[str, int]]:
    """Give a zone's offsets through one year, hour by hour."""
    changes: list[dict[str, int]] = []
    start = int(datetime(year, 1, 1, tzinfo=UTC).timestamp())
    for hour in range(366 * 24):
        instant = start + hour * HOUR
        offset = datetime.fromtimestamp(instant, ZoneInfo(zone)).utcoffset()
        assert offset is not None
        minutes = int(offset.total_seconds()) // 60
        if not changes or changes[-1]["minutes"] != minutes:
            changes.append({"from": instant, "minutes": minutes})
    return changes


@pytest.mark.parametrize("zone", ["America/Toronto", "Australia/Sydney", "Europe/Tallinn", "UTC"])
@given(day=st.integers(1, 360), minute=st.integers(4 * 60, 24 * 60 - 1))
def test_local_hours_become_the_same_instant_as_the_time_zone_says(
    zone: str, day: int, minute: int
) -> None:
    local = at("2026-01-01T00:00") + day * 86400 + minute * 60
    wall = datetime.fromtimestamp(local, UTC).replace(tzinfo=ZoneInfo(zone))
    assert instant_of_local(OFFSETS[zone], local) == int(wall.timestamp())


OFFSETS = {
    zone: offsets_of(zone, 2026)
    for zone in ("America/Toronto", "Australia/Sydney", "Europe/Tallinn", "UTC")
}


def test_the_clock_change_moves_the_opening() -> None:
    berlin = case(hours=DAILY, offsets=offsets_of("Europe/Berlin", 2026))
    spring = openings_between(berlin, at("2026-03-28T12:00"), at("2026-03-29T12:00"))
    assert [row["opens"] for row in spring] == [at("2026-03-28T05:30"), at("2026-03-29T04:30")]
