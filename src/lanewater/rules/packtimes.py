"""What a pack wants done by when: test intervals, schedules, deadlines after an event."""

from __future__ import annotations

import re
from typing import Any

from lanewater.rules.packconditions import CONDITIONS, conditions_of
from lanewater.rules.packkeys import (
    TOLD_WHERE,
    compiled_list,
    expect_keys,
    expect_origin,
    expect_word,
    flag,
    hours,
    named,
    refuse_twice,
    tables_of,
    text_of,
    whole,
    within_seconds,
    words_of,
)
from lanewater.terms.errors import InputError
from lanewater.terms.parameters import PARAMETERS
from lanewater.terms.words import DUTY_KINDS, INCIDENT_KINDS, NOTED_EVENTS, NOTIFIED

INTERVAL = {"every_hours", "clause", "source", "evidence", "words"}
SCHEDULE = TOLD_WHERE | {"words", "test"}
# Exactly one of these says when; what is not among them narrows it.
FORMS = (
    "before_opening_minutes",
    "every_hours",
    "times_a_day",
    "at",
    "clock",
    "every_days",
    "every_weeks",
    "every_months",
    "every_years",
    "after",
    "before_season",
)
CALENDAR = {f"every_{unit}": unit for unit in ("days", "weeks", "months", "years")}
OPTIONAL_SCHEDULE = {
    *FORMS,
    *CONDITIONS,
    "within_minutes",
    "by",
    "min_spacing_days",
    "grace_minutes",
    "while_closed",
    "note",
}
PLACES = ("start", "middle", "end")
HANDS = ("hand", "any")
EVENTS = (*NOTED_EVENTS, "addition")
CLOCK = re.compile(r"([01][0-9]|2[0-3]):([0-5][0-9])", re.ASCII)
MINUTE = 60
MOST_MINUTES = 100_000
DEADLINE = TOLD_WHERE | {"words", "on", "to"}
OPTIONAL_DEADLINE = {"within_hours", "after", "note"}
STARTS = ("closure", "ordered-closure", *INCIDENT_KINDS)
OF_A_RULE = "rule:"


def compile_intervals(raw: dict[str, Any]) -> list[dict[str, Any]]:
    """Turn every test interval of a pack into its compiled form."""
    return compiled_list(raw, "interval", compile_interval, ())


def compile_interval(entry: dict[str, Any], where: str, raw: dict[str, Any]) -> dict[str, Any]:
    """Turn one test interval into its compiled form."""
    expect_keys(entry, INTERVAL, {*CONDITIONS, "note"}, where)
    expect_origin(entry, raw, where)
    return {
        "every_seconds": hours(entry["every_hours"], f"{where}.every_hours"),
        "clause": entry["clause"],
        "source": entry["source"],
        "words": text_of(entry, "words", where),
        "evidence": entry["evidence"],
        "when": conditions_of(entry, where, raw),
    }


def compile_schedules(raw: dict[str, Any]) -> list[dict[str, Any]]:
    """Turn every schedule of a pack into its compiled form.

    Parameters
    ----------
    raw : dict
        The pack.

    Returns
    -------
    list of dict
        Each with all keys: times in seconds, clock times in minutes of the local day, 0, "" and
        empty lists where nothing is said.
    """
    return compiled_list(raw, "schedule", compile_schedule)


def compile_schedule(entry: dict[str, Any], where: str, raw: dict[str, Any]) -> dict[str, Any]:
    """Turn one schedule into its compiled form."""
    expect_keys(entry, SCHEDULE, OPTIONAL_SCHEDULE, where)
    where = named(entry, "schedule", where)
    expect_origin(entry, raw, where)
    said = [key for key in FORMS if key in entry]
    if len(said) != 1:
        raise InputError(where, f"exactly one of {', '.join(FORMS)} is wanted")
    if ("within_minutes" in entry) != (said[0] == "after"):
        raise InputError(f"{where}.within_minutes", "goes with after, and after with it")
    by = entry.get("by", "any")
    expect_word(by, HANDS, f"{where}.by")
    spacing = entry.get("min_spacing_days", 0)
    grace = entry.get("grace_minutes", 0)
    return {
        **{key: entry[key] for key in ("id", "clause", "source", "evidence")},
        "words": text_of(entry, "words", where),
        **what_is_tested(entry, where),
        **schedule_form(entry, said[0], where),
        "by": by,
        "spacing_days": whole(spacing, f"{where}.min_spacing_days", 0, 3660),
        "grace_seconds": MINUTE * whole(grace, f"{where}.grace_minutes", 0, MOST_MINUTES),
        "while_closed": flag(entry, "while_closed", where),
        "when": conditions_of(entry, where, raw),
        "note": text_of(entry, "note", where),
    }


