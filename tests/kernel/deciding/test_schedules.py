"""What rules and site ask for: ahead, due, overdue, missed; never missed on a closed day."""

from __future__ import annotations

from typing import Any

import pytest
from tests.kernel.deciding.deciding_cases import reading
from tests.kernel.deciding.schedule_cases import (
    HOUR,
    asked,
    at,
    day,
    duty,
    read_at,
    schedule,
    word,
)

from lanewater.kernel.deciding.duenow import due_now
from lanewater.kernel.deciding.schedules import duties_now

BEFORE = schedule("before-opening", seconds=1800)
FOUR_HOURS = schedule("every", seconds=4 * HOUR)
MORNING_READ = read_at(at("2026-07-01T06:45"), at("2026-07-01T08:00"))
OPEN = word("open", at("2026-07-01T07:00"))


def states(facts: dict[str, Any], now: str) -> list[str]:
    """Give the states of all that is due, in the order of time."""
    return [row["state"] for row in duties_now(facts, at(now))]


def first(facts: dict[str, Any], now: str) -> tuple[str, int]:
    """Give the state of what comes first, and until when."""
    row = duties_now(facts, at(now))[0]
    return row["state"], row["due_ms"]


# --- Before opening ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("now", "state"),
    [
        ("2026-07-01T06:29", "ahead"),
        ("2026-07-01T06:30", "due"),
        ("2026-07-01T07:00", "due"),
        ("2026-07-01T07:01", "missed"),
        ("2026-07-01T23:59", "missed"),
    ],
)
def test_a_test_before_opening_is_due_in_its_window_and_missed_after_it(
    now: str, state: str
) -> None:
    assert first(asked(BEFORE), now) == (state, at("2026-07-01T07:00"))


def test_a_missed_window_is_told_on_its_day_only() -> None:
    assert states(asked(BEFORE), "2026-07-01T08:00") == ["missed", "ahead"]
    assert states(asked(BEFORE), "2026-07-02T00:01") == ["ahead"]


def test_a_test_in_the_window_leaves_the_next_day_ahead() -> None:
    facts = asked(BEFORE, read=read_at(at("2026-07-01T06:40")))
    assert first(facts, "2026-07-01T06:45") == ("ahead", at("2026-07-02T07:00"))


def test_a_test_of_the_evening_before_is_no_test_before_opening() -> None:
    facts = asked(BEFORE, read=read_at(at("2026-06-30T20:50"), at("2026-07-01T06:20")))
    assert first(facts, "2026-07-01T08:00")[0] == "missed"


def test_a_pool_opened_late_was_tested_before_it_really_opened() -> None:
    opened = word("open", at("2026-07-01T09:00"))
    facts = asked(BEFORE, opening=opened, read=read_at(at("2026-07-01T08:45")))
    assert states(facts, "2026-07-01T10:00") == ["ahead"]


def test_montana_without_a_manual_test_before_opening_is_a_breach_though_a_probe_recorded() -> None:
    manual = schedule("before-opening", seconds=3600, by="hand", clause="37.115.1307")
    probe = [at("2026-07-01T06:30"), at("2026-07-01T06:59")]
    trace = {"orp_mv": probe, "controller_free": probe, "controller_ph": probe}
    facts = asked(manual, read=trace, opening=OPEN)
    missed = [row for row in duties_now(facts, at("2026-07-01T12:00")) if row["state"] == "missed"]
    assert [(row["id"], row["clause"]) for row in missed if row["id"] == "rules:test"] == [
        ("rules:test", "37.115.1307")
    ]
    by_hand = asked(manual, read={**trace, **read_at(at("2026-07-01T06:30"))}, opening=OPEN)
    assert states(by_hand, "2026-07-01T12:00") == ["ahead"]


def test_what_a_controller_shows_counts_where_the_rules_let_it_but_a_voltage_is_no_chlorine() -> (
    None
):
    probe = [at("2026-07-01T06:45")]
    shown = {"controller_free": probe, "controller_ph": probe}
    assert states(asked(BEFORE, read=shown), "2026-07-01T08:00") == ["ahead"]
    voltage = {"orp_mv": probe, "controller_ph": probe}
    assert "missed" in states(asked(BEFORE, read=voltage), "2026-07-01T08:00")


