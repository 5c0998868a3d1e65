"""What rules and site ask to be tested and done at a pool, and how each of it stands now.

"schedules" of a pool's facts: [{"id", "of": rules or site, "kind": round, test or a kind of duty,
"duty": "" or that kind, "test": parameters, "words", "clause", "roles": [] for everybody, "form",
"seconds", "count", "unit", "at", "clock", "after", "by", "spacing_days", "grace_seconds",
"while_closed", "from_day": day or None, "when": conditions as of a rule}]; forms are
before-opening, every, times-a-day, at, clock, calendar, after and before-season. "asked_of" is the
pool as conditions ask for it, "read_values" what was read of the parameters they name.
"""

from typing import Any

from lanewater.kernel.deciding.conditions import applies
from lanewater.kernel.deciding.due import first_open_instant
from lanewater.kernel.deciding.inorder import placed_by
from lanewater.kernel.deciding.opendays import day_begins, first_day_open, local_day
from lanewater.kernel.deciding.readtimes import read_within
from lanewater.kernel.deciding.retesting import wait_end
from lanewater.kernel.deciding.roundsasked import opened_untested, round_schedules
from lanewater.kernel.deciding.windowsdue import (
    SECOND_OF_WINDOW_MS,
    window_daily,
    window_of,
    windows_at,
    windows_before_opening,
    windows_before_season,
    windows_calendar,
    windows_clock,
    windows_every,
    windows_times,
)

ADDITION = "addition"
ROUND_PARAMETERS = (
    "round",
    "free_chlorine",
    "total_chlorine",
    "combined_chlorine",
    "total_bromine",
    "ph",
    "clarity",
)
STATE_WORDS = ("ahead", "due", "overdue", "missed")


def asks_now(facts: dict[str, Any], schedule: dict[str, Any], now: int) -> bool:
    """Tell whether a schedule's conditions hold; what is not known counts as holding. [UTC s]"""
    if len(schedule["when"]) == 0:
        return True
    case = {
        "pool": facts["asked_of"]["pool"],
        "readings": [],
        "history": facts["read_values"],
        "doubted": [],
        "disbelieved": [],
    }
    answer = applies(case, schedule["when"], now - facts["asked_of"]["borrow_seconds"])
    holds: bool = answer["holds"]
    return holds


