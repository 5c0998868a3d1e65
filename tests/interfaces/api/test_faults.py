"""A fault of the program or the disk: said in one form, nothing told of what is inside."""

from __future__ import annotations

import logging
import re
from typing import Any

import pytest
from tests.interfaces.api.baths import ROUND, Baths
from tests.interfaces.api.browser import Browser

from lanewater.interfaces.shield import Shield
from lanewater.records.errors import NotRecordingError
from lanewater.service import now, past_rounds, rounds

INSIDE = "the inside of the program at /home/secret/place.py"


def break_down(*_given: Any, **_more: Any) -> Any:
    """Fail as nothing should."""
    raise RuntimeError(INSIDE)


def test_a_fault_is_an_incident_with_an_id_and_no_traceback(
    baths: Baths, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    monkeypatch.setattr(rounds, "record_round", break_down)
    with caplog.at_level(logging.ERROR, "lanewater.faults"):
        answer = baths.post("/rounds", ROUND, role="tester")
    assert answer.status_code == 500
    error = answer.json()["error"]
    assert error["id"] == "server"
    assert re.fullmatch(r"[0-9a-f]{12}", error["incident"])
    for inside in ("Traceback", "RuntimeError", INSIDE, ".py", "site-packages"):
        assert inside not in answer.text
    assert error["incident"] in caplog.text
    assert INSIDE in caplog.text


@pytest.mark.parametrize(
    ("place", "name", "path"),
    [(now, "now_page", "/now"), (past_rounds, "rounds", "/rounds")],
)
def test_a_fault_in_reading_is_told_the_same_way(
    baths: Baths, monkeypatch: pytest.MonkeyPatch, place: Any, name: str, path: str
) -> None:
    monkeypatch.setattr(place, name, break_down)
    answer = baths.get(path)
    assert answer.status_code == 500
    assert INSIDE not in answer.text
    assert answer.headers["X-Content-Type-Options"] == "nosniff"


def test_a_fault_at_the_gate_lets_nobody_through(
    baths: Baths, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("lanewater.interfaces.api.caller.actor_of", break_down)
    before = baths.entries()
    assert baths.post("/rounds", ROUND, role="tester").status_code == 500
    assert baths.entries() == before


def test_a_fault_outside_the_api_is_answered_too() -> None:
    async def broken(_scope: Any, _receive: Any, _send: Any) -> None:
        raise RuntimeError(INSIDE)

    browser = Browser(Shield(broken, over_tls=False, names=frozenset()))
    answer = browser.ask("GET", "/")
    browser.close()
    assert answer.status_code == 500
    assert INSIDE not in answer.text
    assert answer.headers["Content-Security-Policy"]


def test_a_disk_that_does_not_take_it_is_said_and_stays_said(
    baths: Baths, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_given: Any, **_more: Any) -> Any:
        baths.book.trouble = "the disk is full; nothing is recorded any more"
        raise NotRecordingError(baths.book.trouble)

    monkeypatch.setattr(rounds, "record_round", full)
    answer = baths.post("/rounds", ROUND, role="tester")
    assert answer.status_code == 503
    assert answer.json()["error"]["id"] == "not-recording"
    assert baths.ask("GET", "/healthz").json() == {"ok": True, "recording": False}
    assert baths.get("/me").json()["recording"] is False
    monkeypatch.undo()
    assert baths.post("/rounds", ROUND, role="tester").status_code == 503