def test_a_pool_opened_before_any_round_of_the_day_is_a_breach_by_itself() -> None:
    facts = asked(opening=OPEN, read=read_at(at("2026-06-30T20:00")))
    row = duties_now(facts, at("2026-07-01T09:00"))[0]
    assert (row["id"], row["state"], row["due_ms"]) == (
        "opened-before-test",
        "missed",
        at("2026-07-01T07:00"),
    )
    tested_later = asked(opening=OPEN, read=read_at(at("2026-07-01T07:10")))
    assert duties_now(tested_later, at("2026-07-01T09:00"))[0]["id"] == "opened-before-test"
    tested_first = asked(opening=OPEN, read=read_at(at("2026-07-01T06:10")))
    assert duties_now(tested_first, at("2026-07-01T09:00")) == []
    assert duties_now(facts, at("2026-07-02T09:00")) == []


# --- Repeated while open -------------------------------------------------------------------


def test_victoria_four_hours_and_ten_minutes_after_the_last_test_is_overdue() -> None:
    facts = asked(FOUR_HOURS, opening=OPEN, read=MORNING_READ)
    assert first(facts, "2026-07-01T12:10") == ("overdue", at("2026-07-01T12:00"))
    assert first(facts, "2026-07-01T12:00")[0] == "due"
    assert first(facts, "2026-07-01T11:44")[0] == "ahead"


def test_grace_is_kept_before_a_test_is_overdue() -> None:
    kind = schedule("every", seconds=4 * HOUR, grace_seconds=600)
    facts = asked(kind, opening=OPEN, read=MORNING_READ)
    assert first(facts, "2026-07-01T12:10")[0] == "due"
    assert first(facts, "2026-07-01T12:11")[0] == "overdue"


def test_a_repeated_test_that_came_much_too_late_is_told_as_missed() -> None:
    facts = asked(
        FOUR_HOURS,
        opening=OPEN,
        read=read_at(at("2026-07-01T06:50"), at("2026-07-01T13:00")),
    )
    rows = duties_now(facts, at("2026-07-01T13:05"))
    assert [(row["state"], row["why"]) for row in rows] == [("missed", "late"), ("ahead", "")]
    assert rows[0]["due_ms"] == at("2026-07-01T10:50")
    assert rows[1]["due_ms"] == at("2026-07-01T17:00")


def test_nothing_is_asked_while_closed_and_the_first_test_after_is_due_when_it_opens() -> None:
    facts = asked(FOUR_HOURS, read=MORNING_READ)
    closed = {**facts, "opening": word("closed", at("2026-07-01T09:00"))}
    assert states(closed, "2026-07-01T15:00") == []
    again = {**facts, "opening": word("open", at("2026-07-01T15:00"))}
    assert first(again, "2026-07-01T15:05") == ("overdue", at("2026-07-01T15:00"))


def test_oregon_hourly_holds_where_too_little_stabiliser_was_measured_for_the_relief() -> None:
    """OAR 333-060-0200: the four hours are a relief for 30 ppm or more."""
    low = {
        "of": "reading",
        "name": "cyanuric_acid",
        "comparison": "below",
        "limit_thousandths": 30_000,
        "if_not_read": [],
        "known": False,
    }
    hourly = schedule("every", seconds=HOUR, id="rules:hourly", when=[low])
    relief = schedule("every", seconds=4 * HOUR, id="rules:relief")
    of = {"pool": {}, "parameters": ["cyanuric_acid"], "borrow_seconds": 30 * 86400}
    read = MORNING_READ

    def due(values: list[dict[str, Any]]) -> int:
        facts = asked(hourly, relief, opening=OPEN, read=read, read_values=values, asked_of=of)
        return first(facts, "2026-07-01T08:05")[1]

    def measured(value: str) -> list[dict[str, Any]]:
        earlier = at("2026-06-30T08:00") // 1000
        return [{"at": earlier, "readings": [reading("cyanuric_acid", value)]}]

    assert due(measured("25")) == at("2026-07-01T09:00")
    assert due([]) == at("2026-07-01T09:00")
    assert due(measured("29.9")) == at("2026-07-01T09:00")
    assert due(measured("30")) == at("2026-07-01T12:00")


# --- So many times, at parts of the day, at times of the clock ---------------------------------


