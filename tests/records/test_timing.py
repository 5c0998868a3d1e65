"""A claimed time is held against what the record proves, by named thresholds."""

from __future__ import annotations

import pytest

from lanewater.records.timing import (
    CLOCK_OFF_MS,
    CLOCKS_APART_MS,
    ON_TIME_MS,
    TIMINGS,
    Claim,
    timing_of,
)

TEN = 36_000_000
HOUR = 3_600_000


def claim(**changes: object) -> Claim:
    """Give a claim of ten o'clock that is on record at once, with changes."""
    given = {"claimed_ms": TEN, "written_ms": TEN, "received_ms": TEN, "known_from_ms": TEN - HOUR}
    return Claim(**(given | changes))  # type: ignore[arg-type]  # changes of any kind


def test_on_record_at_once_is_on_time() -> None:
    assert timing_of(claim()) == "on-time"


@pytest.mark.parametrize(("over_ms", "timing"), [(0, "on-time"), (1, "sent-later")])
def test_on_record_within_the_hour_is_on_time_and_a_moment_later_only_sent_later(
    over_ms: int, timing: str
) -> None:
    assert timing_of(claim(received_ms=TEN + ON_TIME_MS + over_ms)) == timing


@pytest.mark.parametrize(("over_ms", "timing"), [(0, "sent-later"), (1, "back-dated")])
def test_a_line_that_it_knew_proves_that_it_was_written_too_late(over_ms: int, timing: str) -> None:
    late = TEN + ON_TIME_MS + over_ms
    assert timing_of(claim(known_from_ms=late, received_ms=TEN + 5 * HOUR)) == timing


def test_its_own_device_that_wrote_it_hours_later_says_so_even_where_it_knew_no_line() -> None:
    later = TEN + 3 * HOUR
    assert timing_of(claim(written_ms=later, received_ms=later, known_from_ms=None)) == "back-dated"


@pytest.mark.parametrize("source", ["late", "paper"])
def test_an_entry_that_says_itself_it_is_late_or_from_paper_is_not_called_back_dated(
    source: str,
) -> None:
    later = TEN + 30 * HOUR
    found = claim(source=source, written_ms=later, received_ms=later, known_from_ms=later - 1)
    assert timing_of(found) == source


@pytest.mark.parametrize(("over_ms", "timing"), [(0, "on-time"), (1, "ahead")])
def test_a_time_claimed_for_after_it_was_on_record_is_ahead(over_ms: int, timing: str) -> None:
    assert timing_of(claim(claimed_ms=TEN + CLOCKS_APART_MS + over_ms)) == timing


@pytest.mark.parametrize("sign", [1, -1])
def test_a_clock_measured_to_be_ten_minutes_off_is_never_on_time(sign: int) -> None:
    assert timing_of(claim(clock_off_ms=sign * CLOCK_OFF_MS)) == "on-time"
    assert timing_of(claim(clock_off_ms=sign * (CLOCK_OFF_MS + 1))) == "clock-off"


@pytest.mark.parametrize(("over_ms", "timing"), [(0, "on-time"), (1, "clock-off")])
def test_a_line_that_came_before_the_line_it_knew_shows_that_a_clock_was_set_back(
    over_ms: int, timing: str
) -> None:
    assert timing_of(claim(known_from_ms=TEN + CLOCKS_APART_MS + over_ms)) == timing


def test_no_wrong_clock_hides_that_an_entry_was_written_later() -> None:
    later = TEN + 3 * HOUR
    found = claim(known_from_ms=later, received_ms=later, clock_off_ms=HOUR)
    assert timing_of(found) == "back-dated"


def test_every_class_is_one_of_the_list() -> None:
    assert {"on-time", "late", "paper", "back-dated", "sent-later", "ahead", "clock-off"} == set(
        TIMINGS
    )
