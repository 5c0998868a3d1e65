"""What is known of a pool, and a device's lines about it, for tests of the deciding kernel."""

from __future__ import annotations

from typing import Any

from tests.kernel.deciding.deciding_cases import AT, reading

NOW = AT * 1000
MINUTE = 60_000
HOURS = [{"day": day, "opens": 390, "closes": 1320} for day in range(7)]
SEEN = {"parameter": "clarity", "value": "visible"}
VERDICT = {
    "rules": "ca-qc",
    "edition": "2024",
    "status": "draft",
    "stops": [],
    "results": [],
    "not_judged": [],
    "actions": [],
    "findings": [],
    "overall": "meets",
    "level": "note",
    "next_due": {"at": None, "why": ""},
    "changed_to_pass": False,
}


def verdict(overall: str = "meets", **more: Any) -> dict[str, Any]:
    """Give what the rules say of a round."""
    return {**VERDICT, "overall": overall, **more}


def last(ago: int = 10, **more: Any) -> dict[str, Any]:
    """Give a pool's last round, taken so many minutes ago."""
    at = NOW - ago * MINUTE
    typed = {"parameter": "free_chlorine", "value": "1.5", "unit": "", "point": "", "dilution": 1}
    return {
        "id": "r1",
        "at": at,
        "recorded": at,
        "source": "direct",
        "by": "p1",
        "verified": True,
        "through": "d1",
        "device": "Tablet",
        "corrected": False,
        "changed_after_result": False,
        "told": False,
        "oldest": at,
        "normal": [reading("free_chlorine", "1.5"), reading("ph", "7.4")],
        "between": [],
        "expired": [],
        "readings": [
            typed | {"at": at},
            typed | {"parameter": "clarity", "value": "visible", "at": at},
        ],
        "verdict": verdict(),
        **more,
    }


def row(identity: str, ago: int, **more: Any) -> dict[str, Any]:
    """Give an earlier round."""
    at = NOW - ago * MINUTE
    return {
        "id": identity,
        "at": at,
        "purpose": "round",
        "source": "direct",
        "oldest": at,
        "parameters": ["free_chlorine", "ph"],
        "readings": [reading("free_chlorine", "1.4"), reading("ph", "7.4")],
        "doubtful": [],
        **more,
    }


def stop(identity: str = "glass", ago: int = 5, **more: Any) -> dict[str, Any]:
    """Give a house stop."""
    return {
        "id": identity,
        "entry": "s-" + identity,
        "since": NOW - ago * MINUTE,
        "by": "p1",
        "words": "",
        "round": "",
        "told": False,
        **more,
    }


def word(status: str = "open", ago: int = 30, **more: Any) -> dict[str, Any]:
    """Give a word on a pool."""
    return {
        "status": status,
        "since": NOW - ago * MINUTE,
        "by": "p2",
        "reason": "",
        "entry": f"w-{status}-{ago}",
        "marked": [],
        "round": "r1",
        "through": "d1",
        "device": "Tablet",
        "stop": "",
        "word_of": "",
        "standing": "",
        "confirmed": None,
        "confirmed_by": "",
        "on_device": False,
        "without_authority": False,
        **more,
    }


def addition(answer: str = "added", ago: int = 20, **more: Any) -> dict[str, Any]:
    """Give something that is or was added."""
    at = NOW - ago * MINUTE
    return {
        "id": f"a-{answer}-{ago}",
        "pool": "main",
        "circuit": "hall",
        "started": at,
        "answer": answer,
        "answered": at if answer else 0,
        "wait_minutes": 0,
        "chlorine": True,
        **more,
    }


def facts(**more: Any) -> dict[str, Any]:
    """Give what is known of a pool that shares its filter with another."""
    return {
        "pool": "main",
        "name": "Main",
        "mates": ["main", "teaching"],
        "circuit": "hall",
        "offsets": [{"from": AT - 9 * 86400, "minutes": -240}],
        "hours": HOURS,
        "plan": {"every_seconds": 14400, "before_opening_seconds": 0},
        "pack": {"every_seconds": 0, "detail": "no interval"},
        "last": last(),
        "rounds": [row("r0", 250), row("r1", 10)],
        "tested": {},
        "stops": [],
        "opening": None,
        "also_closed": [],
        "disputes": [],
        "advices": [],
        "additions": [],
        "chlorines": ["hypo"],
        "unauthorised": [],
        **more,
    }


def entry(kind: str, body: dict[str, Any], **more: Any) -> dict[str, Any]:
    """Give a device's own line."""
    return {
        "kind": kind,
        "id": "e1",
        "at": NOW,
        "rec": NOW,
        "user": "p1",
        "method": "pin",
        "device": {"id": "d2", "name": "Own"},
        "body": {"pool": "main", **body},
        "reason": "",
        "amends": "",
        "readings": [],
        "verdict": None,
        "normal": [],
        "between": [],
        "expired": [],
        "doubtful": [],
        **more,
    }


def round_entry(*readings: dict[str, Any], **more: Any) -> dict[str, Any]:
    """Give a device's own round."""
    typed = [
        {
            "parameter": one["parameter"],
            "value": one["value"],
            "unit": "",
            "point": one["point"],
            "dilution": one["dilution"],
            "at": None if one["at"] is None else one["at"] * 1000,
        }
        for one in readings
    ]
    said = {"source": "direct", "tester": {"unlisted": True}}
    judged = {"rules": None, "body": {"overall": "not-judged", "level": "note", "stops": []}}
    found = entry("round-recorded", said, readings=typed, normal=list(readings), verdict=judged)
    return {**found, **more}
