"""Incidents on a tablet out of reach: begun and stepped through by anybody, ended with a PIN."""

from __future__ import annotations

from typing import Any

import pytest
from tests.baths import Baths
from tests.service.test_decided_elsewhere import OPERATOR, Tablet, actions, made, status, stops

from lanewater.kernel.deciding.incidentkinds import INCIDENTS
from lanewater.service import incidents_checked
from lanewater.service.actor import ANYBODY, SHELL
from lanewater.service.incidents import end_incident, start_incident, step_incident
from lanewater.service.incidents_checked import NOT_WORKED_OUT
from lanewater.service.opening import everyone_out, opening_answer
from lanewater.service.record import lines
from lanewater.service.set_up import add

BEGUN = {"incident": "inc-1", "kind": "glass", "pools": ["main"]}
ENDED = {"incident": "inc-1", "outcome": "false-alarm", "criteria": []}
MET = {"incident": "inc-1", "outcome": "criteria-met", "criteria": ["steps-done", "named-word"]}


@pytest.fixture
def tablet(baths: Baths) -> Tablet:
    """Give a tablet on which everybody signed in once."""
    add(baths.book, SHELL, "person", OPERATOR | {"pin": "405162"})
    return made(baths)


def row(baths: Baths, incident: str = "inc-1") -> dict[str, Any]:
    """Give an incident as it is kept."""
    return dict(baths.book.state.incidents[incident])


def test_one_that_was_begun_and_stepped_through_far_away_stands_when_it_comes(
    baths: Baths, tablet: Tablet
) -> None:
    tablet.say(baths, "p-tester", "incident-started", BEGUN)
    step = {"incident": "inc-1", "step": "people-out", "answer": "done"}
    tablet.say(baths, "p-tester", "incident-step-done", step)
    tablet.say(baths, "p-tester", "incident-noted", {"incident": "inc-1", "what": "again"})
    assert tablet.send(baths) == ["recorded"] * 3
    assert stops(baths) == ["glass"]
    assert "incident" in actions(baths)
    assert row(baths)["steps"][0]["named"] is True


def test_a_pool_of_the_filter_that_the_tablet_left_out_is_stopped_all_the_same(
    baths: Baths, tablet: Tablet
) -> None:
    tablet.say(baths, "p-tester", "incident-started", BEGUN | {"kind": "vomit"})
    assert tablet.send(baths) == ["recorded"]
    assert row(baths)["pools"] == ["main", "teaching"]
    assert [stop.id for stop in baths.book.state.stops["teaching"]] == ["vomit"]


@pytest.mark.parametrize(("who", "ends"), [("p-manager", True), ("p-tester", False)])
def test_it_is_ended_by_somebody_who_may_and_goes_on_after_anybody_else(
    baths: Baths, tablet: Tablet, who: str, ends: bool
) -> None:
    tablet.say(baths, "p-tester", "incident-started", BEGUN)
    entry = tablet.say(baths, who, "incident-ended", ENDED, reason="a leaf")
    assert tablet.send(baths) == ["recorded", "recorded"]
    assert ("ended" in row(baths)) is ends
    assert stops(baths) == ([] if ends else ["glass"])
    assert status(baths) == "closed"
    noted = [one.entry for one in baths.book.state.unauthorised]
    assert (entry in noted) is not ends


def test_a_route_chosen_by_a_tester_is_not_chosen(baths: Baths, tablet: Tablet) -> None:
    tablet.say(baths, "p-tester", "incident-started", BEGUN | {"kind": "vomit"})
    chosen = {"incident": "inc-1", "procedure": "solid-stool-or-vomit", "route": "equal-product"}
    tablet.say(baths, "p-tester", "incident-route-chosen", chosen)
    tablet.say(baths, "p-operator", "incident-route-chosen", chosen)
    assert tablet.send(baths) == ["recorded"] * 3
    assert [one["by"] for one in row(baths)["routes"]] == ["p-operator"]


def test_a_house_stop_called_elsewhere_meanwhile_goes_on_after_it(
    baths: Baths, tablet: Tablet
) -> None:
    tablet.say(baths, "p-tester", "incident-started", BEGUN)
    tablet.say(baths, "p-manager", "incident-ended", ENDED, reason="a leaf")
    everyone_out(baths.book, ANYBODY, {"pool": "main", "stop": "glass"})
    assert tablet.send(baths) == ["recorded", "recorded"]
    assert stops(baths) == ["glass"]


def test_a_step_of_an_incident_that_is_not_known_yet_comes_again(
    baths: Baths, tablet: Tablet
) -> None:
    step = {"incident": "inc-2", "step": "people-out", "answer": "done"}
    tablet.say(baths, "p-tester", "incident-step-done", step)
    assert tablet.send(baths) == ["not-yet"]


@pytest.mark.parametrize(
    ("body", "why"),
    [
        (BEGUN | {"pools": ["teaching"]}, "does-not-fit"),
        (BEGUN | {"pools": ["main", "nowhere"]}, "not-yet"),
    ],
)
def test_what_cannot_be_is_refused(
    baths: Baths, tablet: Tablet, body: dict[str, Any], why: str
) -> None:
    tablet.say(baths, "p-tester", "incident-started", body)
    assert tablet.send(baths) == [why]


