"""Whatever the schedule, the hours and the clock: one state a window, none on closed days."""

from __future__ import annotations

from collections import Counter
from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.kernel.deciding.schedule_cases import EPOCH_DAY, asked, day, duty, schedule

from lanewater.kernel.deciding.dutiesafter import done_with, row_in_time
from lanewater.kernel.deciding.opendays import day_begins, day_later, local_day, windows_of_day
from lanewater.kernel.deciding.readtimes import read_with
from lanewater.kernel.deciding.schedules import (
    duties_now,
    is_daily,
    state_of_window,
    windows_on,
)
from lanewater.service.clock import offsets_ahead

ZONES = (
    "America/Toronto",
    "Europe/Berlin",
    "Australia/Lord_Howe",
    "Australia/Adelaide",
    "Pacific/Auckland",
    "America/St_Johns",
    "Asia/Kathmandu",
)
STATES = {"met", "ahead", "due", "overdue", "missed"}
FIRST = day("2026-06-22")
DAY_S = 86400
FORMS = ("before-opening", "every", "times-a-day", "at", "clock", "calendar")


@st.composite
def schedules(draw: Any) -> dict[str, Any]:
    """Give a schedule that is told by the day."""
    return schedule(
        draw(st.sampled_from(FORMS)),
        seconds=draw(st.sampled_from((900, 1800, 7200, 14400))),
        count=draw(st.integers(1, 5)),
        unit="days",
        at=draw(st.sampled_from((["start"], ["start", "middle", "end"]))),
        clock=draw(st.lists(st.integers(0, 1439), min_size=1, max_size=3, unique=True)),
        grace_seconds=draw(st.sampled_from((0, 600))),
    )


@st.composite
def hours(draw: Any) -> list[dict[str, int]] | None:
    """Give opening hours: none stated, or some on some days, over midnight too."""
    if draw(st.booleans()):
        return None
    found = []
    for weekday in range(7):
        if draw(st.integers(0, 3)) > 0:
            opens = draw(st.integers(0, 1439))
            closes = draw(st.integers(1, 1440))
            if closes == opens:
                closes = closes % 1440 + 1
            found.append({"day": weekday, "opens": opens, "closes": closes})
    return found


@st.composite
def places(draw: Any) -> dict[str, Any]:
    """Give a pool with closed days and rounds somewhere in three weeks."""
    shut = draw(st.sets(st.integers(FIRST, FIRST + 21), max_size=12))
    times = draw(st.lists(st.integers(0, 14 * 1440), max_size=12))
    read = sorted((FIRST * DAY_S + minutes * 60) * 1000 for minutes in times)
    return asked(
        zone=draw(st.sampled_from(ZONES)),
        hours=draw(hours()),
        closed_days=sorted(shut),
        read=dict.fromkeys(("round", "free_chlorine", "ph"), read),
    )


