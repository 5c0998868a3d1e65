"""Every route by every role, own and other site's, own and other device's: deny by default."""

from __future__ import annotations

from typing import Any

import httpx
import pytest
from fastapi import FastAPI
from fastapi.routing import APIRoute
from tests.interfaces.api.authority_rows import (
    BEFORE,
    BODIES,
    EVERYBODY,
    EXPECTED,
    NO_ONE,
    ROLES,
    SAME_AS,
    address_of,
    expected,
    names_of_routes,
)
from tests.interfaces.api.baths import PINS, Baths
from tests.interfaces.api.browser import Browser

from lanewater.interfaces.api.app import build_api
from lanewater.interfaces.api.gate import GatedRoute
from lanewater.interfaces.api.served import Served
from lanewater.interfaces.api.table import TABLE

MODELS = {f"{row.method} {row.path}": row.answers for row in TABLE}
CELLS = [(name, role) for name in EXPECTED for role in EVERYBODY]
# What is refused changes nothing, so one site serves for all of it; so it does for reading.
QUIET = [
    (name, role)
    for name, role in CELLS
    if name[:3] == "GET" or (name not in BEFORE and expected(name, role) in (401, 403))
]
CHANGES = [cell for cell in CELLS if cell not in QUIET]


def body_for(name: str, role: str) -> dict[str, Any]:
    """Give what is sent to a route, with the role's own PIN where it asks for one."""
    sent = BODIES.get(name)
    if sent is None:
        return {}
    pin = PINS.get(role, "1")
    return {"body": {key: pin if text == "PIN" else text for key, text in sent.items()}}


def hold(name: str, role: str, answer: httpx.Response) -> None:
    """Hold an answer to the status that a role gets, and a good one to its description."""
    assert answer.status_code == expected(name, role), answer.text
    if answer.status_code == 200 and answer.headers["content-type"] == "application/pdf":
        assert answer.content.startswith(b"%PDF-")
    elif answer.status_code == 200:
        MODELS[name].model_validate(answer.json())


def test_every_route_stands_in_the_table_of_expectations_with_every_role() -> None:
    assert set(names_of_routes()) == set(EXPECTED)
    assert {len(row) for row in EXPECTED.values()} == {len(ROLES)}
    assert {name for name in EXPECTED if name.startswith("POST")} == set(BODIES)


def test_nothing_but_three_pages_and_the_first_key_is_open_to_a_stranger() -> None:
    open_to_all = {name for name in EXPECTED if expected(name, "nobody") != 401}
    assert open_to_all == {
        "GET /healthz",
        "GET /openapi.json",
        "GET /api/v1/me",
        "POST /api/v1/enrol",
    }


def test_the_other_sites_manager_holds_cookies_that_are_good_there(baths: Baths) -> None:
    assert set(SAME_AS) <= set(baths.tokens)
    assert baths.tokens["other-site"].keys() == baths.tokens["area-manager"].keys()
    assert baths.get("/me", role="other-site").json()["site"] == {"name": "Lindmere Baths"}
    assert baths.get("/me", role="other-device").json()["person"] is None


@pytest.mark.parametrize(("name", "role"), QUIET)
def test_a_role_reads_and_is_refused_as_expected_and_nothing_is_recorded(
    shared_baths: Baths, name: str, role: str
) -> None:
    before = shared_baths.entries()
    method = name.partition(" ")[0]
    hold(name, role, shared_baths.ask(method, address_of(name), role=role, **body_for(name, role)))
    assert shared_baths.entries() == before


@pytest.mark.parametrize(("name", "role"), CHANGES)
def test_a_role_changes_what_is_expected(baths: Baths, name: str, role: str) -> None:
    before = BEFORE.get(name)
    made = baths.post(*before).json() if before else {}
    entries = baths.entries()
    address = address_of(name, made.get("round", NO_ONE))
    hold(name, role, baths.ask("POST", address, role=role, **body_for(name, role)))
    if expected(name, role) in (401, 403):
        assert baths.entries() == entries


@pytest.mark.parametrize(
    "name", [name for name in EXPECTED if "{pool}" in name and expected(name, "enrolled") != 401]
)
def test_another_sites_pool_is_no_pool_here(shared_baths: Baths, name: str) -> None:
    address = address_of(name).replace("/main/", "/elsewhere/")
    method = name.partition(" ")[0]
    answer = shared_baths.ask(method, address, role="area-manager", **body_for(name, "x"))
    assert answer.status_code == 404


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
