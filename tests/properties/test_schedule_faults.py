"""Faults put into the schedules on purpose: the tests of schedules find each of them."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from tests.kernel.deciding import test_schedules as told
from tests.properties import test_schedules as held

from lanewater.kernel.deciding import due, opendays, readtimes, roundsasked, schedules, windowsdue
from lanewater.kernel.deciding.due import offset_at

Plant = Callable[[pytest.MonkeyPatch], None]


def closed_days_forgotten(patch: pytest.MonkeyPatch) -> None:
    """A holiday is a day like any other."""
    patch.setattr(opendays, "closed_of", lambda _case: [])


def controllers_trusted(patch: pytest.MonkeyPatch) -> None:
    """A probe's number counts as a test by hand."""
    real = readtimes.when_read

    def read(facts: dict[str, Any], parameter: str, _by: str) -> list[int]:
        return real(facts, parameter, "any")

    patch.setattr(readtimes, "when_read", read)


def offset_after(patch: pytest.MonkeyPatch) -> None:
    """A skipped hour counts by the offset after the change."""

    def instant(offsets: list[dict[str, Any]], local: int) -> int:
        return local - offset_at(offsets, local - offset_at(offsets, local))

    patch.setattr(due, "instant_of_local", instant)


def unknown_is_relief(patch: pytest.MonkeyPatch) -> None:
    """What nobody measured makes a stricter schedule go away."""
    real = schedules.applies

    def applies(case: Any, conditions: Any, oldest: int) -> dict[str, Any]:
        found = real(case, conditions, oldest)
        return found | {"holds": found["holds"] and not found["assumed"]}

    patch.setattr(schedules, "applies", applies)


def missed_forgotten(patch: pytest.MonkeyPatch) -> None:
    """A window that ended is told no more."""
    real = schedules.state_of_window

    def state(schedule: Any, window: Any, now: int) -> str:
        found: str = real(schedule, window, now)
        return "met" if found == "missed" else found

    patch.setattr(schedules, "state_of_window", state)


def grace_for_ever(patch: pytest.MonkeyPatch) -> None:
    """A test is never overdue."""
    real = schedules.state_of_window

    def state(schedule: Any, window: Any, now: int) -> str:
        found: str = real(schedule, window, now)
        return "due" if found == "overdue" else found

    patch.setattr(schedules, "state_of_window", state)


def opening_never_looked_at(patch: pytest.MonkeyPatch) -> None:
    """Any round at all was before the opening."""
    patch.setattr(roundsasked, "any_between", lambda *_: True)


def late_is_in_time(patch: pytest.MonkeyPatch) -> None:
    """A repeated test is never too late."""
    patch.setattr(windowsdue, "LATE_SECONDS", 10**9)


def spacing_forgotten(patch: pytest.MonkeyPatch) -> None:
    """Two samples of one day are two samples."""
    real = readtimes.last_counted

    def last(facts: Any, schedule: Any, until: int) -> int | None:
        found: int | None = real(facts, schedule | {"spacing_days": 0}, until)
        return found

    patch.setattr(windowsdue, "last_counted", last)


FAULTS: dict[Plant, Callable[[], None]] = {
    closed_days_forgotten: told.test_nothing_is_due_or_missed_on_a_closed_day,
    controllers_trusted: (
        told.test_montana_without_a_manual_test_before_opening_is_a_breach_though_a_probe_recorded
    ),
    offset_after: lambda: (
        held.test_on_the_days_of_a_clock_change_hours_begin_and_end_at_that_zones_own_instants(
            "America/St_Johns"
        )
    ),
    unknown_is_relief: (
        told.test_oregon_hourly_holds_where_too_little_stabiliser_was_measured_for_the_relief
    ),
    missed_forgotten: told.test_a_missed_window_is_told_on_its_day_only,
    grace_for_ever: (told.test_victoria_four_hours_and_ten_minutes_after_the_last_test_is_overdue),
    opening_never_looked_at: (
        told.test_a_pool_opened_before_any_round_of_the_day_is_a_breach_by_itself
    ),
    late_is_in_time: told.test_a_repeated_test_that_came_much_too_late_is_told_as_missed,
    spacing_forgotten: told.test_samples_taken_too_soon_after_each_other_do_not_count,
}


@pytest.mark.parametrize("plant", FAULTS, ids=lambda plant: plant.__name__)
def test_a_planted_fault_is_found(plant: Plant, monkeypatch: pytest.MonkeyPatch) -> None:
    plant(monkeypatch)
    with pytest.raises((AssertionError, IndexError)):
        FAULTS[plant]()
