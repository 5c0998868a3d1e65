"""Incidents over the wire: begun by anybody enrolled, ended with a PIN, told as described."""

from __future__ import annotations

from typing import Any

from tests.interfaces.api.baths import PINS, Baths

from lanewater.interfaces.api.schemas.incidents import (
    IncidentBegun,
    IncidentsAnswer,
    IncidentTold,
)


def begun(baths: Baths, kind: str = "glass", pool: str = "main") -> str:
    """Begin an incident at a browser where nobody is signed in."""
    made = baths.post("/incidents", {"kind": kind, "pool": pool})
    assert made.status_code == 200, made.text
    return IncidentBegun.model_validate(made.json()).incident


def done(baths: Baths, incident: str, step: str, **more: Any) -> Any:
    """Have the tester say that a step is done."""
    body = {"step": step, "answer": "done", **more}
    return baths.post(f"/incidents/{incident}/steps", body, role="tester")


def test_one_is_begun_without_signing_in_and_ended_with_the_right_pin(baths: Baths) -> None:
    incident = begun(baths)
    for step in ("people-out", "glass-gathered", "glass-searched"):
        assert done(baths, incident, step).status_code == 200
    assert done(baths, incident, "glass-word").status_code == 422
    assert done(baths, incident, "glass-word", words="none is left").status_code == 200
    found = IncidentTold.model_validate(baths.get(f"/incidents/{incident}").json())
    assert (found.may_end, found.why_not, found.open) == (True, [], True)
    path = f"/incidents/{incident}/end"
    wrong = baths.post(path, {"pin": "000000"}, role="duty-manager")
    assert wrong.status_code == 403
    ended = baths.post(path, {"pin": PINS["duty-manager"]}, role="duty-manager")
    assert ended.status_code == 200
    told = IncidentsAnswer.model_validate(baths.get("/incidents").json())
    assert told.incidents == []
    assert [row.ended["outcome"] for row in told.ended] == ["criteria-met"]


def test_it_is_refused_while_anything_is_not_met(baths: Baths) -> None:
    incident = begun(baths)
    body = {"pin": PINS["duty-manager"]}
    refused = baths.post(f"/incidents/{incident}/end", body, role="duty-manager")
    assert refused.status_code == 409
    assert "named-word" in refused.text
    alarm = body | {"false_alarm": True}
    assert baths.post(f"/incidents/{incident}/end", alarm, role="duty-manager").status_code == 422


def test_a_pool_with_an_open_incident_is_never_opened(baths: Baths) -> None:
    begun(baths, "thunder")
    body = {"pin": PINS["duty-manager"], "reason": "sun is out"}
    refused = baths.post("/pools/main/open", body, role="duty-manager")
    assert refused.status_code == 409
    assert "incident:thunder" in refused.text


def test_a_tester_steps_and_notes_but_chooses_no_route(baths: Baths) -> None:
    incident = begun(baths, "formed-stool")
    chosen = {"procedure": "solid-stool-or-vomit", "route": "equal-product"}
    path = f"/incidents/{incident}/route"
    assert baths.post(path, chosen | {"pin": PINS["tester"]}, role="tester").status_code == 403
    noted = baths.post(f"/incidents/{incident}/notes", {"what": "people", "count": 40})
    assert noted.status_code == 200
    right = baths.post(path, chosen | {"pin": PINS["duty-manager"]}, role="duty-manager")
    assert right.status_code == 200
    found = baths.get(f"/incidents/{incident}").json()
    assert found["clock"]["id"] == "equal-product"
    assert found["notes"][0]["count"] == 40


def test_an_answer_tells_no_instant_as_a_number(baths: Baths) -> None:
    incident = begun(baths, "formed-stool")
    told = baths.get(f"/incidents/{incident}").json()
    assert told["since"].endswith("Z")
    assert not [key for key in told if key.endswith("_ms")]
    for procedure in told["procedures"]:
        for route in procedure["routes"]:
            assert not [key for key in route if key.endswith("_ms")]
