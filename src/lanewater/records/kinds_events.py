"""The kinds of entries about incidents, closures, duties, the authority matrix and rules."""

from __future__ import annotations

import re

from lanewater.terms.shapes import (
    Check,
    Shape,
    date,
    flag,
    identity,
    instant,
    list_of,
    matching,
    one_of,
    text,
    whole,
    words,
)
from lanewater.terms.words import (
    DECISION_ANSWERS,
    DECISIONS,
    DUTY_KINDS,
    INCIDENT_KINDS,
    NOTED_EVENTS,
    ROLES,
)

STEP_ANSWERS = ("done", "not-needed", "not-done")
INCIDENT_OUTCOMES = ("criteria-met", "false-alarm")
INCIDENT_NOTES = ("again", "people", "words")
CLOSURE_SCOPES = ("pool", "circuit", "site")

digest = matching(re.compile(r"[0-9a-f]{64}", re.ASCII), "64 hexadecimal digits")

CLOSURE = {
    "by_order": flag,
    "authority": text(200),
    "reference": text(120),
    "clause": text(200),
    "scope": one_of(*CLOSURE_SCOPES),
    "incident": identity,
    "round": identity,
}
EVERY = Shape(
    {},
    {
        "days": whole(1, 366),
        "weeks": whole(1, 104),
        "months": whole(1, 60),
        "years": whole(1, 10),
    },
)
WATER = Shape(
    {"pool": identity},
    {
        "found_free": text(20),
        "found_ph": text(20),
        "left_free": text(20),
        "left_ph": text(20),
    },
)
DOCUMENT = Shape({"name": text(200, shortest=1), "sha256": digest})

EVENT_KINDS: dict[str, Check] = {
    "incident-started": Shape(
        {
            "incident": identity,
            "kind": one_of(*INCIDENT_KINDS),
            "pool": identity,
            "pools": list_of(identity, 60, least=1),
        },
        {"nobody_in": flag, "words": words},
    ),
    "incident-step-done": Shape(
        {"incident": identity, "step": text(60, shortest=1), "answer": one_of(*STEP_ANSWERS)},
        {"pool": identity, "words": words},
    ),
    "incident-route-chosen": Shape(
        {"incident": identity, "procedure": text(80, shortest=1), "route": text(80, shortest=1)},
        {"pool": identity},
    ),
    "incident-noted": Shape(
        {"incident": identity, "what": one_of(*INCIDENT_NOTES)},
        {"pool": identity, "count": whole(0, 100000), "words": words},
    ),
    "incident-ended": Shape(
        {"incident": identity, "outcome": one_of(*INCIDENT_OUTCOMES)},
        {
            "pool": identity,
            "criteria": list_of(text(200), 40),
            "pools": list_of(identity, 60, least=1),
            "water": list_of(WATER, 60),
            "procedure": text(80),
            "route": text(80),
            "ct": text(20),
            "held_minutes": whole(0, 1000000),
            "still_minutes": whole(0, 1000000),
        },
    ),
    "incident-continued": Shape(
        {
            "incident": identity,
            "pool": identity,
            "pools": list_of(identity, 300, least=1),
            "ended": identity,
            "unmet": list_of(text(200), 40, least=1),
        }
    ),
    "closure-lifted": Shape(
        {"pool": identity, "closure": identity, "authority": text(200, shortest=1)},
        {"reference": text(120), "document": DOCUMENT},
    ),
    "authority-notified": Shape(
        {"pool": identity, "about": identity, "authority": text(200, shortest=1)},
        {"how": text(60), "deadline": text(200), "words": words},
    ),
    "notice-posted": Shape(
        {"pool": identity, "about": identity, "languages": list_of(text(8), 12, least=1)},
        {"place": text(120)},
    ),
    "deadline-met": Shape(
        {"pool": identity, "about": identity, "deadline": text(200, shortest=1)}, {"words": words}
    ),
    "duty-set-up": Shape(
        {"duty": identity, "kind": one_of(*DUTY_KINDS), "name": text(120, shortest=1)},
        {"pool": identity, "every": EVERY, "from": date, "role": one_of(*ROLES), "gone": flag},
    ),
    "duty-done": Shape(
        {"duty": text(160, shortest=1), "answer": one_of(*STEP_ANSWERS)},
        {"pool": identity, "words": words},
    ),
    "closed-days-set": Shape(
        {"days": list_of(Shape({"day": date}, {"name": text(120)}), 400)}, {"pool": identity}
    ),
    "event-noted": Shape({"what": one_of(*NOTED_EVENTS)}, {"pool": identity, "words": words}),
    "matrix-set": Shape(
        {
            "rows": list_of(
                Shape(
                    {
                        "decision": one_of(*DECISIONS),
                        "role": one_of(*ROLES),
                        "answer": one_of(*DECISION_ANSWERS),
                    }
                ),
                100,
                least=1,
            )
        }
    ),
    "rules-accepted": Shape(
        {"rules": identity, "edition": text(200), "hash": digest},
        {"pool": identity, "was": digest},
    ),
    "rules-overlay-added": Shape(
        {"overlay": identity, "extends": identity, "hash": digest},
        {"document": DOCUMENT, "from": instant, "pool": identity},
    ),
    "rules-overlay-ended": Shape({"overlay": identity}),
}
