"""When a pool was open on record, and the days on which nobody tested it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, timedelta

from lanewater.kernel.deciding.opendays import local_day
from lanewater.reports.gaps import Gap, Span, plan_spans, windows_of
from lanewater.reports.incidents import is_of, stands_ms
from lanewater.reports.moments import EPOCH, day_text, minute_text
from lanewater.reports.pieces import Pieces
from lanewater.reports.sheet import Line, PoolPart, Row

DAY_MS = 86_400_000
CLOSING = (
    "pool-closed",
    "everyone-out",
    "opening-settled",
    "incident-started",
    "incident-continued",
)
WHY_CLOSED = "closed on record since {since}"
WHY_HOURS = "not open by its hours"
WHY_CLOSED_DAY = "a closed day"
WHY_NONE = "no test was due"


def changes_of(lines: Sequence[Line], part: PoolPart) -> Iterator[tuple[int, bool]]:
    """Give when a pool was opened (True) and closed (False), in order of time."""
    found: list[tuple[int, int, bool]] = []
    for line in lines:
        body, kind = line.entry.body, line.entry.type
        if not is_of(line, part.id):
            continue
        if kind == "pool-opened" or (kind == "opening-settled" and body["status"] == "open"):
            found.append((line.at_ms, line.index, True))
        elif kind in CLOSING or (kind == "round-judged" and body.get("stops")):
            found.append((stands_ms(line.entry), line.index, False))
    if part.status:
        # What was told before may close it only later: an incident said to be of the day before.
        found.append((part.status_ms, -1, part.status == "open"))
    for at_ms, _, is_open in sorted(found):
        yield at_ms, is_open


def closed_spans(lines: Sequence[Line], part: PoolPart, end_ms: int) -> list[Span]:
    """Give when a pool was not open on record, up to an end; nothing where nobody ever said."""
    spans: list[Span] = []
    since: int | None = None
    for at_ms, is_open in changes_of(lines, part):
        if is_open and since is not None:
            spans.append((since, at_ms))
            since = None
        elif not is_open and since is None:
            since = at_ms
    if since is not None and since < end_ms:
        spans.append((since, end_ms))
    return spans


def quiet_rows(
    pieces: Pieces,
    part: PoolPart,
    closed: Sequence[Span],
    gaps: Sequence[Gap],
    tested: Sequence[int],
) -> list[Row]:
    """Give a row for every run of days without a test that is no gap, with why it is none."""
    days = {pieces.local(instant).date() for instant in tested}
    for gap in gaps:
        day = pieces.local(gap.due_ms).date()
        while day <= pieces.local(gap.until_ms - 1).date():
            days.add(day)
            day += timedelta(days=1)
    rows: list[Row] = []
    run: list[tuple[int, str]] = []
    for start in day_starts(pieces, part):
        why = "" if pieces.local(start).date() in days else why_quiet(pieces, part, closed, start)
        if run and why != run[0][1]:
            rows.append(quiet_row(pieces, part, run))
            run = []
        if why:
            run.append((start, why))
    return [*rows, quiet_row(pieces, part, run)] if run else rows


def day_starts(pieces: Pieces, part: PoolPart) -> Iterator[int]:
    """Give an instant of each day of the period on which the pool was set up, its local noon."""
    material = pieces.material
    first = max(material.since_ms, part.plans[0].from_ms if part.plans else material.until_ms)
    end = min(material.until_ms, material.now_ms)
    if first >= end:
        return
    day = pieces.local(first).date()
    while day <= pieces.local(end - 1).date():
        yield noon_of(pieces, day)
        day += timedelta(days=1)


def noon_of(pieces: Pieces, day: date) -> int:
    """Give the instant of a day's noon at the site."""
    utc_noon = (day.toordinal() - EPOCH.date().toordinal()) * DAY_MS + DAY_MS // 2
    shift = pieces.local(utc_noon) - EPOCH - timedelta(milliseconds=utc_noon)
    return utc_noon - shift // timedelta(milliseconds=1)


def why_quiet(pieces: Pieces, part: PoolPart, closed: Sequence[Span], noon_ms: int) -> str:
    """Say why a day without a test is no gap."""
    for since, until in closed:
        if since <= noon_ms < until:
            return WHY_CLOSED.format(since=minute_text(pieces.local(since)))
    half = DAY_MS // 2
    offsets = list(pieces.material.offsets)
    for plan, span in plan_spans(part.plans, (noon_ms - half, noon_ms + half)):
        if local_day(offsets, noon_ms // 1000) in plan.closed_days:
            return WHY_CLOSED_DAY
        if plan.hours is not None:
            opens = windows_of(plan, span, pieces.material.offsets)
            if not any(span[0] <= window[0] < span[1] for window in opens):
                return WHY_HOURS
    return WHY_NONE


def quiet_row(pieces: Pieces, part: PoolPart, run: Sequence[tuple[int, str]]) -> Row:
    """Give the row of a run of days without a test."""
    first, last = run[0][0], run[-1][0]
    to = "" if len(run) == 1 else f" to {day_text(pieces.local(last))}"
    text = f"no test {day_text(pieces.local(first))}{to}: {run[0][1]}"
    return Row("quiet", part.id, first, pieces.minute(first)[:10], text=text)
