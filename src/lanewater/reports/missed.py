"""What schedules of rules and site asked for, and nobody did: rows of gaps with their clause.

Days on which the pool was not open, on record or by its closed days, are no gaps. A schedule whose
condition hangs on what was read is not told here: what was known then is not worked out again.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from lanewater.kernel.deciding.opendays import day_begins, local_day
from lanewater.kernel.deciding.roundsasked import OPENED_AFTER_SECONDS
from lanewater.kernel.deciding.schedules import is_daily, state_of_window, windows_on
from lanewater.reports.gaps import GRACE_MS, Gap, Span, plan_spans
from lanewater.reports.pieces import Pieces, of_kind
from lanewater.reports.sheet import Line, PoolPart, Row

SECOND_MS = 1000
UNTESTED = "opened before any test of the day"
DAILY_FORMS = ("before-opening", "every", "times-a-day", "at", "clock")


Missed = tuple[Mapping[str, Any], Mapping[str, Any]]


def missed_in(
    part: PoolPart,
    own: Sequence[Line],
    closed: Sequence[Span],
    period: Span,
    offsets: Sequence[dict[str, int]],
) -> list[Missed]:
    """Find everything that was asked for in a period and not done in its time.

    Parameters
    ----------
    part : PoolPart
        The pool.
    own : sequence of Line
        Its lines.
    closed : sequence of (int, int)
        When it was not open on record. [UTC ms]
    period : (int, int)
        What is looked at. [UTC ms]
    offsets : sequence of dict
        The site's offsets from UTC.

    Returns
    -------
    list of (schedule, window)
        As the kernel takes and gives them.
    """
    found: list[Missed] = []
    base = facts_of_lines(part, own, offsets)
    for plan, span in plan_spans(part.plans, period):
        facts = base | {"hours": plan.hours, "closed_days": list(plan.closed_days)}
        for schedule in plan.schedules:
            if told_by_day(schedule):
                found += [(schedule, row) for row in windows_missed(facts, schedule, span, closed)]
    return found


def missed_rows(
    pieces: Pieces, part: PoolPart, missed: Sequence[Missed], gaps: Sequence[Gap], period: Span
) -> Iterator[Row]:
    """Give a row for everything that was missed and that no gap of the plan's interval tells."""
    for schedule, window in missed:
        if not any(told_by(gap, schedule, window) for gap in gaps):
            yield missed_row(pieces, part, schedule, window)
    for row in part.owed:
        if period[0] <= row["due_ms"] < period[1]:
            yield owed_row(pieces, part, row)


