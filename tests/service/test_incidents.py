"""Incidents on record: who begins, steps, chooses and ends, and what stands until then."""

from __future__ import annotations

from typing import Any

import pytest
from tests.baths import GOOD, MINUTE_MS, Baths

from lanewater.kernel.deciding.incidentkinds import INCIDENTS
from lanewater.service.actor import ANYBODY, Actor
from lanewater.service.advice import advice_for
from lanewater.service.incidents import (
    choose_route,
    end_incident,
    note_incident,
    set_quiet,
    start_incident,
    step_incident,
)
from lanewater.service.incidents_told import incident_told, incidents_told
from lanewater.service.now import now_page
from lanewater.service.opening import end_house_stop, everyone_out, open_pool, opening_answer
from lanewater.service.permission import NotAllowedError
from lanewater.service.rounds import record_round
from lanewater.terms.errors import InputError, MissingError, RefusedError
from lanewater.terms.words import INCIDENT_KINDS

BOTH = ("main", "teaching")


def begin(baths: Baths, kind: str = "formed-stool", **more: Any) -> str:
    """Have somebody who is not signed in begin an incident."""
    return str(
        start_incident(baths.book, ANYBODY, {"kind": kind, "pool": "main"} | more)["incident"]
    )


def told(baths: Baths, incident: str) -> dict[str, Any]:
    """Tell how it stands now."""
    return incident_told(baths.book, incident, baths.now_ms)


def stops_at(baths: Baths, pool: str) -> list[str]:
    """Give the house stops that stand at a pool."""
    return [stop.id for stop in baths.book.state.stops.get(pool, ())]


def step(baths: Baths, incident: str, name: str, **more: Any) -> None:
    """Have the tester say that a step is done."""
    given = {"incident": incident, "step": name, "answer": "done"} | more
    step_incident(baths.book, baths.who("tester"), given)


def read_both(baths: Baths, **values: str) -> None:
    """Have both pools of the filter tested at two points."""
    for pool in BOTH:
        readings = [
            {"parameter": key, "value": value, "point": point}
            for point in ("shallow", "deep")
            for key, value in (GOOD | values).items()
        ]
        record_round(baths.book, baths.who("tester"), {"pool": pool, "readings": readings})
        baths.wait(1)


def chosen(baths: Baths, incident: str, route: str = "2-for-half-an-hour") -> None:
    """Have the duty manager choose a route."""
    given = {"incident": incident, "procedure": "solid-stool-or-vomit", "route": route}
    choose_route(baths.book, baths.who("manager"), given)


def walk_through(baths: Baths, incident: str) -> None:
    """Do all that a formed stool asks for."""
    for name in ("people-out", "remove-it", "tools-clean", "pump-on"):
        step(baths, incident, name)
    read_both(baths, free_chlorine="1.20", total_chlorine="1.40")
    chosen(baths, incident)
    step(baths, incident, "overshoot")
    step(baths, incident, "raise-chlorine")
    for _ in range(2):
        read_both(baths, free_chlorine="2.00", total_chlorine="2.10")
        baths.wait(40)
    step(baths, incident, "filter-washed", answer="not-needed")


@pytest.mark.parametrize("kind", INCIDENT_KINDS)
def test_anybody_begins_any_kind_and_every_pool_of_it_is_stopped_at_once(
    baths: Baths, kind: str
) -> None:
    given = {"kind": kind, "pool": "main", "nobody_in": True, "words": "seen from the deck"}
    made = start_incident(baths.book, ANYBODY, given)
    scope = INCIDENTS[kind]["scope"]
    wanted = {"pool": ["main"], "circuit": list(BOTH), "site": ["main", "teaching", "plunge"]}
    assert made["pools"] == wanted[scope]
    for pool in ("main", "teaching", "plunge"):
        assert stops_at(baths, pool) == ([INCIDENTS[kind]["stop"]] if pool in made["pools"] else [])
        opening = opening_answer(baths.book, pool, baths.now_ms)
        assert (f"incident:{kind}" in opening["why"]) == (pool in made["pools"])


def test_a_pool_on_the_same_filter_is_never_left_out(baths: Baths) -> None:
    with pytest.raises(InputError, match="teaching"):
        begin(baths, pools=["main"])
    with pytest.raises(InputError, match="teaching"):
        begin(baths, "gas", pools=["main", "plunge"])
    assert told(baths, begin(baths, "thunder", pools=["teaching", "main"]))["pools"] == list(BOTH)


def test_it_begins_in_one_transaction_with_its_stops(baths: Baths) -> None:
    before = baths.book.state.index
    begin(baths)
    assert baths.book.state.index == before + 1


