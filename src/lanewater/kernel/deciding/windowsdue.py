"""The windows of a schedule: from when to when something is to be done, and whether it was.

A window is {"from", "until", "ends", "opens", "closes", "met", "why"}: it may be done from "from",
is due until "until", and is missed after "ends" (None: never, it is owed until it is done).
Instants are UTC seconds; a schedule is a row of "schedules" of a pool's facts.
"""

from typing import Any

from lanewater.kernel.deciding.due import DAY, instant_of_local
from lanewater.kernel.deciding.opendays import (
    day_begins,
    day_ends,
    day_later,
    first_day_open,
    local_day,
    windows_of_day,
)
from lanewater.kernel.deciding.readtimes import (
    counted_apart,
    last_counted,
    met_times,
    read_within,
)

SECOND_OF_WINDOW_MS = 1000
MINUTE_SECONDS = 60
# So long before it is due a repeated test counts as due; a round takes about so long. JUDG.
LEAD_SECONDS = 900
# A test this much after it was due is told as late, not as missed. JUDG, as on the sheets.
LATE_SECONDS = 900
# "At the start" is before the pool opens, "at the end" about its closing: so long before and
# after. JUDG; laws that say "before opening" without a time are written so, and are held strictly.
EARLIER_SECONDS = 3600
AFTER_SECONDS = 1800
# A clock time counts from so long before to so long after it, where the rules do not say. JUDG.
CLOCK_SECONDS = 1800
# A pool that did not open for so many days begins a season when it opens. JUDG.
SEASON_DAYS = 28


def window_of(
    opening: dict[str, Any] | None, start: int, until: int, ends: int | None, met: bool
) -> dict[str, Any]:
    """Write one window."""
    opens = start
    closes = until
    if opening is not None:
        opens = opening["opens"]
        closes = opening["closes"]
    return {
        "from": start,
        "until": until,
        "ends": ends,
        "opens": opens,
        "closes": closes,
        "met": met,
        "why": "",
    }


def opened_at(facts: dict[str, Any]) -> int | None:
    """Give since when a pool is open by somebody's word, None where it is not. [UTC s]"""
    word = facts["opening"]
    if word is None or word["status"] != "open":
        return None
    since: int = word["since"] // SECOND_OF_WINDOW_MS
    return since


def opened_within(facts: dict[str, Any], opening: dict[str, Any]) -> int | None:
    """Give when a pool was opened in the course of an opening, None where that is not known."""
    since = opened_at(facts)
    if since is None or since >= opening["closes"]:
        return None
    if since < day_begins(facts["offsets"], local_day(facts["offsets"], opening["opens"])):
        return None
    return since


def windows_before_opening(
    facts: dict[str, Any], schedule: dict[str, Any], day: int
) -> list[dict[str, Any]]:
    """Give the windows before a day's openings: before the hours, or before it really opened."""
    found = []
    for opening in windows_of_day(facts, day):
        really = opened_within(facts, opening)
        opens: int | None = opening["opens"]
        if facts["hours"] is None:
            opens = really
        if opens is not None:
            until: int = opens
            start = until - schedule["seconds"]
            ends = until + schedule["grace_seconds"]
            met = read_within(facts, schedule, start, ends)
            if not met and really is not None:
                met = read_within(facts, schedule, really - schedule["seconds"], really)
            found.append(window_of(opening, start, until, ends, met))
    return found


def windows_every(
    facts: dict[str, Any], schedule: dict[str, Any], day: int, now: int
) -> list[dict[str, Any]]:
    """Give the windows of a repeated test: those of a day that came too late, and the next one."""
    found = []
    every = schedule["seconds"]
    tests: list[int] = []
    for at in met_times(facts, schedule):
        if at <= now:
            tests.append(at)
    for opening in openings_asked(facts, schedule, day):
        begins: int = opening["opens"]
        really = opened_within(facts, opening)
        if really is not None:
            begins = max(begins, really)
        due = begins
        for at in tests:
            if at < opening["closes"]:
                if at > due + schedule["grace_seconds"] + LATE_SECONDS and at > begins:
                    late = window_of(opening, due - LEAD_SECONDS, due, at, False)
                    late["why"] = "late"
                    found.append(late)
                due = max(begins, at + every)
        if due < opening["closes"]:
            found.append(window_of(opening, due - LEAD_SECONDS, due, opening["closes"], False))
    return found


def openings_asked(
    facts: dict[str, Any], schedule: dict[str, Any], day: int
) -> list[dict[str, Any]]:
    """Give the stretches of a day for which a schedule asks: the openings, or the whole day."""
    if schedule["while_closed"] is not True:
        return windows_of_day(facts, day)
    begins = day_begins(facts["offsets"], day)
    return [{"opens": begins, "closes": day_begins(facts["offsets"], day + 1)}]


def span_of_day(facts: dict[str, Any], schedule: dict[str, Any], day: int) -> dict[str, Any] | None:
    """Give the first opening and the last closing of a day for which a schedule asks, or None."""
    openings = openings_asked(facts, schedule, day)
    if len(openings) == 0:
        return None
    closes: int = openings[0]["closes"]
    for opening in openings:
        closes = max(closes, opening["closes"])
    return {"opens": openings[0]["opens"], "closes": closes}


