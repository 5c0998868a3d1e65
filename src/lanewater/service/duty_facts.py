"""What a pool's facts say of what is due: schedules of rules and site, closed days, what was read.

No "now" is in them, so that a tablet tells from them what is due when it is asked.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from lanewater.kernel.deciding.classes import pool_in_classes
from lanewater.kernel.deciding.conditions import applies
from lanewater.kernel.deciding.dutiesafter import (
    EVENTS_KEPT,
    latest_read,
    latest_rows,
    row_in_time,
)
from lanewater.kernel.deciding.schedules import asks_for_round
from lanewater.service.clock import DAY_MS, MINUTE_MS, offset_minutes, offsets_ahead
from lanewater.service.judging import kernel_readings, kits_of, pool_facts
from lanewater.service.state import SiteState

EPOCH_DAY = date(1970, 1, 1).toordinal()
# Closed days are told from so long before the stretch in which offsets are carried; see pool_facts.
DAYS_BEFORE = 40
STRETCH_DAYS = 32
OFFSET_DAYS = 460
# Who is asked for what the rules want done, where nobody said: facts of the trade, rhythm by role.
ROLES_OF = {
    "balance": ("plant-operator", "tester"),
    "stabiliser": ("plant-operator", "tester"),
    "microbiology": ("plant-operator", "contractor"),
    "interlock-test": ("plant-operator",),
    "kit-check": ("plant-operator",),
    "controller-check": ("plant-operator",),
    "backwash": ("plant-operator",),
    "drain-cover": ("plant-operator",),
    "emergency-drill": ("duty-manager",),
}
NO_FORM = {
    "seconds": 0,
    "at": [],
    "clock": [],
    "after": [],
    "by": "any",
    "spacing_days": 0,
    "grace_seconds": 0,
    "while_closed": False,
    "when": [],
}


def duty_facts(
    state: SiteState, pool: str, pack: Mapping[str, Any], known: dict[str, Any], now_ms: int
) -> dict[str, Any]:
    """Give the part of a pool's facts that what is due is told by.

    Parameters
    ----------
    state : SiteState
        What the record says.
    pool : str
        The pool's id.
    pack : mapping
        The compiled rules of the pool, empty for none.
    known : dict
        As `known_of` gives it.
    now_ms : int
        Only to choose which closed days lie ahead. [UTC ms]

    Returns
    -------
    dict
        {"schedules", "asked_of", "closed_days", "events", "read", "read_values", "duties_done"}, as
        `kernel.deciding.schedules` takes them.
    """
    rows = rules_schedules(pack, known) + site_schedules(state, pool)
    wanted = sorted(names_read(rows))
    return {
        "schedules": rows,
        "asked_of": {
            "pool": known if any(row["when"] for row in rows) else {},
            "parameters": wanted,
            "borrow_seconds": pack.get("borrow_seconds", 0),
        },
        "closed_days": closed_days(state, pool, now_ms),
        "events": events_of(state, pool),
        "read": dict(state.asked.get("read", {}).get(pool, {})),
        "read_values": values_of(state, pool, wanted),
        "duties_done": list(state.asked.get("done", {}).get(pool, [])),
    }


def known_of(state: SiteState, pool: str, pack: Mapping[str, Any]) -> dict[str, Any]:
    """Give a pool's own facts with the classes that its rules, empty for none, put it in."""
    known = pool_facts(state, pool)
    if not pack:
        return known
    return pool_in_classes(dict(pack), {"pool": known, "readings": [], "history": []})


def site_facts(state: SiteState, now_ms: int) -> dict[str, Any]:
    """Give the facts of the site itself, in the form of a pool's: what is due at no pool."""
    stretch = now_ms // DAY_MS // STRETCH_DAYS * STRETCH_DAYS
    return {
        "pool": "",
        "name": state.site.name,
        "mates": [],
        "offsets": offsets_ahead(state.site.timezone, stretch * DAY_MS, OFFSET_DAYS),
        "hours": None,
        "closed_days": closed_days(state, "", now_ms),
        "plan": {"every_seconds": 0, "before_opening_seconds": 0},
        "pack": {"every_seconds": 0, "detail": ""},
        "last": None,
        "opening": None,
        "additions": [],
        "tested": {},
        "schedules": site_schedules(state, ""),
        "asked_of": {"pool": {}, "parameters": [], "borrow_seconds": 0},
        "events": list(state.asked.get("events", {}).get("", [])),
        "read": {},
        "read_values": [],
        "duties_done": list(state.asked.get("done", {}).get("", [])),
    }