def untested_rows(pieces: Pieces, part: PoolPart, own: Sequence[Line]) -> Iterator[Row]:
    """Give a row for every opening before which nobody had tested the pool that day."""
    offsets = list(pieces.material.offsets)
    tested = [line.at_ms for line in of_kind(own, "round-recorded") if is_round(line)]
    tested += [] if part.last_round_ms is None else [part.last_round_ms]
    for line in of_kind(own, "pool-opened"):
        begins = day_begins(offsets, local_day(offsets, line.at_ms // SECOND_MS)) * SECOND_MS
        start = min(begins, line.at_ms - OPENED_AFTER_SECONDS * SECOND_MS)
        if not any(start <= at_ms <= line.at_ms for at_ms in tested):
            at = pieces.minute(line.at_ms)
            yield Row("gap", part.id, line.at_ms, at, text=UNTESTED, missed=1)


def is_round(line: Line) -> bool:
    """Tell whether a line is a round, and not a sample for the laboratory."""
    return bool(line.entry.body.get("purpose", "round") == "round")


def clauses_of(gap: Gap, missed: Sequence[Missed]) -> str:
    """Give what the rules say of a gap of the plan's interval, in brackets; "" for nothing."""
    found = [what_of(row) for row, window in missed if told_by(gap, row, window)]
    return f" ({'; '.join(found)})" if found else ""


def told_by_day(schedule: Mapping[str, Any]) -> bool:
    """Tell whether what a schedule asks can be told day by day, whatever was read before."""
    if any(row["of"] == "reading" or row["name"] == "stabiliser" for row in schedule["when"]):
        return False
    return schedule["form"] in DAILY_FORMS or is_daily(dict(schedule))


def facts_of_lines(
    part: PoolPart, own: Sequence[Line], offsets: Sequence[dict[str, int]]
) -> dict[str, Any]:
    """Give what the kernel asks of a pool: when what was read, and what was said to be done."""
    read: dict[str, list[int]] = {}
    for line in of_kind(own, "round-recorded"):
        body = line.entry.body
        names = {row["parameter"] for row in body["readings"]}
        for name in names | ({"round"} if body.get("purpose", "round") == "round" else set()):
            read.setdefault(name, []).append(line.at_ms)
    done = [
        {"duty": line.entry.body["duty"], "answer": line.entry.body["answer"], "at": line.at_ms}
        for line in of_kind(own, "duty-done")
    ]
    return {
        "pool": part.id,
        "offsets": list(offsets),
        "opening": None,
        "read": {name: sorted(times) for name, times in read.items()},
        "duties_done": done,
    }


def windows_missed(
    facts: dict[str, Any], schedule: dict[str, Any], span: Span, closed: Sequence[Span]
) -> Iterator[dict[str, Any]]:
    """Give the windows of a schedule in a span of time that ended without what they ask for."""
    first, last = (local_day(facts["offsets"], instant // SECOND_MS) for instant in span)
    end = span[1] // SECOND_MS
    for day in range(first, last + 1):
        for window in windows_on(facts, schedule, day, end):
            due_ms = window["until"] * SECOND_MS
            if (
                not span[0] <= due_ms < span[1]
                or state_of_window(schedule, window, end) != "missed"
            ):
                continue
            again = opened_after(closed, due_ms)
            if again is None or opened_in(facts, schedule, window, again, day, end):
                yield window


def opened_after(closed: Sequence[Span], instant_ms: int) -> int | None:
    """Give when a pool that was closed at an instant was opened again, None where it was open."""
    return next((until for since, until in closed if since <= instant_ms < until), None)


def opened_in(
    facts: dict[str, Any],
    schedule: dict[str, Any],
    window: dict[str, Any],
    again_ms: int,
    day: int,
    end: int,
) -> bool:
    """Tell whether a pool opened later in the hours all the same lacked its test before that."""
    again = again_ms // SECOND_MS
    if schedule["form"] != "before-opening" or not window["opens"] <= again < window["closes"]:
        return False
    opened = facts | {"opening": {"status": "open", "since": again_ms}}
    for row in windows_on(opened, schedule, day, end):
        if row["opens"] == window["opens"] and again < end:
            return bool(row["met"] is not True)
    return False


def told_by(gap: Gap, schedule: Mapping[str, Any], window: Mapping[str, Any]) -> bool:
    """Tell whether a gap of the plan's own interval is the same test."""
    apart = abs(gap.due_ms - window["until"] * SECOND_MS)
    return bool(schedule["kind"] == "round" and apart <= GRACE_MS)


def missed_row(
    pieces: Pieces, part: PoolPart, schedule: Mapping[str, Any], window: Mapping[str, Any]
) -> Row:
    """Give the row of what was not done in its time."""
    due_ms = window["until"] * SECOND_MS
    late = "done too late" if window["why"] == "late" else "not done"
    text = f"{what_of(schedule)} due by {pieces.local(due_ms):%H:%M}: {late}"
    return Row("gap", part.id, due_ms, pieces.minute(due_ms), text=text, missed=1)


def owed_row(pieces: Pieces, part: PoolPart, row: Mapping[str, Any]) -> Row:
    """Give the row of what comes by the calendar and is still owed."""
    due_ms = row["due_ms"]
    text = f"{what_of(row)} due by this day: not done when this was printed"
    return Row("gap", part.id, due_ms, pieces.minute(due_ms), text=text, missed=1)


def what_of(row: Mapping[str, Any]) -> str:
    """Say what was asked for, and by which clause."""
    what = row["words"] or ", ".join(row["test"]) or row["kind"]
    return f"{what} [{row['clause']}]" if row["clause"] else f"{what} (site plan)"
