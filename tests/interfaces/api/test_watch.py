"""What touches security leaves one line each, and no secret in it."""

from __future__ import annotations

import json
import logging
from typing import Any

import pytest
from tests.interfaces.api.baths import PINS, ROUND, Baths

from lanewater.service import access


@pytest.fixture
def log(caplog: pytest.LogCaptureFixture) -> pytest.LogCaptureFixture:
    """Catch the log of what touches security."""
    caplog.set_level(logging.INFO, "lanewater.security")
    return caplog


def lines(log: pytest.LogCaptureFixture) -> list[dict[str, Any]]:
    """Read the log's lines."""
    return [json.loads(row.getMessage()) for row in log.records if row.name.endswith("security")]


def test_each_event_leaves_one_line(baths: Baths, log: pytest.LogCaptureFixture) -> None:
    key = access.make_first_key(baths.book)
    baths.post("/enrol", {"key": key, "name": "Tablet"}, role="nobody")
    baths.post("/sign-in", {"person": "tester", "pin": "999999"})
    baths.post("/sign-in", {"person": "tester", "pin": PINS["tester"]})
    baths.post("/site/items", {"what": "contact", "item": {}}, role="tester")
    baths.post("/rounds", ROUND, role="nobody")
    baths.post("/rounds", ROUND, headers={"Sec-Fetch-Site": "cross-site"})
    found = [(line["route"], line["status"]) for line in lines(log)]
    assert found == [
        ("POST /api/v1/enrol", 200),
        ("POST /api/v1/sign-in", 403),
        ("POST /api/v1/sign-in", 200),
        ("POST /api/v1/site/items", 403),
        ("POST /api/v1/rounds", 401),
        ("POST /api/v1/rounds", 403),
    ]
    assert lines(log)[1]["asked_for"] == "tester"
    assert lines(log)[3]["person"] == "tester"
    for secret in (key, "999999", PINS["tester"], *baths.tokens["tester"].values()):
        assert secret not in log.text


def test_daily_work_leaves_none(baths: Baths, log: pytest.LogCaptureFixture) -> None:
    baths.post("/rounds", ROUND, role="tester")
    baths.post("/pools/main/everyone-out", {"stop": "glass"})
    baths.get("/now")
    baths.get("/site", role="tester")
    assert lines(log) == []


def test_a_made_up_name_forges_no_line(baths: Baths, log: pytest.LogCaptureFixture) -> None:
    baths.post("/sign-in", {"person": 'x"}\n{"route": "forged', "pin": "1"})
    assert len(lines(log)) == 1
    assert "forged" not in log.text


def test_guesses_at_a_link_leave_lines_once_they_are_too_many(
    baths: Baths, log: pytest.LogCaptureFixture
) -> None:
    for number in range(32):
        headers = {"Authorization": f"Bearer guess-{number}"}
        baths.ask("GET", "/api/v1/inspection", headers=headers)
    assert {(line["route"], line["status"]) for line in lines(log)} == {
        ("GET /api/v1/inspection", 429)
    }
    assert "guess-" not in log.text


def test_what_opens_the_record_and_what_forgets_a_name_leave_a_line(
    baths: Baths, log: pytest.LogCaptureFixture
) -> None:
    baths.post("/inspections", {}, role="area-manager")
    baths.post("/people/forget", {"person": "tester"}, role="area-manager")
    found = [(line["route"], line["person"]) for line in lines(log)]
    assert found == [
        ("POST /api/v1/inspections", "area-manager"),
        ("POST /api/v1/people/forget", "area-manager"),
    ]
    assert lines(log)[1]["asked_for"] == "tester"