def what_is_tested(entry: dict[str, Any], where: str) -> dict[str, Any]:
    """Give the parameters that are tested, all of them, or the one duty that is done."""
    words = words_of(entry, "test", (*PARAMETERS, *DUTY_KINDS), where)
    duties = [word for word in words if word in DUTY_KINDS]
    if duties and len(words) > 1:
        raise InputError(f"{where}.test", "parameters are wanted, or one duty by itself")
    return {"test": [] if duties else words, "duty": duties[0] if duties else ""}


def schedule_form(entry: dict[str, Any], key: str, where: str) -> dict[str, Any]:
    """Give when a schedule asks: its form and the figures of that form."""
    found = {"seconds": 0, "count": 0, "unit": "", "at": [], "clock": [], "after": []}
    value = entry[key]
    place = f"{where}.{key}"
    if key == "before_opening_minutes":
        return {**found, "form": "before-opening", "seconds": MINUTE * whole(value, place, 1, 1440)}
    if key == "every_hours":
        return {**found, "form": "every", "seconds": hours(value, place)}
    if key == "times_a_day":
        return {**found, "form": "times-a-day", "count": whole(value, place, 1, 96)}
    if key == "at":
        return {**found, "form": "at", "at": words_of(entry, key, PLACES, where)}
    if key == "clock":
        times = words_of(entry, key, None, where)
        return {**found, "form": "clock", "clock": sorted(clock_minute(t, place) for t in times)}
    if key in CALENDAR:
        count = whole(value, place, 1, 3660)
        return {**found, "form": "calendar", "count": count, "unit": CALENDAR[key]}
    if key == "after":
        within = whole(entry["within_minutes"], f"{where}.within_minutes", 1, MOST_MINUTES)
        after = words_of(entry, key, EVENTS, where)
        return {**found, "form": "after", "seconds": MINUTE * within, "after": after}
    if value is not True:
        raise InputError(place, "true is wanted, or nothing")
    return {**found, "form": "before-season"}


def clock_minute(text: str, where: str) -> int:
    """Turn a time of the local day, "09:00", into minutes."""
    found = CLOCK.fullmatch(text)
    if found is None:
        raise InputError(where, 'a time of day is wanted, such as "09:00"')
    return int(found[1]) * 60 + int(found[2])


def compile_deadlines(raw: dict[str, Any], rules: list[str]) -> list[dict[str, Any]]:
    """Turn every deadline of a pack into its compiled form.

    Parameters
    ----------
    raw : dict
        The pack.
    rules : list of str
        The ids of its rules.
    """
    found: list[dict[str, Any]] = []
    for index, entry in enumerate(tables_of(raw, "deadline", "pack")):
        before = [one["id"] for one in found]
        found.append(compile_deadline(entry, f"deadline[{index}]", raw, rules, before))
    refuse_twice([one["id"] for one in found], "deadline")
    return found


def compile_deadline(
    entry: dict[str, Any], where: str, raw: dict[str, Any], rules: list[str], before: list[str]
) -> dict[str, Any]:
    """Turn one deadline into its compiled form; a chain names one that stands before it."""
    expect_keys(entry, DEADLINE, OPTIONAL_DEADLINE, where)
    where = named(entry, "deadline", where)
    expect_origin(entry, raw, where)
    starts = (*STARTS, *(OF_A_RULE + identity for identity in rules))
    on = entry["on"] if isinstance(entry["on"], list) else [entry["on"]]
    words_of({"on": on}, "on", starts, where)
    expect_word(entry["to"], NOTIFIED, f"{where}.to")
    if "after" in entry:
        expect_word(entry["after"], tuple(before), f"{where}.after")
    return {
        **{key: entry[key] for key in ("id", "clause", "source", "evidence", "to")},
        "on": on[0],
        "or_on": on[1:],
        "words": text_of(entry, "words", where),
        "within_seconds": within_seconds(entry, where),
        "after": entry.get("after", ""),
        "note": text_of(entry, "note", where),
    }
