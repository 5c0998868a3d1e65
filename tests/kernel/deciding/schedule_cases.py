"""Schedules, and what is known of a pool that has them, for tests of the deciding kernel."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from lanewater.service.clock import offsets_ahead

ZONE = "America/Toronto"
HOUR = 3600
HOURS = [{"day": day, "opens": 420, "closes": 1260} for day in range(7)]  # 07:00 to 21:00
EPOCH_DAY = date(1970, 1, 1).toordinal()


def at(text: str, zone: str = ZONE) -> int:
    """Give UTC milliseconds of a local time such as 2026-07-01T06:45."""
    return int(datetime.fromisoformat(text).replace(tzinfo=ZoneInfo(zone)).timestamp()) * 1000


def day(text: str) -> int:
    """Give a date as days since 1970-01-01."""
    return date.fromisoformat(text).toordinal() - EPOCH_DAY


def schedule(form: str, **more: Any) -> dict[str, Any]:
    """Give a schedule of the rules for free chlorine and pH."""
    return {
        "id": "rules:test",
        "of": "rules",
        "kind": "round",
        "duty": "",
        "test": ["free_chlorine", "ph"],
        "words": "Test.",
        "clause": "s. 1",
        "roles": [],
        "form": form,
        "seconds": 0,
        "count": 0,
        "unit": "",
        "at": [],
        "clock": [],
        "after": [],
        "by": "any",
        "spacing_days": 0,
        "grace_seconds": 0,
        "while_closed": False,
        "from_day": None,
        "when": [],
        **more,
    }


def duty(kind: str, unit: str, count: int = 1, **more: Any) -> dict[str, Any]:
    """Give a duty of the site."""
    given = {"id": f"site:{kind}", "of": "site", "kind": kind, "duty": kind, "test": []}
    return schedule("calendar", unit=unit, count=count, **{**given, "clause": "", **more})


def word(status: str, since: int, **more: Any) -> dict[str, Any]:
    """Give a word on a pool."""
    return {"status": status, "since": since, "entry": "w1", **more}


def read_at(*times: int, parameters: tuple[str, ...] = ("free_chlorine", "ph")) -> dict[str, Any]:
    """Give when rounds read some parameters."""
    return {name: sorted(times) for name in ("round", *parameters)}


def asked(*schedules: dict[str, Any], zone: str = ZONE, **more: Any) -> dict[str, Any]:
    """Give what is known of a pool with schedules, about the summer of 2026."""
    first = more.pop("first", at("2026-06-20T00:00"))
    return {
        "pool": "main",
        "name": "Main",
        "mates": ["main"],
        "offsets": offsets_ahead(zone, first, 460),
        "hours": HOURS,
        "closed_days": [],
        "plan": {"every_seconds": 0, "before_opening_seconds": 0},
        "pack": {"every_seconds": 0, "detail": ""},
        "last": None,
        "opening": None,
        "additions": [],
        "tested": {},
        "schedules": list(schedules),
        "asked_of": {"pool": {"kind": "pool"}, "parameters": [], "borrow_seconds": 0},
        "read": {},
        "read_values": [],
        "events": [],
        "duties_done": [],
        **more,
    }