def test_three_times_a_day_are_spread_over_the_opening_and_missed_after_the_closing() -> None:
    three = schedule("times-a-day", count=3)
    none = asked(three)
    assert states(none, "2026-07-01T06:00") == ["due", "ahead", "ahead"]
    assert states(none, "2026-07-01T20:59") == ["overdue", "overdue", "due"]
    assert states(none, "2026-07-01T21:01") == ["missed", "missed", "missed", "ahead"]
    times = [at(f"2026-07-01T{hour}") for hour in ("06:45", "06:55", "12:00", "19:00")]
    assert states(asked(three, read=read_at(*times[:2])), "2026-07-01T07:00") == ["ahead", "ahead"]
    assert states(asked(three, read=read_at(*times)), "2026-07-01T21:01") == ["ahead"]


def test_start_middle_and_end_have_each_their_window() -> None:
    facts = asked(schedule("at", at=["start", "middle", "end"]))
    assert states(facts, "2026-07-01T06:30") == ["due", "ahead", "ahead"]
    assert states(facts, "2026-07-01T14:00") == ["missed", "due", "ahead"]
    late = {**facts, "read": read_at(at("2026-07-01T14:00"), at("2026-07-01T20:30"))}
    assert states(late, "2026-07-01T21:00") == ["missed", "ahead"]


def test_a_clock_time_counts_about_it_and_only_where_it_lies_in_the_opening() -> None:
    facts = asked(schedule("clock", clock=[9 * 60, 23 * 60]))
    assert first(facts, "2026-07-01T08:29")[0] == "ahead"
    assert first(facts, "2026-07-01T09:30")[0] == "due"
    assert states(facts, "2026-07-01T09:31") == ["missed", "ahead"]
    wide = asked(schedule("clock", clock=[13 * 60], grace_seconds=HOUR))
    assert first(wide, "2026-07-01T13:59")[0] == "due"


# --- After what happened -----------------------------------------------------------------------


def rain(text: str) -> dict[str, Any]:
    """Give that it rained."""
    return {"what": "rain", "at": at(text), "entry": "e1", "by": "p1", "words": ""}


def test_after_rain_a_test_is_owed_until_it_is_done() -> None:
    after = schedule("after", after=["rain", "addition"], seconds=HOUR)
    facts = asked(after, events=[rain("2026-07-01T10:00")], read=read_at(at("2026-07-01T09:59")))
    assert first(facts, "2026-07-01T10:30") == ("due", at("2026-07-01T11:00"))
    assert first(facts, "2026-07-01T11:01")[0] == "overdue"
    assert first(facts, "2026-07-02T11:01")[0] == "overdue"
    done = {**facts, "read": read_at(at("2026-07-01T10:20"))}
    assert states(done, "2026-07-01T10:30") == []


def test_after_rain_in_the_night_the_test_is_due_when_the_pool_opens() -> None:
    facts = asked(schedule("after", after=["rain"], seconds=HOUR))
    facts["events"] = [rain("2026-07-01T22:30")]
    assert first(facts, "2026-07-01T23:45") == ("due", at("2026-07-02T07:00"))


# --- By the calendar ---------------------------------------------------------------------------


def test_a_weekly_duty_is_ahead_until_its_day_due_on_it_and_overdue_after() -> None:
    weekly = duty("backwash", "weeks", from_day=day("2026-07-01"))
    facts = asked(weekly)
    assert first(facts, "2026-06-30T12:00") == ("ahead", at("2026-07-01T21:00"))
    assert first(facts, "2026-07-01T12:00")[0] == "due"
    assert first(facts, "2026-07-02T12:00")[0] == "overdue"
    said = {"duty": "site:backwash", "answer": "done", "at": at("2026-07-02T13:00"), "entry": "d"}
    assert first({**facts, "duties_done": [said]}, "2026-07-02T13:01") == (
        "ahead",
        at("2026-07-09T21:00"),
    )
    not_done = {**said, "answer": "not-done"}
    assert first({**facts, "duties_done": [not_done]}, "2026-07-02T13:01")[0] == "overdue"


