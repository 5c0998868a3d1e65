"""Facts, lines and rules about closing, drawn at random: what a tablet and the record may meet."""

from __future__ import annotations

import random
from typing import Any

from tests.kernel.deciding.deciding_cases import reading

NOON = 1_780_000_000_000
HOUR_MS = 3_600_000
KINDS = ("closure", "ordered-closure", "stool", "microbiology")
MICROBES = ("e_coli", "coliforms", "legionella")


def closure(draw: random.Random, number: int, **more: Any) -> dict[str, Any]:
    """Give a closing that stands."""
    ordered = draw.random() < 0.5
    lifted = ordered and draw.random() < 0.4
    return {
        "entry": f"c{number}",
        "at": NOON - draw.randrange(0, 90) * HOUR_MS,
        "by": "p-manager",
        "by_order": ordered,
        "of_sample": draw.random() < 0.3,
        "reason": "why",
        "lifted": NOON - HOUR_MS if lifted else None,
        "lifted_by": "p-area" if lifted else "",
        "lifted_authority": "Officer" if lifted else "",
        "lifted_reference": "",
        "told": draw.random() < 0.5,
        "notice": None,
        "authority": "Health office" if ordered else "",
        "reference": "",
        "clause": "s. 17",
        "scope": "pool",
        "incident": "",
        "round": "",
    } | more


def result(draw: random.Random, parameter: str) -> dict[str, Any]:
    """Give a row of a judgement."""
    verdict = draw.choice(["meets", "does-not-meet", "close", "evacuate", "not-judged"])
    return {
        "rule": f"{parameter}-rule",
        "clause": "s. 9",
        "parameter": parameter,
        "value": draw.choice(["<1", "1", "40"]),
        "limit": "1",
        "comparison": "below",
        "verdict": verdict,
    }


def sample(draw: random.Random, number: int) -> dict[str, Any]:
    """Give one laboratory result as facts carry it."""
    row = result(draw, draw.choice(MICROBES))
    at = NOON - draw.randrange(0, 200) * HOUR_MS
    normal = reading(row["parameter"], row["value"])
    return {"round": f"s{number}", "at": at, "reading": normal} | {
        key: row[key] for key in ("parameter", "rule", "clause", "value", "verdict")
    }


