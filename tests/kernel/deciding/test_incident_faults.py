"""The promises of incidents break where a fault is planted: none of them is empty."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from tests.kernel.deciding.contact_cases import asked, route
from tests.kernel.deciding.incident_cases import (
    MINUTE,
    START,
    begun,
    chose,
    did,
    noted,
    now,
    read_in,
    states,
)

from lanewater.kernel.deciding import (
    incidentclock,
    incidentcriteria,
    incidents,
    incidentsteps,
)
from lanewater.kernel.deciding.mayopen import why_never

BOTH = ("main", "teaching")


def rules(*routes: dict[str, Any]) -> dict[str, Any]:
    """Give rules that hold one procedure for diarrhoea."""
    worded = [{"words": "", **one} for one in routes]
    held = {"id": "loose", "for": ["diarrhoea"], "clause": "s.1", "words": "", "reopen": ""}
    return {"procedures": [asked(routes=worded) | held]}


def at(incident: dict[str, Any], pack: dict[str, Any], minute: int) -> dict[str, Any]:
    """Tell how an incident stands by some rules."""
    return incidents.incident_now(incident, pack, START + minute * MINUTE)


def every_pool_counts() -> bool:
    """Tell whether a route is not reached while one pool of the circuit is not."""
    incident = begun("diarrhoea", BOTH)
    for minute in (0, 60):
        incident = read_in(incident, minute, free_chlorine="20", ph="7.3")
    told = at(chose(incident, "loose", "only"), rules(route(ct=100_000)), 90)
    return told["procedures"][0]["routes"][0]["reached_ms"] is None


def doubt_counts_as_none() -> bool:
    """Tell whether free chlorine in doubt brings nothing."""
    incident = read_in(begun("diarrhoea"), 0, free_chlorine="20", doubtful=["free_chlorine"])
    incident = read_in(incident, 60, free_chlorine="20", doubtful=["free_chlorine"])
    told = at(incident, rules(route(ct=100_000)), 90)
    return told["procedures"][0]["routes"][0]["reached_ms"] is None


def routes_stand_in_the_rules_order() -> bool:
    """Tell whether routes stand as the rules have them, and none is chosen by itself."""
    pack = rules(route(id="slow", ct=90_000_000), route(id="quick", ct=1000))
    incident = begun("diarrhoea")
    for minute in (0, 60):
        incident = read_in(incident, minute, free_chlorine="20")
    told = at(incident, pack, 90)
    order = [row["id"] for row in told["procedures"][0]["routes"]]
    return order == ["slow", "quick"] and told["clock"] is None


def thunder_begins_anew() -> bool:
    """Tell whether the wait begins anew each time it is heard."""
    incident = did(did(begun("thunder"), "people-out", 1), "deck-empty", 2)
    return not now(noted(incident, "again", 29), 40)["may_end"]


def strict_kinds_keep_their_order() -> bool:
    """Tell whether a step that was ticked too early does not count."""
    incident = did(did(begun("gas"), "people-out", 1), "emergency-called", 2)
    incident = did(incident, "nobody-back", 3)
    return states(now(incident, 4))["emergency-called"] != "done"


def nobodys_words_end_nothing() -> bool:
    """Tell whether the words of somebody who is not proved to act end nothing."""
    incident = begun("glass")
    for minute, step in enumerate(("people-out", "glass-gathered", "glass-searched"), 1):
        incident = did(incident, step, minute)
    return not now(did(incident, "glass-word", 5, named=False), 6)["may_end"]


def one_point_is_no_two_point_test() -> bool:
    """Tell whether a round at one point does not end a pump trip."""
    incident = begun("circulation-failure")
    steps = ("people-out", "feeders-off", "ventilated", "pump-nobody-in", "purged")
    for minute, step in enumerate(steps, 1):
        incident = did(incident, step, minute)
    return not now(read_in(incident, 20, free_chlorine="1.2"), 21)["may_end"]


def a_round_before_the_purge_shows_nothing() -> bool:
    """Tell whether only a test after the purge counts."""
    incident = read_in(begun("circulation-failure"), 1, points={"a": "1.2", "b": "1.2"})
    steps = ("people-out", "feeders-off", "ventilated", "pump-nobody-in", "purged")
    for minute, step in enumerate(steps, 2):
        incident = did(incident, step, minute)
    return not now(incident, 21)["may_end"]


def what_was_read_before_is_nothing() -> bool:
    """Tell whether a reading of before the incident starts no clock."""
    incident = begun("diarrhoea")
    for minute in (-90, -30):
        incident = read_in(incident, minute, free_chlorine="20")
    told = at(incident, rules(route(ct=1000)), 90)
    return told["procedures"][0]["routes"][0]["started_ms"] is None


def first_pool_only(states_: list[dict[str, Any]]) -> dict[str, Any]:
    """Give the figures of the first pool alone."""
    return KEPT["over_pools"](states_[:1])


def quickest_first(incident: dict[str, Any], procedure: dict[str, Any]) -> list[dict[str, Any]]:
    """Give the routes that end first, first."""
    found = KEPT["routes_now"](incident, procedure)
    return sorted(found, key=lambda row: row["not_before_ms"] or 0)


def all_rounds(incident: dict[str, Any], pool: str) -> list[dict[str, Any]]:
    """Give every reading, of whenever and however doubtful."""
    rows = [row for row in incident["rounds"] if row["pool"] == pool]
    return [reading for row in rows for reading in row["readings"]]


KEPT: dict[str, Any] = {
    "over_pools": incidentclock.over_pools,
    "routes_now": incidentclock.routes_now,
}
FAULTS: dict[str, tuple[Callable[[], bool], Any, str, Any]] = {
    "first-pool": (every_pool_counts, incidentclock, "over_pools", first_pool_only),
    "doubt-believed": (doubt_counts_as_none, incidentclock, "clock_readings", all_rounds),
    "before-counted": (
        what_was_read_before_is_nothing,
        incidentclock,
        "clock_readings",
        all_rounds,
    ),
    "sorted": (routes_stand_in_the_rules_order, incidentclock, "routes_now", quickest_first),
    "no-restart": (
        thunder_begins_anew,
        incidentcriteria,
        "quiet_until",
        lambda incident: incident["at"] + 30 * MINUTE,
    ),
    "any-order": (strict_kinds_keep_their_order, incidentsteps, "STRICT", ()),
    "anybody": (nobodys_words_end_nothing, incidentsteps, "NAMED", ()),
    "one-point": (
        one_point_is_no_two_point_test,
        incidentcriteria,
        "tested_until",
        lambda at_ms, _: at_ms,
    ),
    "before-purge": (
        a_round_before_the_purge_shows_nothing,
        incidentcriteria,
        "tested_since",
        lambda incident: incident["at"],
    ),
}


@pytest.mark.parametrize("name", FAULTS)
def test_a_planted_fault_breaks_its_promise(monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    promise, module, attribute, fault = FAULTS[name]
    assert promise()
    monkeypatch.setattr(module, attribute, fault)
    assert not promise()


def test_every_promise_has_a_fault_that_breaks_it() -> None:
    assert len({promise for promise, *_ in FAULTS.values()}) == len(FAULTS)


def test_an_open_incident_keeps_a_pool_closed_whatever_else_is_known() -> None:
    known: dict[str, Any] = {
        "stops": [],
        "disputes": [],
        "advices": [],
        "additions": [],
        "mates": ["main"],
        "tested": {},
        "last": None,
    }
    row = begun("glass")
    assert why_never(known | {"incidents": [row]}, START) == ["incident:glass"]
    assert why_never(known | {"incidents": []}, START) == []
