"""Tests that were due and not done: the rules' or the plan's interval against opening hours."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from lanewater.kernel.deciding.due import openings_between
from lanewater.kernel.deciding.opendays import day_begins
from lanewater.reports.sheet import Plan

MINUTE_MS = 60_000
# JUDG: a test this much after it was due is not called a gap; a round takes about so long.
GRACE_MS = 15 * MINUTE_MS

Span = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Gap:
    """A test that was due and not done in time.

    Attributes
    ----------
    due_ms, until_ms : int
        From when it was due until the next round, the closing, or the end of what is looked at.
    missed : int
        How many tests should have been done in that time.
    done : bool
        Whether a round ended it.
    opening : bool
        Whether it was the test before an opening.
    """

    due_ms: int
    until_ms: int
    missed: int
    done: bool
    opening: bool


def gaps_of(
    plans: Sequence[Plan],
    closed: Sequence[Span],
    rounds: Sequence[int],
    period: Span,
    offsets: Sequence[dict[str, int]],
) -> list[Gap]:
    """Find a pool's tests that were due and not done.

    Parameters
    ----------
    plans : sequence of Plan
        Oldest first; each holds until the next.
    closed : sequence of (int, int)
        When the pool was closed or shut on record, in order. [UTC ms]
    rounds : sequence of int
        When it was tested, oldest first; the last one before the period belongs to it. [UTC ms]
    period : (int, int)
        What is looked at. [UTC ms]
    offsets : sequence of dict
        The site's offsets from UTC.

    Returns
    -------
    list of Gap
        Oldest first; none where neither rules nor plan say how often.
    """
    found: list[Gap] = []
    for plan, span in plan_spans(plans, period):
        if not plan.every_ms and not plan.before_ms:
            continue
        for stretch, opening in open_stretches(plan, span, closed, offsets):
            found += gaps_in(plan, stretch, opening=opening, rounds=rounds)
    return found


def plan_spans(plans: Sequence[Plan], period: Span) -> Iterator[tuple[Plan, Span]]:
    """Give each plan with the part of the period in which it held."""
    for place, plan in enumerate(plans):
        end = plans[place + 1].from_ms if place + 1 < len(plans) else period[1]
        span = max(plan.from_ms, period[0]), min(end, period[1])
        if span[0] < span[1]:
            yield plan, span


def windows_of(plan: Plan, span: Span, offsets: Sequence[dict[str, int]]) -> list[Span]:
    """Give the opening hours that touch a span of time; where none are stated, its open days."""
    case: dict[str, Any] = {
        "hours": plan.hours,
        "offsets": list(offsets),
        "closed_days": list(plan.closed_days),
    }
    if plan.hours is None:
        shut = [day_span(case["offsets"], day) for day in sorted(plan.closed_days)]
        return list(without(shut, *span))
    found = openings_between(case, span[0] // 1000, span[1] // 1000)
    windows = sorted((row["opens"] * 1000, row["closes"] * 1000) for row in found)
    return [window for window in windows if window[0] < span[1] and window[1] > span[0]]


def day_span(offsets: list[dict[str, Any]], day: int) -> Span:
    """Give from when to when a day is."""
    return day_begins(offsets, day) * 1000, day_begins(offsets, day + 1) * 1000


def open_stretches(
    plan: Plan, span: Span, closed: Sequence[Span], offsets: Sequence[dict[str, int]]
) -> Iterator[tuple[Span, bool]]:
    """Give when the pool was open, and whether each stretch begins with the hours' opening."""
    for opens, closes in windows_of(plan, span, offsets):
        start, end = max(opens, span[0]), min(closes, span[1])
        for first, last in without(closed, start, end):
            yield (first, last), plan.hours is not None and first == opens


def without(closed: Sequence[Span], start: int, end: int) -> Iterator[Span]:
    """Give what is left of a stretch of time outside the closed spans."""
    for shut, again in closed:
        if again <= start or shut >= end:
            continue
        if shut > start:
            yield start, shut
        start = max(start, again)
    if start < end:
        yield start, end


def gaps_in(plan: Plan, stretch: Span, *, opening: bool, rounds: Sequence[int]) -> Iterator[Gap]:
    """Find the gaps of one stretch in which the pool was open."""
    start, end = stretch
    place = bisect_left(rounds, start + 1)
    last = rounds[place - 1] if place else None
    unopened = opening and plan.before_ms and untested(rounds, start - plan.before_ms, start)
    if unopened or (plan.every_ms and last is None):
        due = start
    elif plan.every_ms and last is not None:
        due = max(start, last + plan.every_ms)
    else:
        return
    while due + GRACE_MS < end:
        following = rounds[place] if place < len(rounds) else end + 1
        until = min(following, end)
        if until > due + GRACE_MS:
            later = (until - GRACE_MS - due - 1) // plan.every_ms if plan.every_ms else 0
            yield Gap(due, until, 1 + later, following <= end, opening and due == start)
        if following >= end or not plan.every_ms:
            return
        due = following + plan.every_ms
        place += 1


def untested(rounds: Sequence[int], start: int, end: int) -> bool:
    """Tell whether no round was taken from one instant to another."""
    place = bisect_left(rounds, start)
    return place == len(rounds) or rounds[place] > end