def windows_times(
    facts: dict[str, Any], schedule: dict[str, Any], day: int, now: int
) -> list[dict[str, Any]]:
    """Give the windows of a test that is asked for several times a day, spread over the opening."""
    span = span_of_day(facts, schedule, day)
    if span is None:
        return []
    begins = min(day_begins(facts["offsets"], day), span["opens"])
    times: list[int] = []
    for at in met_times(facts, schedule):
        if begins <= at <= span["closes"] and at <= now:
            times.append(at)
    done = counted_apart(times)
    found = []
    part = (span["closes"] - span["opens"]) // schedule["count"]
    for place in range(schedule["count"]):
        start = span["opens"] + place * part
        if place == 0:
            start = begins
        until = span["opens"] + (place + 1) * part
        if place == schedule["count"] - 1:
            until = span["closes"]
        found.append(window_of(span, start, until, span["closes"], place < done))
    return found


def bounds_at(span: dict[str, Any], word: str) -> tuple[int, int]:
    """Give from when to when something is "at the start", "in the middle" or "at the end"."""
    opens: int = span["opens"]
    closes: int = span["closes"]
    third = (closes - opens) // 3
    if word == "start":
        return (opens - EARLIER_SECONDS, opens)
    if word == "end":
        return (closes - min(EARLIER_SECONDS, third), closes + AFTER_SECONDS)
    return (opens + third, closes - third)


def windows_at(facts: dict[str, Any], schedule: dict[str, Any], day: int) -> list[dict[str, Any]]:
    """Give the windows at the start, in the middle and at the end of a day's opening."""
    span = span_of_day(facts, schedule, day)
    if span is None:
        return []
    really = opened_within(facts, span)
    found = []
    for word in schedule["at"]:
        start, until = bounds_at(span, word)
        ends = until + schedule["grace_seconds"]
        met = read_within(facts, schedule, start, ends)
        if not met and word == "start" and really is not None:
            later = {"opens": really, "closes": span["closes"]}
            first, last = bounds_at(later, "start")
            met = read_within(facts, schedule, first, last)
        window = window_of(span, start, until, ends, met)
        window["why"] = word
        found.append(window)
    return found


def windows_clock(
    facts: dict[str, Any], schedule: dict[str, Any], day: int
) -> list[dict[str, Any]]:
    """Give the windows about a time of the clock, of those that lie in the day's opening."""
    span = span_of_day(facts, schedule, day)
    if span is None:
        return []
    half = CLOCK_SECONDS
    if schedule["grace_seconds"] > 0:
        half = schedule["grace_seconds"]
    found = []
    for minutes in schedule["clock"]:
        at = instant_of_local(facts["offsets"], day * DAY + minutes * MINUTE_SECONDS)
        if span["opens"] - half <= at <= span["closes"] + half:
            met = read_within(facts, schedule, at - half, at + half)
            found.append(window_of(span, at - half, at + half, at + half, met))
    return found


def window_daily(facts: dict[str, Any], schedule: dict[str, Any], day: int) -> list[dict[str, Any]]:
    """Give the window of something that is done once on every day on which the pool opens."""
    span = span_of_day(facts, schedule, day)
    if span is None:
        return []
    start = min(day_begins(facts["offsets"], day), span["opens"])
    met = read_within(facts, schedule, start, span["closes"])
    return [window_of(span, start, span["closes"], span["closes"], met)]


def windows_calendar(
    facts: dict[str, Any], schedule: dict[str, Any], today: int, now: int
) -> list[dict[str, Any]]:
    """Give the window of something that comes every so many days, weeks, months or years."""
    offsets = facts["offsets"]
    last = last_counted(facts, schedule, now)
    due: int | None = schedule["from_day"]
    why = ""
    if last is not None:
        if schedule["count"] == 0:
            return []
        later = day_later(local_day(offsets, last), schedule["count"], schedule["unit"])
        due = later if due is None else max(due, later)
    elif due is None:
        # Since when it is owed is not known: it is asked for today, and not said to be overdue.
        due = today if now <= day_ends(facts, today) else today + 1
        why = "no-record-yet"
    if schedule["while_closed"] is not True:
        due = first_day_open(facts, due)
    if due is None:
        return []
    start = day_begins(offsets, due)
    if last is not None:
        start = max(start, last + 1)
    until = day_ends(facts, due)
    window = window_of(None, min(start, until), until, None, False)
    window["why"] = why
    return [window]


def windows_before_season(
    facts: dict[str, Any], schedule: dict[str, Any], today: int
) -> list[dict[str, Any]]:
    """Give the window before the pool opens again after many days on which it did not."""
    first = first_day_open(facts, today)
    if first is None:
        return []
    for earlier in range(1, SEASON_DAYS + 1):
        if len(windows_of_day(facts, first - earlier)) > 0:
            return []
    opening = windows_of_day(facts, first)[0]
    start = day_begins(facts["offsets"], first - SEASON_DAYS)
    until: int = opening["opens"]
    met = read_within(facts, schedule, start, until)
    return [window_of(opening, start, until, until + schedule["grace_seconds"], met)]