def test_a_formed_stool_from_the_first_word_to_opening(baths: Baths) -> None:
    incident = begin(baths)
    baths.wait(1)
    manager = baths.who("manager")
    with pytest.raises(RefusedError, match="contact-time"):
        end_incident(baths.book, manager, {"incident": incident})
    walk_through(baths, incident)
    found = told(baths, incident)
    assert (found["may_end"], found["why_not"]) == (True, [])
    assert found["clock"]["reached"] is not None
    made = end_incident(baths.book, manager, {"incident": incident})
    assert made["outcome"] == "criteria-met"
    assert stops_at(baths, "main") == stops_at(baths, "teaching") == []
    for pool in BOTH:
        assert baths.book.state.openings[pool].status == "closed"
    baths.wait(1)
    baths.round()
    open_pool(baths.book, manager, {"pool": "main"})
    assert baths.book.state.openings["main"].status == "open"
    assert told(baths, incident)["ended"]["by"] == "p-manager"


def test_the_teaching_pool_must_be_complete_as_well(baths: Baths) -> None:
    incident = begin(baths)
    baths.wait(1)
    for _ in range(2):
        baths.retest("main")
        baths.wait(41)
    found = told(baths, incident)
    assert found["procedures"][0]["routes"][1]["reached"] is None
    pools = {row["pool"]: row["reached"] for row in found["procedures"][0]["routes"][1]["pools"]}
    assert pools["main"] is not None
    assert pools["teaching"] is None


@pytest.mark.parametrize(
    "actor",
    [
        ANYBODY,
        Actor("p-manager", "none"),
        Actor("p-tester", "pin", verified=True),
        Actor("p-nobody", "pin", verified=True),
        Actor("p-manager", "shell"),
    ],
)
def test_nobody_else_ends_one_or_chooses_a_route(baths: Baths, actor: Actor) -> None:
    incident = begin(baths)
    given = {"incident": incident, "false_alarm": True, "reason": "a leaf"}
    with pytest.raises(NotAllowedError):
        end_incident(baths.book, actor, given)
    route = {"incident": incident, "procedure": "solid-stool-or-vomit", "route": "equal-product"}
    with pytest.raises(NotAllowedError):
        choose_route(baths.book, actor, route)


def test_a_false_alarm_takes_a_reason_and_the_pool_stays_closed(baths: Baths) -> None:
    incident = begin(baths)
    manager = baths.who("manager")
    with pytest.raises(InputError, match="reason"):
        end_incident(baths.book, manager, {"incident": incident, "false_alarm": True})
    given = {"incident": incident, "false_alarm": True, "reason": "a leaf"}
    assert end_incident(baths.book, manager, given)["outcome"] == "false-alarm"
    assert stops_at(baths, "main") == []
    assert baths.book.state.openings["main"].status == "closed"
    with pytest.raises(RefusedError, match="ended"):
        end_incident(baths.book, manager, given)


def test_ending_the_house_stop_does_not_open_the_pool_while_the_incident_stands(
    baths: Baths,
) -> None:
    begin(baths)
    baths.wait(1)
    baths.round()
    end_house_stop(baths.book, baths.who("manager"), {"pool": "main", "reason": "gone"})
    with pytest.raises(RefusedError, match="incident:formed-stool"):
        open_pool(baths.book, baths.who("manager"), {"pool": "main"})


def test_two_incidents_of_one_stop_keep_it_until_both_are_ended(baths: Baths) -> None:
    first, second = begin(baths), begin(baths, "diarrhoea")
    given = {"false_alarm": True, "reason": "a leaf"}
    end_incident(baths.book, baths.who("manager"), given | {"incident": first})
    assert stops_at(baths, "main") == ["stool"]
    end_incident(baths.book, baths.who("manager"), given | {"incident": second})
    assert stops_at(baths, "main") == []


def test_another_house_stop_goes_on_after_it(baths: Baths) -> None:
    incident = begin(baths)
    everyone_out(baths.book, ANYBODY, {"pool": "main", "stop": "glass"})
    given = {"incident": incident, "false_alarm": True, "reason": "a leaf"}
    end_incident(baths.book, baths.who("manager"), given)
    assert stops_at(baths, "main") == ["glass"]