def rule(draw: random.Random, parameter: str = "free_chlorine") -> dict[str, Any]:
    """Give a compiled condition on a reading."""
    number = draw.choice([1000, 2000, 800])
    return {
        "id": "measured",
        "clause": "s. 18",
        "parameter": parameter,
        "comparison": draw.choice(["at-least", "at-most", "below"]),
        "limit": str(number // 1000),
        "limit_thousandths": number,
        "relative_to": "",
        "relative_to_fact": "",
        "times": [1, 1],
        "level": "close",
        "scope": "pool",
        "do": "",
        "lasting_seconds": 0,
        "computable": True,
        "why_not_computable": "",
        "when": [],
        "modify": [],
        "methods": [],
        "consecutive": 1,
        "window": None,
        "share": None,
        "then": [],
    }


def condition(draw: random.Random, number: int) -> dict[str, Any]:
    """Give a condition of reopening."""
    kind = draw.choice(["reading", "reading", "approval", "duty"])
    return {
        "id": f"r{number}",
        "clause": "s. 18",
        "words": "Something is so",
        "for": draw.sample(KINDS, draw.randrange(1, 4)),
        "when": [],
        "rule": rule(draw, draw.choice(["free_chlorine", "ph", "e_coli"]))
        if kind == "reading"
        else None,
        "approval": "authority" if kind == "approval" else "",
        "duty": "drain-cover" if kind == "duty" else "",
    }


def last_round(draw: random.Random) -> dict[str, Any] | None:
    """Give a pool's last round, of which findings may doubt something."""
    if draw.random() < 0.2:
        return None
    at = NOON - draw.randrange(0, 60) * HOUR_MS
    effect = draw.choice(["note", "not-judged", "not-believable"])
    return {
        "at": at,
        "oldest": at,
        "normal": [
            reading("free_chlorine", draw.choice(["0.62", "1.52", ">5.00", "2.00"])),
            reading("ph", "7.43"),
        ],
        "verdict": None
        if draw.random() < 0.2
        else {"findings": [{"effect": effect, "parameters": ["free_chlorine"]}]},
    }


def deadline(draw: random.Random, number: int) -> dict[str, Any]:
    """Give a deadline of the rules; a later one may wait for an earlier."""
    return {
        "id": f"d{number}",
        "on": draw.choice([*KINDS, "rule:free-low"]),
        "clause": "reg. 21",
        "words": "Tell the authority",
        "within_seconds": draw.choice([0, 3600, 86400, 259200]),
        "to": draw.choice(["authority", "laboratory", "site"]),
        "after": f"d{number - 1}" if number and draw.random() < 0.4 else "",
    }


def event(draw: random.Random, number: int) -> dict[str, Any]:
    """Give something from which deadlines may run."""
    actions = [
        {"rule": "free-low", "clause": "s. 17", "do": "Tell", "within_seconds": 7200, "to": to}
        for to in draw.sample(["", "authority", "patrons"], draw.randrange(0, 3))
    ]
    return {
        "about": f"c{number}",
        "pool": "main",
        "on": draw.sample([*KINDS, "rule:free-low"], draw.randrange(0, 3)),
        "at": NOON - draw.randrange(0, 100) * HOUR_MS,
        "actions": actions,
    }


def facts(draw: random.Random) -> dict[str, Any]:
    """Give what is known of a pool."""
    return {
        "pool": "main",
        "opening": draw.choice([None, {"status": "open"}, {"status": "closed"}]),
        "rounds": [
            {"id": "s0", "purpose": "sample", "at": NOON},
            {"id": "t0", "purpose": "round", "at": NOON},
        ],
        "last": last_round(draw),
        "incidents": [{"kind": "stool", "at": NOON}] if draw.random() < 0.3 else [],
        "closures": [closure(draw, number) for number in range(draw.randrange(0, 3))],
        "samples": [sample(draw, number) for number in range(draw.randrange(0, 3))],
        "deadline_events": [event(draw, number) for number in range(draw.randrange(0, 3))],
        "deadline_rules": [deadline(draw, number) for number in range(draw.randrange(0, 5))],
        "deadlines_met": [
            {
                "about": f"c{number}",
                "deadline": draw.choice(["", "d0", "d1", "then:free-low"]),
                "at": NOON - draw.randrange(0, 50) * HOUR_MS,
                "by": "p-manager",
            }
            for number in range(draw.randrange(0, 3))
        ],
        "broken": {"round": draw.choice([[], ["free-low"]])},
        "reopening": [condition(draw, number) for number in range(draw.randrange(0, 4))],
        "pool_facts": {"kind": "pool", "location": "indoor"},
    }


def bodies(draw: random.Random) -> list[tuple[str, dict[str, Any]]]:
    """Give a line of each kind that says something of a closing, of this pool or another."""
    pool = draw.choice(["main", "main", "teaching"])
    here: dict[str, Any] = {"pool": pool}
    about = {"about": draw.choice(["c0", "c1", "s0"])}
    ordered = {"by_order": True, "authority": "Health office"}
    return [
        ("pool-closed", here | {"kind": "closed", "round": draw.choice(["s0", "t0", "none"])}),
        ("pool-closed", here | {"kind": "closed"} | ordered),
        ("pool-closed", here | {"kind": "shut"}),
        ("pool-opened", here),
        ("closure-lifted", here | {"closure": about["about"], "authority": "Officer"}),
        ("notice-posted", here | about | {"languages": ["en"]}),
        ("told", here | about | {"whom": "p-area"}),
        ("authority-notified", here | about | {"authority": "Health office"}),
        ("deadline-met", here | about | {"deadline": "d1"}),
        ("incident-started", here | {"pools": [pool, "plunge"], "kind": "stool"}),
        ("round-recorded", here | {"purpose": draw.choice(["round", "sample"])}),
        ("reading-corrected", here | {"round": draw.choice(["s0", "t0"])}),
        ("everyone-out", here | {"stop": "glass"}),
    ]


def lines(draw: random.Random) -> list[dict[str, Any]]:
    """Give lines as the kernel takes them."""
    found = []
    for number, (kind, body) in enumerate(bodies(draw)):
        actions = [{"rule": "free-low", "clause": "s. 17", "do": "Tell"}]
        judged = {"body": {"results": [result(draw, "e_coli")], "actions": actions}}
        found.append(
            {
                "kind": kind,
                "id": f"n{number}",
                "at": NOON,
                "user": "p-manager",
                "reason": "why",
                "body": body,
                "verdict": judged if draw.random() < 0.8 else None,
            }
        )
    return found