@given(places(), schedules(), st.integers(0, 14 * 1440))
@settings(max_examples=150, deadline=None)
def test_nothing_is_due_or_missed_on_a_closed_day(
    facts: dict[str, Any], single: dict[str, Any], minutes: int
) -> None:
    now = FIRST * DAY_S + minutes * 60
    weekly = duty("backwash", "weeks", from_day=FIRST)
    facts = facts | {"schedules": [single, weekly]}
    for row in duties_now(facts, now * 1000):
        opened = [
            window
            for shift in (-1, 0, 1)
            for window in windows_of_day(facts, local_day(facts["offsets"], now) + shift)
        ]
        due = row["due_ms"] // 1000
        of = local_day(facts["offsets"], due - 1)
        assert any(windows_of_day(facts, of + shift) for shift in (-1, 0, 1)), row
        if row["state"] == "missed":
            assert any(window["opens"] - DAY_S // 24 <= due for window in opened)
    for shut in facts["closed_days"]:
        daily = single["form"] != "calendar" or is_daily(single)
        assert not daily or windows_on(facts, single, shut, now) == []


@given(places(), schedules(), st.integers(0, 14 * 1440))
@settings(max_examples=150, deadline=None)
def test_each_window_has_one_state_and_goes_through_them_in_order(
    facts: dict[str, Any], single: dict[str, Any], minutes: int
) -> None:
    order = ["ahead", "due", "overdue", "missed"]
    single = single | {"count": 1} if single["form"] == "calendar" else single
    now = FIRST * DAY_S + minutes * 60
    for window in windows_on(facts, single, local_day(facts["offsets"], now), now):
        moments = sorted({window["from"] - 1, window["from"], window["until"], window["ends"]})
        moments += [window["ends"] + 1]
        found = [state_of_window(single, window, moment) for moment in moments]
        assert set(found) <= STATES
        if window["met"]:
            assert set(found) == {"met"}
        else:
            places_ = [order.index(state) for state in found]
            assert places_ == sorted(places_)
            assert (found[0], found[-1]) == ("ahead", "missed")


@given(st.lists(st.tuples(st.integers(0, 9000), st.integers(0, 3)), max_size=40), st.randoms())
def test_the_order_in_which_rounds_and_duties_arrive_changes_nothing(
    given_times: list[tuple[int, int]], chance: Any
) -> None:
    mixed = list(given_times)
    chance.shuffle(mixed)
    one: dict[str, list[int]] = {}
    other: dict[str, list[int]] = {}
    for at, kind in given_times:
        one = read_with(one, [f"p{kind}"], at * 60_000)
    for at, kind in mixed:
        other = read_with(other, [f"p{kind}"], at * 60_000)
    assert one == other
    rows = [
        {"duty": f"d{kind}", "answer": "done", "at": at, "entry": f"e{place:02d}", "by": "p"}
        for place, (at, kind) in enumerate(given_times)
    ]
    again = list(rows)
    chance.shuffle(again)
    first: list[dict[str, Any]] = []
    second: list[dict[str, Any]] = []
    for row in rows:
        first = done_with(first, row)
    for row in again:
        second = done_with(second, row)
    assert first == second
    assert row_in_time(first, first[0]) == first if first else True


@given(st.sampled_from(ZONES), st.integers(0, 800), st.integers(0, 1439), st.integers(30, 1400))
@settings(max_examples=200, deadline=None)
def test_opening_hours_are_those_of_the_sites_clock_on_every_day_of_the_year(
    zone: str, ahead: int, opens: int, length: int
) -> None:
    single = date(2026, 1, 10) + timedelta(days=ahead % 400)
    closes = (opens + length) % 1440 or 1440
    facts = {
        "hours": [{"day": weekday, "opens": opens, "closes": closes} for weekday in range(7)],
        "offsets": offsets_ahead(zone, instant(single, 0, "UTC") * 1000, 460),
        "closed_days": [],
    }
    found = windows_of_day(facts, single.toordinal() - EPOCH_DAY)
    later = single + timedelta(days=1) if closes <= opens else single
    wanted = {"opens": instant(single, opens, zone), "closes": instant(later, closes, zone)}
    assert found == ([wanted] if wanted["opens"] < wanted["closes"] else [])


@pytest.mark.parametrize("zone", ZONES)
def test_on_the_days_of_a_clock_change_hours_begin_and_end_at_that_zones_own_instants(
    zone: str,
) -> None:
    offsets = offsets_ahead(zone, instant(date(2026, 1, 10), 0, "UTC") * 1000, 460)
    changes = [date.fromordinal(local_day(offsets, row["from"]) + EPOCH_DAY) for row in offsets[1:]]
    assert len(changes) == (0 if zone == "Asia/Kathmandu" else 3)
    for single in changes:
        for opens in range(0, 1440, 15):
            hours_ = [{"day": one, "opens": opens, "closes": 1440} for one in range(7)]
            facts = {"hours": hours_, "offsets": offsets, "closed_days": []}
            (found,) = windows_of_day(facts, single.toordinal() - EPOCH_DAY)
            assert found["opens"] == instant(single, opens, zone)
            assert found["closes"] == instant(single, 1440, zone)


def instant(single: date, minutes: int, zone: str) -> int:
    """Give UTC seconds of a clock time by Python's own zones; a skipped one as if not yet."""
    shown = datetime(single.year, single.month, single.day, tzinfo=ZoneInfo(zone))
    return int((shown + timedelta(minutes=minutes)).timestamp())


@pytest.mark.parametrize(
    ("zone", "single", "length"),
    [
        ("America/Toronto", "2026-03-08", 23),
        ("America/Toronto", "2026-11-01", 25),
        ("Europe/Berlin", "2026-03-29", 23),
        ("Europe/Berlin", "2026-10-25", 25),
        ("Australia/Lord_Howe", "2026-04-05", 24.5),
        ("Australia/Lord_Howe", "2026-10-04", 23.5),
        ("Asia/Kathmandu", "2026-03-29", 24),
    ],
)
def test_a_day_of_the_clock_change_has_as_many_hourly_tests_as_it_has_hours(
    zone: str, single: str, length: float
) -> None:
    """Of a pool that never shuts, each test done at its hour: the count follows the real hours."""
    of = day(single)
    first = (of - 20) * DAY_S * 1000
    facts = asked(schedule("every", seconds=3600), zone=zone, first=first, hours=None)
    begins, ends = (day_begins(facts["offsets"], one) for one in (of, of + 1))
    assert (ends - begins) / 3600 == length
    tests: list[int] = []
    while True:
        facts["read"] = {name: [at * 1000 for at in tests] for name in ("free_chlorine", "ph")}
        now = tests[-1] if tests else begins
        windows = windows_on(facts, facts["schedules"][0], of, now)
        if not windows:
            break
        assert len(windows) == 1
        tests.append(windows[0]["until"])
    assert len(tests) == -(-length // 1)
    assert tests[0] == begins


@given(st.integers(day("2024-01-01"), day("2040-12-31")), st.integers(1, 30))
def test_months_and_years_are_counted_as_the_calendar_does(single: int, count: int) -> None:
    start = date.fromordinal(single + EPOCH_DAY)
    months = start.year * 12 + start.month - 1 + count
    year, month = months // 12, months % 12 + 1
    following = date(year + month // 12, month % 12 + 1, 1)
    last = (following - timedelta(days=1)).day
    wanted = date(year, month, min(start.day, last)).toordinal() - EPOCH_DAY
    assert day_later(single, count, "months") == wanted
    if count <= 10:
        assert day_later(single, count, "years") == day_later(single, 12 * count, "months")
    assert day_later(single, count, "weeks") == day_later(single, 7 * count, "days")


@given(places(), st.integers(0, 14 * 1440))
@settings(max_examples=60, deadline=None)
def test_of_a_daily_test_every_open_day_has_one_window_and_every_other_none(
    facts: dict[str, Any], minutes: int
) -> None:
    daily = schedule("calendar", unit="days", count=1)
    now = FIRST * DAY_S + minutes * 60
    counts = Counter(
        len(windows_on(facts, daily, of, now)) - bool(windows_of_day(facts, of))
        for of in range(FIRST, FIRST + 14)
    )
    assert set(counts) == {0}
    assert datetime.fromtimestamp(now, UTC) > datetime(2026, 6, 1, tzinfo=UTC)
