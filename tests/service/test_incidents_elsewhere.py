"""Incidents on a tablet out of reach: begun and stepped through by anybody, ended with a PIN."""

from __future__ import annotations

from typing import Any

import pytest
from tests.baths import GOOD, MINUTE_MS, Baths
from tests.service.test_decided_elsewhere import OPERATOR, Tablet, actions, made, status, stops

from lanewater.service.actor import ANYBODY, SHELL
from lanewater.service.book import new_id
from lanewater.service.clock import DAY_MS, instant_text
from lanewater.service.incident_facts import incident_facts
from lanewater.service.incidents import end_incident, start_incident
from lanewater.service.incidents_told import incident_told
from lanewater.service.opening import everyone_out
from lanewater.service.rounds import record_round
from lanewater.service.set_up import add
from lanewater.terms.errors import InputError

BEGUN = {"incident": "inc-1", "kind": "glass", "pools": ["main"]}
ENDED = {"incident": "inc-1", "outcome": "false-alarm", "criteria": []}


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


# --- One that is said to have begun earlier --------------------------------------------------


def test_rounds_on_record_before_anybody_spoke_of_it_are_no_part_of_it(baths: Baths) -> None:
    baths.retest("main")
    baths.wait(30)
    early = instant_text(baths.now_ms - 40 * MINUTE_MS)
    given = {"kind": "formed-stool", "pool": "main", "at": early}
    incident = start_incident(baths.book, ANYBODY, given)["incident"]
    assert incident_told(baths.book, incident, baths.now_ms)["since"] == early
    assert incident_facts(baths.book.state, "main")["incidents"][0]["rounds"] == []
    late = {"pool": "main", "source": "late", "at": instant_text(baths.now_ms - 20 * MINUTE_MS)}
    record_round(baths.book, baths.who("tester"), late | {"readings": GOOD})
    rounds = incident_facts(baths.book.state, "main")["incidents"][0]["rounds"]
    assert [one["at"] for one in rounds] == [baths.now_ms - 20 * MINUTE_MS]


@pytest.mark.parametrize(("days", "why"), [(-1, "future"), (32, "31 days")])
def test_one_neither_ahead_nor_of_long_ago_is_begun(baths: Baths, days: int, why: str) -> None:
    given = {"kind": "glass", "pool": "main", "at": instant_text(baths.now_ms - days * DAY_MS)}
    with pytest.raises(InputError, match=why):
        start_incident(baths.book, ANYBODY, given)


@pytest.mark.parametrize(("minutes", "came"), [(40, "recorded"), (32 * 24 * 60, "does-not-fit")])
def test_a_tablet_says_when_it_began_by_the_time_of_its_entry(
    baths: Baths, tablet: Tablet, minutes: int, came: str
) -> None:
    tested = tablet.round(baths)
    baths.wait(30)
    began = baths.now_ms - minutes * MINUTE_MS
    body = {"pool": "main"} | BEGUN
    said = {"user": "p-tester", "rec_ms": baths.now_ms}
    tablet.write(new_id(baths.now_ms), "incident-started", body, began, **said)
    assert tablet.send(baths) == ["recorded", came]
    assert tested in baths.book.state.verdicts
    if came == "recorded":
        (told,) = incident_facts(baths.book.state, "main")["incidents"]
        assert (told["at"], told["recorded"], told["rounds"]) == (began, baths.now_ms, [])


def test_thunder_again_by_a_clock_a_year_ahead_keeps_nobody_waiting_for_a_year(
    baths: Baths, tablet: Tablet
) -> None:
    tablet.say(baths, "p-tester", "incident-started", BEGUN | {"kind": "thunder"})
    for step in ("people-out", "deck-empty"):
        said = {"incident": "inc-1", "step": step, "answer": "done"}
        tablet.say(baths, "p-tester", "incident-step-done", said)
    again = {"incident": "inc-1", "pool": "main", "what": "again"}
    ahead_ms = baths.now_ms + 365 * DAY_MS
    tablet.write(new_id(baths.now_ms), "incident-noted", again, ahead_ms)
    baths.wait(40)
    assert tablet.send(baths) == ["recorded"] * 4
    assert [one["at"] for one in row(baths)["notes"]] == [baths.now_ms]
    told = incident_told(baths.book, "inc-1", baths.now_ms)
    assert (told["may_end"], told["why_not"]) == (False, ["steps-done", "quiet"])
    baths.wait(30)
    assert incident_told(baths.book, "inc-1", baths.now_ms)["may_end"] is True
