"""When a pool has to be tested next: the earliest of rules, site plan, retest and event.

Instants are UTC seconds. Opening hours and the site's UTC offset come as whole numbers, so that a
device without a time zone decides the same.
"""

from typing import Any

DAY = 86400
MINUTE = 60
DAYS_AHEAD = 15


def offset_at(offsets: list[dict[str, Any]], instant: int) -> int:
    """Give the site's UTC offset in seconds at an instant.

    Parameters
    ----------
    offsets : list of dict
        {"from": UTC seconds, "minutes": offset from then on}, oldest first. Before the first
        and where there is none, the first one or 0 holds.
    instant : int
        UTC seconds.
    """
    if len(offsets) == 0:
        return 0
    minutes: int = offsets[0]["minutes"]
    for change in offsets:
        if change["from"] <= instant:
            minutes = change["minutes"]
    return minutes * MINUTE


def instant_of_local(offsets: list[dict[str, Any]], local: int) -> int:
    """Turn local clock seconds into UTC seconds.

    An hour that the clock skips counts by the offset before; of one that it shows twice the first
    is meant.
    """
    before = offset_at(offsets, local - DAY)
    after = offset_at(offsets, local + DAY)
    skipped = offset_at(offsets, local - before) != before
    if skipped and offset_at(offsets, local - after) == after:
        return local - after
    return local - before


def weekday_of(local_day: int) -> int:
    """Give the day of the week of a day counted from 1970-01-01, Monday being 0."""
    return (local_day + 3) % 7


def closed_of(case: dict[str, Any]) -> list[int]:
    """Give the days on which nothing opens, counted from 1970-01-01."""
    found: list[int] = case.get("closed_days", [])
    return found


def openings_between(case: dict[str, Any], start: int, end: int) -> list[dict[str, Any]]:
    """Give the opening windows that touch a stretch of time, in order of days and hours.

    Parameters
    ----------
    case : dict
        "hours": [{"day": 0 to 6, "opens": minutes, "closes": minutes}]; hours that close at or
        before they open close on the next day. "offsets": see offset_at. "closed_days"?: days
        counted from 1970-01-01 on which nothing opens.
    start, end : int
        UTC seconds.

    Returns
    -------
    list of dict
        {"opens", "closes"} in UTC seconds.
    """
    offsets = case["offsets"]
    first = (start + offset_at(offsets, start)) // DAY - 1
    last = (end + offset_at(offsets, end)) // DAY + 1
    found = []
    for day in range(first, last + 1):
        for hours in case["hours"]:
            if hours["day"] == weekday_of(day) and day not in closed_of(case):
                closing = day * DAY + hours["closes"] * MINUTE
                if hours["closes"] <= hours["opens"]:
                    closing = closing + DAY
                opens = instant_of_local(offsets, day * DAY + hours["opens"] * MINUTE)
                closes = instant_of_local(offsets, closing)
                if opens <= end and closes > start:
                    found.append({"opens": opens, "closes": closes})
    return found


def open_by_hours(case: dict[str, Any], instant: int) -> bool:
    """Tell whether an instant lies within the opening hours.

    Where none are stated, every day that is not a closed one is open all day.

    Parameters
    ----------
    case : dict
        "hours", "offsets" and "closed_days"?: see openings_between; "hours" may be None.
    instant : int
        UTC seconds.
    """
    if case["hours"] is None:
        return (instant + offset_at(case["offsets"], instant)) // DAY not in closed_of(case)
    for window in openings_between(case, instant, instant):
        if window["opens"] <= instant < window["closes"]:
            return True
    return False


def next_day_open(case: dict[str, Any], instant: int) -> int | None:
    """Give the beginning of the next day that is not a closed one; None where none is near."""
    offsets = case["offsets"]
    first = (instant + offset_at(offsets, instant)) // DAY + 1
    for day in range(first, first + DAYS_AHEAD):
        if day not in closed_of(case):
            return instant_of_local(offsets, day * DAY)
    return None