def events_for(facts: dict[str, Any], schedule: dict[str, Any]) -> list[dict[str, Any]]:
    """Give what happened that a schedule asks for a test after: {"at" UTC s, "what"}."""
    found = []
    for row in facts["events"]:
        if row["what"] in schedule["after"]:
            found.append({"at": row["at"] // SECOND_OF_WINDOW_MS, "what": row["what"]})
    if ADDITION in schedule["after"]:
        for row in facts["additions"]:
            if row["answer"] == "added":
                found.append({"at": wait_end(row) // SECOND_OF_WINDOW_MS, "what": ADDITION})
    return found


def windows_after(
    facts: dict[str, Any], schedule: dict[str, Any], now: int
) -> list[dict[str, Any]]:
    """Give the window after the latest event that was not tested for yet."""
    latest: dict[str, Any] | None = None
    for row in events_for(facts, schedule):
        if row["at"] <= now and (latest is None or row["at"] > latest["at"]):
            latest = row
    if latest is None or read_within(facts, schedule, latest["at"], now):
        return []
    until: int | None = latest["at"] + schedule["seconds"]
    if schedule["while_closed"] is not True:
        until = first_open_instant(facts, latest["at"] + schedule["seconds"])
    if until is None:
        return []
    window = window_of(None, latest["at"], until, None, False)
    window["why"] = latest["what"]
    return [window]


def windows_on(
    facts: dict[str, Any], schedule: dict[str, Any], day: int, now: int
) -> list[dict[str, Any]]:
    """Give the windows of a schedule that belong to a day.

    Parameters
    ----------
    facts, schedule : dict
        The pool's facts, and one row of its "schedules" that is told by the day.
    day : int
        The site's day.
    now : int
        What was read later does not count. [UTC s]

    Returns
    -------
    list of dict
        See `windowsdue`.
    """
    form = schedule["form"]
    if form == "before-opening":
        return windows_before_opening(facts, schedule, day)
    if form == "every":
        return windows_every(facts, schedule, day, now)
    if form == "times-a-day":
        return windows_times(facts, schedule, day, now)
    if form == "at":
        return windows_at(facts, schedule, day)
    if form == "clock":
        return windows_clock(facts, schedule, day)
    return window_daily(facts, schedule, day)


def is_daily(schedule: dict[str, Any]) -> bool:
    """Tell whether something comes once a day."""
    return schedule["form"] == "calendar" and schedule["unit"] == "days" and schedule["count"] == 1


def state_of_window(schedule: dict[str, Any], window: dict[str, Any], now: int) -> str:
    """Tell how a window stands: met, ahead, due, overdue or missed.

    Parameters
    ----------
    schedule, window : dict
        A schedule, and one of its windows.
    now : int
        UTC seconds.
    """
    if window["met"] is True:
        return "met"
    if now < window["from"]:
        return "ahead"
    last = window["until"] + schedule["grace_seconds"]
    ends = window["ends"]
    if ends is not None and now > ends:
        return "missed"
    if now <= last:
        return "due"
    return "overdue"


def closed_over(facts: dict[str, Any], schedule: dict[str, Any], window: dict[str, Any]) -> bool:
    """Tell whether somebody closed a pool, or shut it for the hours, before a window was over."""
    word = facts["opening"]
    if schedule["while_closed"] is True or word is None:
        return False
    since = word["since"] // SECOND_OF_WINDOW_MS
    if word["status"] == "closed":
        return since <= window["until"]
    return word["status"] == "shut" and window["opens"] <= since <= window["until"]


def state_asked(
    facts: dict[str, Any], schedule: dict[str, Any], window: dict[str, Any], now: int
) -> str:
    """Tell how a window stands, "" where it is not asked for while the pool is closed.

    What is to be done before a closed pool opens stays due until then; nothing of it is missed.
    """
    state = state_of_window(schedule, window, now)
    if state == "met" or state == "ahead" or not closed_over(facts, schedule, window):
        return state
    if schedule["form"] == "every":
        return ""
    if schedule["form"] == "calendar" and not is_daily(schedule):
        return state
    if state == "missed":
        return ""
    return "due"


def days_looked_at(facts: dict[str, Any], now: int) -> list[int]:
    """Give the days whose windows are told: yesterday, today and the next one that is open."""
    today = local_day(facts["offsets"], now)
    found = [today - 1, today]
    later = first_day_open(facts, today + 1)
    if later is not None:
        found.append(later)
    return found


def windows_told(facts: dict[str, Any], schedule: dict[str, Any], now: int) -> list[dict[str, Any]]:
    """Give the windows of a schedule: those of today that are not met, and the next one ahead.

    Yesterday's count while they go on into today.
    """
    today = local_day(facts["offsets"], now)
    if schedule["form"] == "after":
        return windows_after(facts, schedule, now)
    if schedule["form"] == "before-season":
        return windows_before_season(facts, schedule, today)
    if schedule["form"] == "calendar" and not is_daily(schedule):
        return windows_calendar(facts, schedule, today, now)
    begins = day_begins(facts["offsets"], today)
    found = []
    ahead = False
    for day in days_looked_at(facts, now):
        if day <= today or not ahead:
            for window in windows_on(facts, schedule, day, now):
                late = day < today and window["ends"] <= begins
                first = day <= today or not ahead
                if not late and first:
                    found.append(window)
                    ahead = ahead or (window["met"] is not True and now <= window["ends"])
    return found


def duty_row(
    facts: dict[str, Any], schedule: dict[str, Any], window: dict[str, Any], state: str
) -> dict[str, Any]:
    """Write what is to be done, and until when."""
    return {
        "id": schedule["id"],
        "of": schedule["of"],
        "kind": schedule["kind"],
        "test": schedule["test"],
        "pool": facts["pool"],
        "words": schedule["words"],
        "clause": schedule["clause"],
        "from_ms": window["from"] * SECOND_OF_WINDOW_MS,
        "due_ms": window["until"] * SECOND_OF_WINDOW_MS,
        "state": state,
        "why": window["why"],
        "roles": schedule["roles"],
    }


def placed_in_time(rows: list[dict[str, Any]], row: dict[str, Any]) -> list[dict[str, Any]]:
    """Put what is due where its time belongs, after others of the same instant."""
    return placed_by(rows, row, "due_ms")


def schedule_rows(
    facts: dict[str, Any], schedules: list[dict[str, Any]], now: int
) -> list[dict[str, Any]]:
    """Give what some schedules ask at a pool, in the order of time. [UTC s]"""
    found: list[dict[str, Any]] = []
    for schedule in schedules:
        if asks_now(facts, schedule, now):
            for window in windows_told(facts, schedule, now):
                state = state_asked(facts, schedule, window, now)
                if state in STATE_WORDS:
                    row = duty_row(facts, schedule, window, state)
                    found = placed_in_time(found, row)
    return found


def duties_now(facts: dict[str, Any], now_ms: int) -> list[dict[str, Any]]:
    """Give what is due at a pool, or at the site itself, in the order of time.

    Parameters
    ----------
    facts : dict
        The pool's; of the site itself "pool" is "".
    now_ms : int
        UTC ms.

    Returns
    -------
    list of dict
        {"id", "of": rules or site, "kind", "test": parameters, "pool", "words", "clause",
        "from_ms", "due_ms", "state": ahead, due, overdue or missed, "why", "roles"}. Met windows
        are left out; a missed one is told on its day. Nothing is missed on a closed day.
    """
    now = now_ms // SECOND_OF_WINDOW_MS
    schedules = round_schedules(facts)
    for schedule in facts["schedules"]:
        schedules.append(schedule)
    found = schedule_rows(facts, schedules, now)
    for row in opened_untested(facts, now):
        found = placed_in_time(found, row)
    return found


def asks_for_round(schedule: dict[str, Any]) -> bool:
    """Tell whether a schedule asks for what a round reads."""
    for parameter in schedule["test"]:
        if parameter in ROUND_PARAMETERS:
            return schedule["duty"] == ""
    return False


def schedules_due(facts: dict[str, Any], now: int) -> list[dict[str, Any]]:
    """Give when schedules ask for a pool's next round: {"at" UTC s, "detail": clause and words}."""
    schedules = []
    for schedule in facts.get("schedules", []):
        if asks_for_round(schedule):
            schedules.append(schedule)
    found = []
    for row in schedule_rows(facts, schedules, now):
        if row["state"] != "missed":
            detail = row["clause"] + ": " + row["words"]
            found.append({"at": row["due_ms"] // SECOND_OF_WINDOW_MS, "detail": detail})
    return found