def test_an_ending_sent_late_ends_nothing_twice(baths: Baths, tablet: Tablet) -> None:
    incident = start_incident(baths.book, ANYBODY, {"kind": "glass", "pool": "main"})["incident"]
    tablet.look(baths)
    tablet.say(
        baths, "p-manager", "incident-ended", ENDED | {"incident": incident}, reason="a leaf"
    )
    given = {"incident": incident, "false_alarm": True, "reason": "swept"}
    end_incident(baths.book, baths.who("manager"), given)
    assert tablet.send(baths) == ["recorded"]
    assert row(baths, incident)["ended"]["reason"] == "swept"


def walk_through(baths: Baths, tablet: Tablet, *left_out: str) -> None:
    """Begin one for glass on the tablet and say there that all was done, but for what is left."""
    tablet.say(baths, "p-tester", "incident-started", BEGUN)
    for step in INCIDENTS["glass"]["steps"]:
        baths.wait(1)
        if step not in left_out:
            said = {"incident": "inc-1", "step": step, "answer": "done", "words": "seen to"}
            tablet.say(baths, "p-manager", "incident-step-done", said)


def continued(baths: Baths) -> list[dict[str, Any]]:
    """Give what the record says of endings that do not hold."""
    return [one["body"] for one in lines(baths.book) if one["type"] == "incident-continued"]


def test_what_the_record_has_met_as_well_is_ended_as_the_tablet_said(
    baths: Baths, tablet: Tablet
) -> None:
    walk_through(baths, tablet)
    entry = tablet.say(baths, "p-manager", "incident-ended", MET)
    assert set(tablet.send(baths)) == {"recorded"}
    assert row(baths)["ended"]["entry"] == entry
    assert (stops(baths), continued(baths)) == ([], [])
    assert "incident-continued" not in actions(baths)


def test_an_ending_that_the_record_does_not_bear_out_is_kept_and_the_incident_goes_on(
    baths: Baths, tablet: Tablet
) -> None:
    walk_through(baths, tablet, "glass-word")
    entry = tablet.say(baths, "p-manager", "incident-ended", MET)
    assert set(tablet.send(baths)) == {"recorded"}
    (body,) = continued(baths)
    assert (body["ended"], body["unmet"]) == (entry, ["steps-done", "named-word"])
    assert "ended" not in row(baths)
    assert stops(baths) == ["glass"]
    assert status(baths) == "closed"
    assert {"incident", "incident-continued", "house-stop"} <= set(actions(baths))
    assert opening_answer(baths.book, "main", baths.now_ms)["may"] == "never"


def test_an_opening_sent_behind_such_an_ending_opens_nothing(baths: Baths, tablet: Tablet) -> None:
    walk_through(baths, tablet, "glass-word")
    tablet.say(baths, "p-manager", "incident-ended", MET)
    opened = {"round": tablet.round(baths), "overall": "meets"}
    tablet.say(baths, "p-manager", "pool-opened", opened)
    assert set(tablet.send(baths)) == {"recorded"}
    assert status(baths) == "closed"
    assert "devices-disagree" in actions(baths)


def test_a_step_taken_back_elsewhere_meanwhile_lets_it_go_on(baths: Baths, tablet: Tablet) -> None:
    walk_through(baths, tablet)
    tablet.send(baths)
    baths.wait(1)
    given = {"incident": "inc-1", "step": "glass-searched", "answer": "not-done"}
    step_incident(baths.book, baths.who("tester"), given)
    baths.wait(1)
    tablet.say(baths, "p-manager", "incident-ended", MET)
    assert tablet.send(baths) == ["recorded"]
    assert "steps-done" in continued(baths)[0]["unmet"]


def test_it_is_ended_once_everything_is_met(baths: Baths, tablet: Tablet) -> None:
    walk_through(baths, tablet, "glass-word")
    tablet.say(baths, "p-manager", "incident-ended", MET)
    tablet.send(baths)
    given = {"incident": "inc-1", "step": "glass-word", "answer": "done", "words": "Dagny: clear"}
    step_incident(baths.book, baths.who("manager"), given)
    end_incident(baths.book, baths.who("manager"), {"incident": "inc-1"})
    assert stops(baths) == []
    assert "incident-continued" not in actions(baths)


def test_an_ending_without_authority_is_noted_as_that_and_no_more(
    baths: Baths, tablet: Tablet
) -> None:
    walk_through(baths, tablet, "glass-word")
    entry = tablet.say(baths, "p-tester", "incident-ended", MET)
    tablet.send(baths)
    assert [one.entry for one in baths.book.state.unauthorised] == [entry]
    assert continued(baths) == []


def test_what_cannot_be_worked_out_is_not_met(
    baths: Baths, tablet: Tablet, monkeypatch: pytest.MonkeyPatch
) -> None:
    walk_through(baths, tablet)
    tablet.say(baths, "p-manager", "incident-ended", MET)

    def broken(*_: Any) -> None:
        raise KeyError("a fault")

    monkeypatch.setattr(incidents_checked, "incident_now", broken)
    assert set(tablet.send(baths)) == {"recorded"}
    assert continued(baths)[0]["unmet"] == [NOT_WORKED_OUT]
    assert stops(baths) == ["glass"]