def first_open_instant(case: dict[str, Any], instant: int) -> int | None:
    """Give the instant itself where it lies in the opening hours, else the next opening."""
    if open_by_hours(case, instant):
        return instant
    found = None
    if case["hours"] is None:
        return next_day_open(case, instant)
    for window in openings_between(case, instant, instant + DAYS_AHEAD * DAY):
        if window["opens"] >= instant and (found is None or window["opens"] < found):
            found = window["opens"]
    return found


def answer_of(at: int | None, why: str, detail: str, every_seconds: int) -> dict[str, Any]:
    """Write one answer."""
    return {"at": at, "why": why, "detail": detail, "every_seconds": every_seconds}


def earlier_of(best: dict[str, Any], other: dict[str, Any]) -> dict[str, Any]:
    """Give the answer with the earlier instant; the first one on a tie."""
    if other["at"] is None:
        return best
    if best["at"] is None or other["at"] < best["at"]:
        return other
    return best


def due_by_interval(
    case: dict[str, Any], every_seconds: int, why: str, detail: str
) -> dict[str, Any]:
    """Give when a repeated test is due: so long after the last round, while the pool has hours."""
    if every_seconds == 0:
        return answer_of(None, "no-interval", detail, 0)
    if case["last"] is None:
        wanted = case["now"]
        reason = "no-round-yet"
    else:
        wanted = case["last"] + every_seconds
        reason = why
    at = first_open_instant(case, wanted)
    if at is None:
        return answer_of(None, "no-opening-ahead", detail, every_seconds)
    if at != wanted:
        reason = "before-opening"
    return answer_of(at, reason, detail, every_seconds)


def due_before_opening(case: dict[str, Any]) -> dict[str, Any]:
    """Give the opening that still needs a round in the time before it."""
    before = case["plan"]["before_opening_seconds"]
    found = answer_of(None, "no-interval", "", 0)
    if before == 0 or case["hours"] is None:
        return found
    now = case["now"]
    for window in openings_between(case, now, now + DAYS_AHEAD * DAY):
        tested = case["last"] is not None and case["last"] >= window["opens"] - before
        if not tested:
            other = answer_of(window["opens"], "before-opening", "", before)
            found = earlier_of(found, other)
    return found


def next_due(case: dict[str, Any]) -> dict[str, Any]:
    """Give when the next round is due, and why; or say that nothing asks for one.

    Parameters
    ----------
    case : dict
        "now": UTC seconds; "last": UTC seconds of the last round or None; "pack":
        {"every_seconds" (0: none), "detail": clause}; "plan": {"every_seconds",
        "before_opening_seconds"} (0: none); "retests", "events" and "schedules"? (those of the
        rules): [{"at", "detail"}]; "closed_days"?: see openings_between;
        "hours": see openings_between, None where not stated (the test is then due at any hour);
        "offsets": see offset_at.

    Returns
    -------
    dict
        {"at": UTC seconds or None, "why", "detail", "every_seconds"}. why is retest, event,
        schedule, pack-interval, plan-interval, no-round-yet, before-opening; without an instant it
        is no-interval or no-opening-ahead.
    """
    best = answer_of(None, "no-interval", case["pack"]["detail"], 0)
    for item in case["retests"]:
        best = earlier_of(best, answer_of(item["at"], "retest", item["detail"], 0))
    for item in case["events"]:
        best = earlier_of(best, answer_of(item["at"], "event", item["detail"], 0))
    for item in case.get("schedules", []):
        best = earlier_of(best, answer_of(item["at"], "schedule", item["detail"], 0))
    pack = case["pack"]
    plan = case["plan"]
    by_pack = due_by_interval(case, pack["every_seconds"], "pack-interval", pack["detail"])
    by_plan = due_by_interval(case, plan["every_seconds"], "plan-interval", "")
    for other in [by_pack, by_plan, due_before_opening(case)]:
        if best["at"] is None and other["why"] == "no-opening-ahead":
            best = other
        best = earlier_of(best, other)
    return best