def test_steps_are_held_to_their_order_and_to_who_says_them(baths: Baths) -> None:
    incident = begin(baths, "circulation-failure")
    with pytest.raises(RefusedError, match="people-out"):
        step(baths, incident, "feeders-off")
    with pytest.raises(InputError, match="left out"):
        step(baths, incident, "people-out", answer="not-needed")
    with pytest.raises(InputError, match="not asked for"):
        step(baths, incident, "glass-word")
    with pytest.raises(RefusedError, match="read from the record"):
        step(baths, incident, "two-point-test")
    given = {"incident": incident, "step": "people-out", "answer": "done"}
    with pytest.raises(NotAllowedError, match="on the list"):
        step_incident(baths.book, ANYBODY, given)
    step(baths, incident, "people-out")
    with pytest.raises(RefusedError, match="ventilated"):
        step(baths, incident, "pump-nobody-in")


def test_glass_ends_on_a_named_persons_words_and_on_no_number(baths: Baths) -> None:
    incident = begin(baths, "glass")
    for name in ("people-out", "glass-gathered", "glass-searched"):
        step(baths, incident, name)
    baths.wait(100_000)
    assert told(baths, incident)["why_not"] == ["steps-done", "named-word"]
    with pytest.raises(InputError, match="words"):
        step(baths, incident, "glass-word")
    given = {"incident": incident, "step": "glass-word", "answer": "done", "words": "none left"}
    with pytest.raises(NotAllowedError, match="PIN"):
        step_incident(baths.book, Actor("p-tester", "none"), given)
    step(baths, incident, "glass-word", words="floor, steps and deck: none left")
    assert told(baths, incident)["may_end"] is True


def test_thunder_is_counted_from_the_last_by_the_sites_own_setting(baths: Baths) -> None:
    incident = begin(baths, "thunder")
    assert told(baths, incident)["quiet_assumed"] is True
    set_quiet(baths.book, Actor(method="key"), {"minutes": 45})
    begun = baths.now_ms
    for name in ("people-out", "deck-empty"):
        step(baths, incident, name)
    baths.wait(40)
    note_incident(baths.book, ANYBODY, {"incident": incident, "what": "again"})
    found = told(baths, incident)
    assert (found["quiet_assumed"], found["quiet_minutes"]) == (False, 45)
    baths.wait(44)
    assert told(baths, incident)["why_not"] == ["steps-done", "quiet"]
    baths.wait(1)
    assert told(baths, incident)["may_end"] is True
    assert baths.now_ms - begun == 85 * MINUTE_MS


def test_a_switch_of_route_is_allowed_and_both_choices_stay(baths: Baths) -> None:
    incident = begin(baths)
    chosen(baths, incident)
    baths.wait(1)
    chosen(baths, incident, "equal-product")
    assert told(baths, incident)["clock"]["id"] == "equal-product"
    assert len(baths.book.state.incidents[incident]["routes"]) == 2
    with pytest.raises(InputError, match="no such route"):
        chosen(baths, incident, "at-once")


def test_now_says_that_an_incident_is_open_and_leads_with_everyone_out(baths: Baths) -> None:
    incident = begin(baths)
    rows = {row["pool"]: row for row in now_page(baths.book, baths.now_ms)["pools"]}
    for pool in BOTH:
        actions = [row for row in rows[pool]["open_actions"] if row["id"] == "incident"]
        assert [(row["incident"], row["kind"]) for row in actions] == [(incident, "formed-stool")]
        assert "incident:formed-stool" in rows[pool]["lead_why"]
    assert not [row for row in rows["plunge"]["open_actions"] if row["id"] == "incident"]


def test_a_book_that_is_opened_again_knows_them_all(baths: Baths) -> None:
    incident = begin(baths)
    walk_through(baths, incident)
    before = incidents_told(baths.book, baths.now_ms)
    baths.reopened()
    assert incidents_told(baths.book, baths.now_ms) == before
    with pytest.raises(MissingError):
        incident_told(baths.book, "inc-none", baths.now_ms)


def refusals(baths: Baths) -> list[str]:
    """Give why the competent operator gets no amount now."""
    questions = dict.fromkeys(("everybody_out", "pump_running", "looked"), "yes")
    asked = {"pool": "main", "questions": questions | {"anything_added": "no"}}
    found = advice_for(baths.book, baths.who("operator"), asked, baths.now_ms)
    return [row["id"] for row in found["refusals"]]


def test_no_amount_is_shown_while_an_incident_is_open_even_after_its_stop_was_ended(
    baths: Baths,
) -> None:
    begin(baths, "circulation-failure")
    baths.wait(1)
    baths.round(free_chlorine="0.62", total_chlorine="0.78")
    assert "house-stop" in refusals(baths)
    end_house_stop(baths.book, baths.who("manager"), {"pool": "main", "reason": "runs again"})
    end_house_stop(baths.book, baths.who("manager"), {"pool": "teaching", "reason": "runs again"})
    assert "incident" in refusals(baths)
