"""Every route by every role, as it must be: a route without a line here fails the build."""

from __future__ import annotations

from typing import Any

from tests.interfaces.api.baths import PINS, ROUND

from lanewater.interfaces.api.table import TABLE

# In the order of the statuses below.
ROLES = (
    "nobody",
    "enrolled",
    "tester",
    "contractor",
    "plant-operator",
    "duty-manager",
    "area-manager",
    "first-key",
)
# Another site's area manager is nobody here; a session on another browser is worth that browser.
SAME_AS = {"other-site": "nobody", "other-device": "enrolled"}
EVERYBODY = (*ROLES, *SAME_AS)
NO_ONE = "0" * 8 + "-0000-7000-8000-" + "0" * 12
QUESTIONS = dict.fromkeys(("everybody_out", "pump_running", "looked"), "yes") | {
    "anything_added": "no"
}
# 404, 409 and 422 mean that the caller passed and the service answered; 401 is "not enrolled" or
# "sign in", 403 is "somebody else may".
ANYBODY = (200,) * 8
ENROLLED = (401, 200, 200, 200, 200, 200, 200, 200)
MANAGERS = (401, 403, 403, 403, 403, 403, 200, 200)
BODIES: dict[str, Any] = {
    "POST /api/v1/record/compare": {"stamp": "no such stamp"},
    "POST /api/v1/enrol": {"key": "no-such-key", "name": "Tablet"},
    "POST /api/v1/sign-in": {"person": "tester", "pin": PINS["tester"]},
    "POST /api/v1/sign-out": {},
    "POST /api/v1/unlock": {"person": "tester", "device": "tab-none"},
    "POST /api/v1/devices/remove": {"device": "tab-none"},
    "POST /api/v1/people/forget": {"person": "no-such-person"},
    "POST /api/v1/handover/acknowledge": {"made": "2026-01-01T06:00:00.000Z", "open": []},
    "POST /api/v1/pools/{pool}/everyone-out": {"stop": "glass"},
    "POST /api/v1/pools/{pool}/end-stop": {"reason": "Seen again", "pin": "PIN"},
    "POST /api/v1/pools/{pool}/open": {"pin": "PIN"},
    "POST /api/v1/pools/{pool}/confirm": {"opening": NO_ONE, "pin": "PIN"},
    "POST /api/v1/site/telephone": {"allowed": True},
    "POST /api/v1/authorities": {
        "person": "tester",
        "pools": ["main"],
        "from": "2099-01-01T00:00:00Z",
        "until": "2099-01-02T00:00:00Z",
        "pin": "PIN",
    },
    "POST /api/v1/authorities/end": {"authority": "sa-none", "pin": "PIN"},
    "POST /api/v1/pools/{pool}/settle": {
        "status": "closed",
        "entries": [NO_ONE, NO_ONE],
        "reason": "Went to look",
        "pin": "PIN",
    },
    "POST /api/v1/pools/{pool}/close": {"kind": "closed", "reason": "Cleaning"},
    "POST /api/v1/pools/{pool}/lift": {
        "closure": NO_ONE,
        "authority": "Health office",
        "pin": "PIN",
    },
    "POST /api/v1/pools/{pool}/notified": {"about": NO_ONE, "authority": "Health office"},
    "POST /api/v1/pools/{pool}/notice": {"about": NO_ONE, "languages": ["en"]},
    "POST /api/v1/pools/{pool}/deadline-met": {"about": NO_ONE, "deadline": "notify"},
    "POST /api/v1/site/matrix": {
        "rows": [{"decision": "open", "role": "plant-operator", "answer": "delegated"}]
    },
    "POST /api/v1/pools/{pool}/told": {"about": NO_ONE, "whom": "dm"},
    "POST /api/v1/inspections": {
        "from": "2026-01-01T00:00:00Z",
        "to": "2026-12-01T00:00:00Z",
        "hours": 24,
    },
    "POST /api/v1/inspections/end": {"link": "0123456789ab"},
    "POST /api/v1/incidents": {"kind": "glass", "pool": "main"},
    "POST /api/v1/incidents/{incident}/steps": {"step": "people-out", "answer": "done"},
    "POST /api/v1/incidents/{incident}/route": {"procedure": "a", "route": "b", "pin": "PIN"},
    "POST /api/v1/incidents/{incident}/notes": {"what": "again"},
    "POST /api/v1/incidents/{incident}/end": {
        "false_alarm": True,
        "reason": "A leaf",
        "pin": "PIN",
    },
    "POST /api/v1/duties/done": {"duty": "site:nothing", "answer": "done"},
    "POST /api/v1/events": {"what": "rain", "pool": "main"},
    "POST /api/v1/rounds": ROUND,
    "POST /api/v1/rounds/{round_id}/corrections": {
        "parameter": "ph",
        "value": "7.41",
        "reason": "Misread",
    },
    "POST /api/v1/sync/entries": {"entries": []},
    "POST /api/v1/advice": {"pool": "main", "questions": QUESTIONS},
    "POST /api/v1/plan": {"pool": "main", "questions": QUESTIONS},
    "POST /api/v1/additions/start": {"pool": "main", "product": "hypo"},
    "POST /api/v1/additions/answer": {"addition": NO_ONE, "answer": "unknown"},
    "POST /api/v1/site/rules/accept": {"rules": "ca-qc", "hash": "0" * 64, "pin": "PIN"},
    "POST /api/v1/site/items": {
        "what": "contact",
        "item": {"name": "Gas", "phone": "555 0199", "kind": "emergency"},
    },
    "POST /api/v1/site/import": {"lanewater_set_up": 1},
}
EXPECTED: dict[str, tuple[int, ...]] = {
    "GET /healthz": ANYBODY,
    "GET /openapi.json": ANYBODY,
    "GET /api/v1/me": ANYBODY,
    "POST /api/v1/enrol": (409,) * 8,
    "GET /api/v1/people": ENROLLED,
    "POST /api/v1/sign-in": ENROLLED,
    "POST /api/v1/sign-out": ENROLLED,
    "POST /api/v1/unlock": MANAGERS,
    "POST /api/v1/devices/remove": MANAGERS,
    "POST /api/v1/people/forget": (401, 403, 403, 403, 403, 403, 404, 404),
    "GET /api/v1/now": ENROLLED,
    "GET /api/v1/carry": ENROLLED,
    "GET /api/v1/handover": ENROLLED,
    "POST /api/v1/handover/acknowledge": (401, 401, 200, 200, 200, 200, 200, 401),
    "GET /api/v1/pools/{pool}/context": ENROLLED,
    "GET /api/v1/pools/{pool}/additions": ENROLLED,
    "GET /api/v1/pools/{pool}/causes": ENROLLED,
    "POST /api/v1/pools/{pool}/everyone-out": ENROLLED,
    "POST /api/v1/pools/{pool}/end-stop": (401, 401, 403, 403, 403, 200, 200, 401),
    "POST /api/v1/pools/{pool}/open": (401, 401, 403, 403, 403, 200, 200, 401),
    "POST /api/v1/pools/{pool}/confirm": (401, 401, 409, 409, 409, 409, 409, 401),
    "POST /api/v1/pools/{pool}/settle": (401, 401, 403, 403, 403, 409, 409, 401),
    "POST /api/v1/pools/{pool}/close": (401, 401, 403, 403, 200, 200, 200, 401),
    "POST /api/v1/pools/{pool}/lift": (401, 401, 403, 403, 403, 409, 409, 401),
    "POST /api/v1/pools/{pool}/notified": (401, 422, 422, 422, 422, 422, 422, 422),
    "POST /api/v1/pools/{pool}/notice": (401, 422, 422, 422, 422, 422, 422, 422),
    "POST /api/v1/pools/{pool}/deadline-met": (401, 422, 422, 422, 422, 422, 422, 422),
    "GET /api/v1/site/matrix": ENROLLED,
    "POST /api/v1/site/matrix": MANAGERS,
    "POST /api/v1/pools/{pool}/told": (401, 422, 422, 422, 422, 422, 422, 422),
    "POST /api/v1/incidents": ENROLLED,
    "GET /api/v1/incidents": ENROLLED,
    "GET /api/v1/incidents/{incident}": (401, 404, 404, 404, 404, 404, 404, 404),
    "POST /api/v1/incidents/{incident}/steps": (401, 404, 404, 404, 404, 404, 404, 404),
    "POST /api/v1/incidents/{incident}/route": (401, 401, 403, 403, 404, 404, 404, 401),
    "POST /api/v1/incidents/{incident}/notes": (401, 404, 404, 404, 404, 404, 404, 404),
    "POST /api/v1/incidents/{incident}/end": (401, 401, 403, 403, 404, 404, 404, 401),
    "GET /api/v1/due": ENROLLED,
    "POST /api/v1/duties/done": (401, 422, 422, 422, 422, 422, 422, 422),
    "POST /api/v1/events": ENROLLED,
    "POST /api/v1/rounds": ENROLLED,
    "GET /api/v1/rounds": ENROLLED,
    "GET /api/v1/rounds/{round_id}": (401, 404, 404, 404, 404, 404, 404, 404),
    "POST /api/v1/rounds/{round_id}/corrections": (401, 403, 403, 403, 200, 200, 200, 403),
    "GET /api/v1/record": ENROLLED,
    "GET /api/v1/record/stamp": (401, 401, 200, 200, 200, 200, 200, 401),
    "POST /api/v1/record/compare": (401, 401, 422, 422, 422, 422, 422, 401),
    "POST /api/v1/sync/entries": ENROLLED,
    "GET /api/v1/sync/entries": ENROLLED,
    "GET /api/v1/stamp": ENROLLED,
    "POST /api/v1/advice": ENROLLED,
    "POST /api/v1/plan": ENROLLED,
    "POST /api/v1/additions/start": (401, 401, 403, 403, 403, 403, 403, 401),
    "POST /api/v1/additions/answer": (401, 422, 422, 422, 422, 422, 422, 422),
    "GET /api/v1/water": (401, 401, 200, 200, 200, 200, 200, 401),
    "GET /api/v1/pools/{pool}/combined": (401, 401, 200, 200, 200, 200, 200, 401),
    "GET /api/v1/pools/{pool}/trends": (401, 401, 200, 200, 200, 200, 200, 401),
    "GET /api/v1/site": MANAGERS,
    "GET /api/v1/site/public": ENROLLED,
    "POST /api/v1/site/items": MANAGERS,
    "POST /api/v1/site/import": MANAGERS,
    "POST /api/v1/site/telephone": MANAGERS,
    "GET /api/v1/authorities": ENROLLED,
    "POST /api/v1/authorities": (401, 401, 403, 403, 403, 200, 200, 401),
    "POST /api/v1/authorities/end": (401, 401, 403, 403, 403, 422, 422, 401),
    "POST /api/v1/inspections": MANAGERS,
    "GET /api/v1/inspections": MANAGERS,
    "POST /api/v1/inspections/end": (401, 403, 403, 403, 403, 403, 404, 404),
    # No cookie opens these, whoever it belongs to: test_inspections holds the link itself.
    "GET /api/v1/inspection": (401,) * 8,
    "GET /api/v1/inspection/sheet": (401,) * 8,
    "GET /api/v1/sheet/blank": ENROLLED,
    "GET /api/v1/rules": ENROLLED,
    "GET /api/v1/rules/{pack}": ENROLLED,
    "GET /api/v1/site/rules": ENROLLED,
    "POST /api/v1/site/rules/accept": (401, 401, 403, 403, 403, 403, 409, 401),
    "GET /api/v1/rounds/{round_id}/every-pack": (401, *(404,) * 7),
    "GET /api/v1/words": ENROLLED,
}
# What must stand on record before a route can answer with success.
BEFORE = {
    "POST /api/v1/pools/{pool}/end-stop": (
        "/pools/main/everyone-out",
        {"stop": "glass"},
        "enrolled",
    ),
    "POST /api/v1/pools/{pool}/open": ("/rounds", ROUND, "tester"),
    "POST /api/v1/rounds/{round_id}/corrections": ("/rounds", ROUND, "competent"),
}


def expected(name: str, role: str) -> int:
    """Give the status that a route owes a role."""
    return EXPECTED[name][ROLES.index(SAME_AS.get(role, role))]


def address_of(name: str, round_id: str = NO_ONE) -> str:
    """Give a route's address, with a pool, a pack and a round in it."""
    path = name.partition(" ")[2]
    return path.format(pool="main", pack="ca-qc", round_id=round_id, incident="inc-none")


def names_of_routes() -> list[str]:
    """Give every route of the table, in its order."""
    return [f"{row.method} {row.path}" for row in TABLE]
