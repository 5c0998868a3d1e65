"""An inspector's link over the wire: read-only, one period, and nothing else opens by it."""

from __future__ import annotations

import logging
from typing import Any

import httpx
import pytest
from tests.interfaces.api.authority_rows import BODIES, EXPECTED, address_of, expected
from tests.interfaces.api.baths import ROUND, Baths

from lanewater.interfaces.api.schemas.inspections import InspectionAnswer
from lanewater.service.clock import DAY_MS, instant_text

OPEN = ("GET /api/v1/inspection", "GET /api/v1/inspection/sheet")


def period(baths: Baths, days: int = 1) -> dict[str, Any]:
    """Give the period up to tomorrow."""
    now = baths.book.clock()
    since, until = instant_text(now - days * DAY_MS), instant_text(now + DAY_MS)
    return {"from": since, "to": until, "hours": 24}


def link(baths: Baths, **changes: Any) -> str:
    """Have the area manager make a link; give its token."""
    answer = baths.post("/inspections", period(baths) | changes, role="area-manager")
    assert answer.status_code == 200, answer.text
    return str(answer.json()["token"])


def read(baths: Baths, token: str, path: str = "/inspection", **more: Any) -> httpx.Response:
    """Read as an inspector, who has no cookie."""
    headers = {"Authorization": f"Bearer {token}"}
    return baths.ask("GET", f"/api/v1{path}", headers=headers, **more)


def test_a_link_shows_its_period_without_an_account(baths: Baths) -> None:
    baths.post("/rounds", ROUND, role="tester")
    answer = read(baths, link(baths))
    assert answer.status_code == 200, answer.text
    told = InspectionAnswer.model_validate(answer.json())
    rows = [row for pool in told.pools for row in pool["rows"] if row["kind"] == "round"]
    assert [row["values"]["free_chlorine"][0]["text"] for row in rows] == ["1.52"]
    assert answer.headers["cache-control"] == "no-store"


@pytest.mark.parametrize("name", [name for name in EXPECTED if name not in OPEN])
def test_a_token_opens_no_other_route(shared_baths: Baths, name: str) -> None:
    token = shared_baths.__dict__.setdefault("token", "") or link(shared_baths)
    shared_baths.__dict__["token"] = token
    method = name.partition(" ")[0]
    more = {"body": BODIES[name]} if name in BODIES else {}
    headers = {"Authorization": f"Bearer {token}"}
    answer = shared_baths.ask(method, address_of(name), headers=headers, **more)
    assert answer.status_code == expected(name, "nobody")


@pytest.mark.parametrize("role", ["nobody", "enrolled", "area-manager", "first-key"])
@pytest.mark.parametrize("authorization", ["", "Bearer", "Bearer x", "Basic eDp4", "bearer \xff"])
def test_no_cookie_stands_in_for_a_link(baths: Baths, role: str, authorization: str) -> None:
    headers = {"Authorization": authorization.encode("latin-1")}
    for path in ("/inspection", "/inspection/sheet"):
        answer = baths.ask("GET", f"/api/v1{path}", role=role, headers=headers)
        assert answer.status_code == 401
        assert answer.json()["error"]["id"] == "link"


def test_an_ended_link_opens_nothing(baths: Baths) -> None:
    token = link(baths)
    assert read(baths, token).status_code == 200
    [row] = baths.get("/inspections", role="area-manager").json()["links"]
    assert row["opens"]
    ended = baths.post("/inspections/end", {"link": row["link"]}, role="area-manager")
    assert ended.status_code == 200
    assert read(baths, token).status_code == 401


def test_a_link_that_ran_out_opens_nothing(baths: Baths) -> None:
    token = link(baths, hours=1)
    baths.clock.ahead_ms = 3_599_000
    assert read(baths, token).status_code == 200
    baths.clock.ahead_ms = 3_601_000
    assert read(baths, token).status_code == 401


def test_nothing_outside_its_period_is_answered(baths: Baths) -> None:
    token = link(baths)
    week = instant_text(baths.book.clock() - 7 * DAY_MS)
    for path in ("/inspection", "/inspection/sheet"):
        answer = read(baths, token, f"{path}?from={week}")
        assert answer.status_code == 422, answer.text
        assert answer.json()["error"]["field"] == "from"


def test_looking_writes_no_line(baths: Baths) -> None:
    token = link(baths)
    before = baths.entries()
    read(baths, token)
    read(baths, token, "/inspection/sheet")
    assert baths.entries() == before


def test_a_guessed_token_costs_a_try_and_then_waits(baths: Baths) -> None:
    answers = [read(baths, f"guess-{n}").status_code for n in range(40)]
    assert answers[:30] == [401] * 30
    assert set(answers[30:]) == {429}


def test_the_print_is_a_pdf_to_keep_and_not_asked_for_without_end(baths: Baths) -> None:
    token = link(baths)
    answer = read(baths, token, "/inspection/sheet")
    assert answer.headers["content-type"] == "application/pdf"
    assert answer.headers["content-disposition"].startswith("attachment")
    assert answer.content.startswith(b"%PDF-")
    statuses = [read(baths, token, "/inspection/sheet").status_code for _ in range(4)]
    assert statuses[-1] == 429


def test_no_log_holds_the_token(baths: Baths, caplog: pytest.LogCaptureFixture) -> None:
    caplog.set_level(logging.DEBUG)
    token = link(baths)
    read(baths, token)
    read(baths, token, "/inspection?from=nonsense")
    read(baths, token + "x")
    assert token not in caplog.text
