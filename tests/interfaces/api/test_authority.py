"""Every route by every role: what is expected stands here, and a route without a line fails."""

from __future__ import annotations

from typing import Any

import httpx
import pytest
from fastapi import FastAPI
from fastapi.routing import APIRoute
from tests.interfaces.api.baths import PINS, ROUND, Baths
from tests.interfaces.api.browser import Browser

from lanewater.interfaces.api.app import build_api
from lanewater.interfaces.api.gate import GatedRoute
from lanewater.interfaces.api.served import Served
from lanewater.interfaces.api.table import TABLE

ALL = ("nobody", "enrolled", "tester", "plant-operator", "duty-manager", "area-manager", "owner")
NO_ONE = "0" * 8 + "-0000-7000-8000-" + "0" * 12
QUESTIONS = dict.fromkeys(("everybody_out", "pump_running", "looked"), "yes") | {
    "anything_added": "no"
}
# Statuses in the order of ALL. 404, 409 and 422 mean that the caller passed and the service
# answered; 401 is "not enrolled" or "sign in", 403 is "somebody else may".
ANYBODY = (200,) * 7
ENROLLED = (401, 200, 200, 200, 200, 200, 200)
MANAGERS = (401, 403, 403, 403, 403, 200, 200)
BODIES: dict[str, Any] = {
    "POST /api/v1/enrol": {"key": "no-such-key", "name": "Tablet"},
    "POST /api/v1/sign-in": {"person": "tester", "pin": PINS["tester"]},
    "POST /api/v1/sign-out": {},
    "POST /api/v1/unlock": {"person": "tester", "device": "tab-none"},
    "POST /api/v1/devices/remove": {"device": "tab-none"},
    "POST /api/v1/pools/{pool}/everyone-out": {"stop": "glass"},
    "POST /api/v1/pools/{pool}/end-stop": {"reason": "Seen again", "pin": "PIN"},
    "POST /api/v1/pools/{pool}/open": {"pin": "PIN"},
    "POST /api/v1/pools/{pool}/close": {"kind": "closed", "reason": "Cleaning"},
    "POST /api/v1/pools/{pool}/told": {"about": NO_ONE, "whom": "dm"},
    "POST /api/v1/rounds": ROUND,
    "POST /api/v1/rounds/{round_id}/corrections": {
        "parameter": "ph",
        "value": "7.41",
        "reason": "Misread",
    },
    "POST /api/v1/advice": {"pool": "main", "questions": QUESTIONS},
    "POST /api/v1/plan": {"pool": "main", "questions": QUESTIONS},
    "POST /api/v1/additions/start": {"pool": "main", "product": "hypo"},
    "POST /api/v1/additions/answer": {"addition": NO_ONE, "answer": "unknown"},
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
    "POST /api/v1/enrol": (409,) * 7,
    "GET /api/v1/people": ENROLLED,
    "POST /api/v1/sign-in": ENROLLED,
    "POST /api/v1/sign-out": ENROLLED,
    "POST /api/v1/unlock": MANAGERS,
    "POST /api/v1/devices/remove": MANAGERS,
    "GET /api/v1/now": ENROLLED,
    "GET /api/v1/pools/{pool}/context": ENROLLED,
    "GET /api/v1/pools/{pool}/additions": ENROLLED,
    "GET /api/v1/pools/{pool}/causes": ENROLLED,
    "POST /api/v1/pools/{pool}/everyone-out": ENROLLED,
    "POST /api/v1/pools/{pool}/end-stop": (401, 401, 403, 403, 200, 200, 401),
    "POST /api/v1/pools/{pool}/open": (401, 401, 403, 403, 200, 200, 401),
    "POST /api/v1/pools/{pool}/close": (401, 401, 403, 200, 200, 200, 401),
    "POST /api/v1/pools/{pool}/told": (401, 422, 422, 422, 422, 422, 422),
    "POST /api/v1/rounds": ENROLLED,
    "GET /api/v1/rounds": ENROLLED,
    "GET /api/v1/rounds/{round_id}": (401, 404, 404, 404, 404, 404, 404),
    "POST /api/v1/rounds/{round_id}/corrections": (401, 403, 403, 200, 200, 200, 403),
    "GET /api/v1/record": ENROLLED,
    "POST /api/v1/advice": ENROLLED,
    "POST /api/v1/plan": ENROLLED,
    "POST /api/v1/additions/start": (401, 401, 403, 403, 403, 403, 401),
    "POST /api/v1/additions/answer": (401, 422, 422, 422, 422, 422, 422),
    "GET /api/v1/water": (401, 401, 200, 200, 200, 200, 401),
    "GET /api/v1/pools/{pool}/combined": (401, 401, 200, 200, 200, 200, 401),
    "GET /api/v1/pools/{pool}/trends": (401, 401, 200, 200, 200, 200, 401),
    "GET /api/v1/site": MANAGERS,
    "GET /api/v1/site/public": ENROLLED,
    "POST /api/v1/site/items": MANAGERS,
    "POST /api/v1/site/import": MANAGERS,
    "GET /api/v1/rules": ENROLLED,
    "GET /api/v1/rules/{pack}": ENROLLED,
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
MODELS = {f"{row.method} {row.path}": row.answers for row in TABLE}
READS = [(name, role) for name in EXPECTED for role in ALL if name.startswith("GET")]
CHANGES = [(name, role) for name in EXPECTED for role in ALL if name.startswith("POST")]


def address_of(name: str, round_id: str = NO_ONE) -> str:
    """Give a route's address, with a pool, a pack and a round in it."""
    path = name.partition(" ")[2]
    return path.format(pool="main", pack="ca-qc", round_id=round_id)


def hold(name: str, role: str, answer: httpx.Response) -> None:
    """Hold an answer to the status that a role gets, and a good one to its description."""
    assert answer.status_code == EXPECTED[name][ALL.index(role)], answer.text
    if answer.status_code == 200:
        MODELS[name].model_validate(answer.json())


def test_every_route_stands_in_the_table_of_expectations() -> None:
    assert {f"{row.method} {row.path}" for row in TABLE} == set(EXPECTED)


@pytest.mark.parametrize(("name", "role"), READS)
def test_a_role_reads_what_is_expected(shared_baths: Baths, name: str, role: str) -> None:
    hold(name, role, shared_baths.ask("GET", address_of(name), role=role))


@pytest.mark.parametrize(("name", "role"), CHANGES)
def test_a_role_changes_what_is_expected(baths: Baths, name: str, role: str) -> None:
    before = BEFORE.get(name)
    made = baths.post(*before).json() if before else {}
    body = {
        key: PINS.get(role, "1") if text == "PIN" else text for key, text in BODIES[name].items()
    }
    answer = baths.ask("POST", address_of(name, made.get("round", NO_ONE)), body, role=role)
    hold(name, role, answer)


@pytest.mark.parametrize("name", [name for name, row in EXPECTED.items() if row[0] == 401])
def test_a_stranger_leaves_nothing_on_record(shared_baths: Baths, name: str) -> None:
    before = shared_baths.entries()
    more = {"body": BODIES[name]} if name in BODIES else {}
    shared_baths.ask(name.partition(" ")[0], address_of(name), role="nobody", **more)
    assert shared_baths.entries() == before


def test_a_route_that_does_not_stand_in_the_table_is_open_to_nobody(baths: Baths) -> None:
    app = build_api(Served(baths.book))
    app.add_api_route("/api/v1/new", lambda: {"open": True}, methods=["GET"])
    browser = Browser(app)
    answer = browser.ask("GET", "/api/v1/new", cookies=baths.tokens["area-manager"])
    browser.close()
    assert answer.status_code == 403
    assert "open" not in answer.json()


def test_every_route_stands_behind_the_gate(baths: Baths) -> None:
    app: FastAPI = build_api(Served(baths.book))
    routes = [route for route in app.routes if isinstance(route, APIRoute)]
    assert len(routes) == len(TABLE)
    assert all(isinstance(route, GatedRoute) for route in app.routes)
