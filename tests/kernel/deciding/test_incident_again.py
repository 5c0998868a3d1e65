"""What happened again begins anew: nothing read, done or said before counts for what is in now."""

from __future__ import annotations

from typing import Any

import pytest
from tests.kernel.deciding.incident_cases import (
    begun,
    chose,
    criteria,
    did,
    noted,
    now,
    read_in,
    states,
)

POINTS = {"shallow": "1.2", "deep": "1.2"}
GLASS = ("people-out", "glass-gathered", "glass-searched", "glass-word")
PUMP = ("people-out", "feeders-off", "ventilated", "pump-nobody-in", "purged")


def stool_complete() -> dict[str, Any]:
    """Give a formed stool of which all that Quebec's rules and the house ask is done."""
    incident = begun("formed-stool")
    for name in ("people-out", "remove-it", "tools-clean", "pump-on"):
        incident = did(incident, name, 1)
    incident = read_in(incident, 2, free_chlorine="1.2", ph="7.4")
    incident = chose(incident, "solid-stool-or-vomit", "2-for-half-an-hour", 3)
    incident = did(did(incident, "overshoot", 4), "raise-chlorine", 5)
    for minute in (10, 50):
        incident = read_in(incident, minute, free_chlorine="2.00", ph="7.4")
    return did(incident, "filter-washed", 51)


def glass_complete() -> dict[str, Any]:
    """Give broken glass of which all is gathered, searched for and said."""
    incident = begun("glass")
    for minute, name in enumerate(GLASS, 1):
        incident = did(incident, name, minute)
    return incident


def pump_complete() -> dict[str, Any]:
    """Give a stopped pump that runs again, tested at two points."""
    incident = begun("circulation-failure")
    for minute, name in enumerate(PUMP, 1):
        incident = did(incident, name, minute)
    return read_in(incident, 30, points=POINTS)


def dead_animal_complete() -> dict[str, Any]:
    """Give a dead animal by rules that hold nothing for it, somebody asked."""
    incident = begun("dead-animal")
    for minute, name in enumerate(("people-out", "remove-it", "tools-clean", "pump-on"), 1):
        incident = did(incident, name, minute)
    incident = did(read_in(incident, 6, free_chlorine="1.5", ph="7.4"), "ask-authority", 7)
    return read_in(incident, 20, free_chlorine="1.5", ph="7.4")


COMPLETE = (stool_complete, glass_complete, pump_complete, dead_animal_complete)


@pytest.mark.parametrize("complete", COMPLETE)
def test_an_incident_that_happened_again_may_not_end_on_what_was_done_before(complete: Any) -> None:
    incident = complete()
    assert now(incident, 60)["may_end"] is True
    again = now(noted(incident, "again", 55), 60)
    assert again["may_end"] is False
    assert states(again)["people-out"] == "done"
    assert now(noted(incident, "people", 55), 60)["may_end"] is True


def test_a_contact_time_begins_anew_where_it_happened_again() -> None:
    incident = noted(stool_complete(), "again", 55)
    assert criteria(now(incident, 60))["contact-time"] != "yes"
    incident = read_in(incident, 60, free_chlorine="2.00", ph="7.4")
    assert now(incident, 61)["clock"]["held_seconds"] == 0
    incident = read_in(incident, 100, free_chlorine="2.00", ph="7.4")
    assert criteria(now(incident, 101))["contact-time"] == "yes"
    assert "steps-done" in now(incident, 101)["why_not"]
    for name in ("remove-it", "tools-clean", "pump-on", "overshoot", "raise-chlorine"):
        incident = did(incident, name, 61)
    assert now(did(incident, "filter-washed", 102), 103)["may_end"] is True


def test_a_round_with_the_pump_standing_brings_a_contact_time_nothing() -> None:
    incident = begun("formed-stool")
    incident = chose(incident, "solid-stool-or-vomit", "2-for-half-an-hour", 1)
    incident = read_in(incident, 10, free_chlorine="2.00", ph="7.4")
    running = read_in(incident, 30, free_chlorine="2.00", ph="7.4", circulation="running")
    running = read_in(running, 50, free_chlorine="2.00", ph="7.4")
    assert criteria(now(running, 51))["contact-time"] == "yes"
    standing = read_in(incident, 30, free_chlorine="2.00", ph="7.4", circulation="stopped")
    standing = read_in(standing, 50, free_chlorine="2.00", ph="7.4")
    told = now(standing, 51)
    assert criteria(told)["contact-time"] != "yes"
    assert told["clock"]["held_seconds"] == 0


def test_a_reading_that_is_said_to_lie_ahead_completes_no_contact_time() -> None:
    incident = begun("formed-stool")
    incident = chose(incident, "solid-stool-or-vomit", "2-for-half-an-hour", 1)
    for minute in (10, 50):
        incident = read_in(incident, minute, free_chlorine="2.00", ph="7.4")
    assert criteria(now(incident, 12))["contact-time"] != "yes"
    assert criteria(now(incident, 44))["contact-time"] != "yes"
    assert criteria(now(incident, 46))["contact-time"] == "yes"


@pytest.mark.parametrize("complete", COMPLETE)
def test_nothing_that_is_said_to_lie_ahead_ends_an_incident(complete: Any) -> None:
    assert now(complete(), -10)["may_end"] is False
    assert now(complete(), 60)["may_end"] is True