def test_a_balance_that_was_read_is_done_without_a_tap() -> None:
    both = read_at(at("2026-07-02T08:00"), parameters=("total_alkalinity", "calcium_hardness"))
    weekly = duty("balance", "weeks", from_day=day("2026-07-01"))
    assert first(asked(weekly, read=both), "2026-07-02T09:00")[0] == "ahead"
    one = read_at(at("2026-07-02T08:00"), parameters=("total_alkalinity",))
    assert first(asked(weekly, read=one), "2026-07-02T09:00")[0] == "overdue"


def test_what_was_never_done_is_due_today_and_not_said_to_be_overdue() -> None:
    facts = asked(duty("stabiliser", "weeks"))
    assert first(facts, "2026-07-01T12:00") == ("due", at("2026-07-01T21:00"))
    assert first(facts, "2026-07-01T22:00") == ("ahead", at("2026-07-02T21:00"))


def test_a_month_later_is_the_same_day_or_the_last_of_the_month() -> None:
    monthly = duty("kit-check", "months")
    said = {"duty": "site:kit-check", "answer": "done", "entry": "d"}
    facts = asked(monthly, duties_done=[{**said, "at": at("2026-08-31T12:00")}])
    assert first(facts, "2026-09-01T12:00")[1] == at("2026-09-30T21:00")


def test_samples_taken_too_soon_after_each_other_do_not_count() -> None:
    twice = schedule("calendar", unit="weeks", count=2, spacing_days=10, duty="microbiology")
    times = (at("2026-07-01T09:00"), at("2026-07-05T09:00"))
    facts = asked(twice, read=read_at(*times, parameters=("e_coli",)))
    assert first(facts, "2026-07-06T12:00")[1] == at("2026-07-15T21:00")
    far = (at("2026-07-01T09:00"), at("2026-07-11T09:00"))
    facts = asked(twice, read=read_at(*far, parameters=("e_coli",)))
    assert first(facts, "2026-07-12T12:00")[1] == at("2026-07-25T21:00")


def test_before_the_season_is_told_when_the_pool_opens_after_a_month_shut() -> None:
    season = schedule("before-season", duty="microbiology")
    shut = [day("2026-06-01") + more for more in range(30)]
    facts = asked(season, closed_days=shut, first=at("2026-05-20T00:00"))
    assert first(facts, "2026-06-25T12:00") == ("due", at("2026-07-01T07:00"))
    assert first(facts, "2026-07-01T08:00")[0] == "missed"
    assert states(asked(season), "2026-07-01T08:00") == []


# --- Closed days -------------------------------------------------------------------------------


def test_nothing_is_due_or_missed_on_a_closed_day() -> None:
    forms = [
        BEFORE,
        FOUR_HOURS,
        schedule("times-a-day", count=3),
        schedule("at", at=["start", "middle", "end"]),
        schedule("clock", clock=[540]),
        schedule("calendar", unit="days", count=1),
        duty("backwash", "weeks", from_day=day("2026-07-01")),
    ]
    facts = asked(*forms, closed_days=[day("2026-07-01")])
    for now in ("2026-07-01T06:45", "2026-07-01T12:00", "2026-07-01T23:00"):
        assert set(states(facts, now)) == {"ahead"}
    assert min(row["due_ms"] for row in duties_now(facts, at("2026-07-01T12:00"))) == at(
        "2026-07-02T07:00"
    )


def test_what_is_asked_while_closed_is_asked_on_a_closed_day() -> None:
    daily = schedule("calendar", unit="days", count=1, while_closed=True)
    facts = asked(daily, closed_days=[day("2026-07-01")])
    assert first(facts, "2026-07-01T12:00") == ("due", at("2026-07-02T00:00"))


def test_the_next_round_follows_the_schedules_of_the_rules_and_skips_closed_days() -> None:
    facts = asked(BEFORE, FOUR_HOURS, closed_days=[day("2026-07-02")])
    facts |= {"read": read_at(at("2026-07-01T20:00")), "opening": OPEN}
    found = due_now(facts, at("2026-07-01T22:00"))
    assert (found["at"], found["why"], found["detail"]) == (
        at("2026-07-03T07:00"),
        "schedule",
        "s. 1: Test.",
    )


def test_a_duty_that_reads_no_round_moves_no_round() -> None:
    facts = asked(duty("stabiliser", "days"))
    assert due_now(facts, at("2026-07-01T12:00"))["at"] is None