def rules_schedules(pack: Mapping[str, Any], known: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Give the rules' schedules that may ask something of a pool, as the kernel takes them."""
    case = {"pool": dict(known), "readings": [], "history": [], "doubted": [], "disbelieved": []}
    return [
        scheduled(row)
        for row in pack.get("schedules", [])
        if applies(case, [one for one in row["when"] if stays(one)], 0)["holds"]
    ]


def stays(condition: Mapping[str, Any]) -> bool:
    """Tell whether a condition hangs on what was set up only, not on what is read."""
    return bool(condition["of"] != "reading" and condition["name"] != "stabiliser")


def scheduled(row: Mapping[str, Any]) -> dict[str, Any]:
    """Give a schedule of the rules as the kernel takes it."""
    duty = row["duty"]
    kind = duty or ("round" if asks_for_round(dict(row)) else "test")
    told = ("duty", "test", "words", "clause", "form", "seconds", "count", "unit", "at", "clock")
    kept = (*told, "after", "by", "spacing_days", "grace_seconds", "while_closed", "when")
    return {
        "id": f"rules:{row['id']}",
        "of": "rules",
        "kind": kind,
        "roles": list(ROLES_OF.get(duty, ())),
        "from_day": None,
        **{key: row[key] for key in kept},
    }


def site_schedules(state: SiteState, pool: str) -> list[dict[str, Any]]:
    """Give the site's own duties at a pool, or those of no pool, as the kernel takes them."""
    return [
        duty_scheduled(state, row)
        for row in state.asked.get("duties", {}).values()
        if row.get("pool", "") == pool and not row.get("gone", False)
    ]


def duty_scheduled(state: SiteState, row: Mapping[str, Any]) -> dict[str, Any]:
    """Give a duty of the site as the kernel takes it; one that comes once has no count."""
    unit, count = next(iter(row.get("every", {}).items()), ("days", 0))
    return {
        **NO_FORM,
        "id": f"site:{row['duty']}",
        "of": "site",
        "kind": row["kind"],
        "duty": row["kind"],
        "test": [],
        "words": row["name"],
        "clause": "",
        "roles": [row["role"]] if "role" in row else list(ROLES_OF.get(row["kind"], ())),
        "form": "calendar",
        "unit": unit,
        "count": count,
        "from_day": day_of(row["from"]) if "from" in row else set_up_day(state, row["since"]),
    }


def day_of(text: str) -> int:
    """Give a date as days since 1970-01-01."""
    return date.fromisoformat(text).toordinal() - EPOCH_DAY


def set_up_day(state: SiteState, at_ms: int) -> int:
    """Give the site's day at an instant (UTC ms)."""
    return (at_ms + offset_minutes(state.site.timezone, at_ms) * MINUTE_MS) // DAY_MS


def closed_days(state: SiteState, pool: str, now_ms: int) -> list[int]:
    """Give the days on which a pool does not open: the site's and its own, in order.

    A day on which it stood open on record is none, whatever was set: its tests are asked for.
    """
    first = now_ms // DAY_MS // STRETCH_DAYS * STRETCH_DAYS - DAYS_BEFORE
    rows = state.asked.get("closed_days", {})
    days = {day_of(row["day"]) for scope in {"", pool} for row in rows.get(scope, [])}
    return sorted(day for day in days - days_open(state, pool, now_ms) if day >= first)


def days_open(state: SiteState, pool: str, now_ms: int) -> set[int]:
    """Give the days over which a pool stood open on record, or stands open now."""
    known = state.openings.get(pool)
    before = set(state.asked.get("open_days", {}).get(pool, ()))
    if known is None or known.status != "open":
        return before
    return before | set(range(set_up_day(state, known.since_ms), set_up_day(state, now_ms) + 1))


def all_closed_days(state: SiteState, pool: str, opened: set[int]) -> tuple[int, ...]:
    """Give every closed day of a pool that was set, but those it was open, in order; for sheets."""
    rows = state.asked.get("closed_days", {})
    return tuple(
        sorted({day_of(row["day"]) for scope in {"", pool} for row in rows.get(scope, [])} - opened)
    )


def events_of(state: SiteState, pool: str) -> list[dict[str, Any]]:
    """Give what happened lately at a pool, or at the whole site."""
    known = state.asked.get("events", {})
    rows: list[dict[str, Any]] = list(known.get("", []))
    for row in known.get(pool, []):
        rows = row_in_time(rows, row)
    return latest_rows(rows, EVENTS_KEPT)


def names_read(rows: list[dict[str, Any]]) -> set[str]:
    """Give the parameters that conditions of schedules ask for; a reading tells stabiliser."""
    found = set()
    for row in rows:
        for condition in row["when"]:
            if condition["of"] == "reading":
                found.add(condition["name"])
            elif condition["name"] == "stabiliser":
                found.add("cyanuric_acid")
    return found


def values_of(state: SiteState, pool: str, wanted: list[str]) -> list[dict[str, Any]]:
    """Give of each wanted parameter the readings of the latest round that read it."""
    if not wanted:
        return []
    kits = kits_of(state)
    rows = [
        {
            "at": given.at_ms // 1000,
            "round": given.id,
            "readings": [row for row in kernel_readings(given, kits) if row["parameter"] in wanted],
        }
        for given in state.rounds.get(pool, ())
        if any(row.parameter in wanted for row in given.readings)
    ]
    return latest_read(rows)
