"""Tests that were due and not done are found, and closed days are none."""

from __future__ import annotations

from typing import Any

import pytest

from lanewater.reports.gaps import GRACE_MS, MINUTE_MS, Gap, gaps_of
from lanewater.reports.sheet import Plan

HOUR = 60 * MINUTE_MS
DAY = 24 * HOUR
UTC = [{"from": 0, "minutes": 0}]
# 1970-01-05 was a Monday.
MONDAY = 4 * DAY
TEN_TO_EIGHT = [{"day": day, "opens": 600, "closes": 1200} for day in range(7)]
OPENS, CLOSES = MONDAY + 10 * HOUR, MONDAY + 20 * HOUR


def plan(**changes: Any) -> Plan:
    """Give a plan of a test every four hours from ten to eight, with changes."""
    given = {"from_ms": 0, "hours": TEN_TO_EIGHT, "every_ms": 4 * HOUR, "before_ms": 0, "why": ""}
    return Plan(**(given | changes))


def gaps(rounds: list[int], closed: tuple[tuple[int, int], ...] = (), **changes: Any) -> list[Gap]:
    """Give the gaps of that Monday."""
    return gaps_of([plan(**changes)], closed, rounds, (MONDAY, MONDAY + DAY), UTC)


def test_a_day_tested_in_time_has_no_gap() -> None:
    assert gaps([OPENS - 30 * MINUTE_MS, OPENS + 3 * HOUR, OPENS + 7 * HOUR]) == []


def test_a_day_without_any_test_is_one_gap_that_counts_every_test_that_was_due() -> None:
    assert gaps([]) == [Gap(OPENS, CLOSES, 3, done=False, opening=True)]


def test_a_test_done_too_late_is_a_gap_until_it_was_done() -> None:
    rounds = [OPENS, OPENS + 7 * HOUR]
    assert gaps(rounds) == [Gap(OPENS + 4 * HOUR, OPENS + 7 * HOUR, 1, done=True, opening=False)]


@pytest.mark.parametrize(("over_ms", "found"), [(0, 0), (1, 1)])
def test_a_few_minutes_after_the_due_time_are_no_gap_and_a_moment_more_is(
    over_ms: int, found: int
) -> None:
    rounds = [OPENS, OPENS + 4 * HOUR + GRACE_MS + over_ms, OPENS + 8 * HOUR]
    assert len(gaps(rounds)) == found


def test_a_pool_closed_on_record_has_no_gap_while_it_is_closed() -> None:
    assert gaps([], ((MONDAY - DAY, MONDAY + 2 * DAY),)) == []
    found = gaps([], ((OPENS + 3 * HOUR, OPENS + 9 * HOUR),))
    assert [(gap.due_ms, gap.until_ms) for gap in found] == [
        (OPENS, OPENS + 3 * HOUR),
        (OPENS + 9 * HOUR, CLOSES),
    ]


def test_a_closing_just_before_the_due_time_asks_for_no_test() -> None:
    assert gaps([OPENS], ((OPENS + 4 * HOUR, MONDAY + DAY),)) == []


def test_an_opening_without_a_test_shortly_before_it_is_a_gap() -> None:
    early = OPENS - 3 * HOUR
    later = OPENS + 1 * HOUR
    found = gaps([early, later, OPENS + 5 * HOUR, OPENS + 9 * HOUR], before_ms=HOUR)
    assert found == [Gap(OPENS, later, 1, done=True, opening=True)]
    assert gaps([OPENS - HOUR, OPENS + 3 * HOUR, OPENS + 7 * HOUR], before_ms=HOUR) == []


def test_an_opening_test_is_asked_for_where_no_interval_is() -> None:
    only = {"every_ms": 0, "before_ms": HOUR}
    assert gaps([], **only) == [Gap(OPENS, CLOSES, 1, done=False, opening=True)]
    assert gaps([OPENS - 1], **only) == []


def test_where_neither_rules_nor_plan_say_how_often_no_gap_is_claimed() -> None:
    assert gaps([], every_ms=0) == []


def test_a_pool_without_stated_hours_is_due_at_any_hour() -> None:
    found = gaps([MONDAY - HOUR], hours=None)
    assert [(gap.due_ms, gap.missed) for gap in found] == [(MONDAY + 3 * HOUR, 6)]


def test_a_day_without_hours_has_no_gap() -> None:
    assert gaps([], hours=[{"day": 2, "opens": 600, "closes": 1200}]) == []


def test_each_set_up_holds_from_its_own_time_on() -> None:
    plans = [plan(every_ms=0), plan(from_ms=OPENS + 5 * HOUR)]
    found = gaps_of(plans, (), [], (MONDAY, MONDAY + DAY), UTC)
    assert [(gap.due_ms, gap.missed) for gap in found] == [(OPENS + 5 * HOUR, 2)]


def test_what_is_not_over_yet_is_looked_at_up_to_now() -> None:
    found = gaps_of([plan()], (), [OPENS], (MONDAY, OPENS + 6 * HOUR), UTC)
    assert found == [Gap(OPENS + 4 * HOUR, OPENS + 6 * HOUR, 1, done=False, opening=False)]
    assert gaps_of([plan()], (), [OPENS], (MONDAY, OPENS + 4 * HOUR), UTC) == []
