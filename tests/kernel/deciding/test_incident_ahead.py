"""A clock that runs slow ends no incident: what speaks against an end counts however far ahead."""

from __future__ import annotations

from typing import Any

import pytest
from tests.kernel.deciding.facts_cases import facts, round_entry
from tests.kernel.deciding.incident_cases import (
    MINUTE,
    START,
    begun,
    criteria,
    did,
    line,
    noted,
    now,
    read_in,
)

from lanewater.kernel.deciding.incidentrows import incident_with
from lanewater.kernel.deciding.incidentsafter import incidents_after

POINTS = {"shallow": "1.2", "deep": "1.2"}
GLASS = ("people-out", "glass-gathered", "glass-searched", "glass-word")
MANY = 230


def steps_of(kind: str, *steps: str) -> dict[str, Any]:
    """Give an incident of which steps are done, one a minute."""
    incident = begun(kind)
    for minute, name in enumerate(steps, 1):
        incident = did(incident, name, minute)
    return incident


def overdose() -> dict[str, Any]:
    """Give an overdose brought down, with a round that meets after 20 minutes."""
    incident = steps_of("overdose", "people-out", "feed-stopped", "brought-down")
    return read_in(incident, 20, points=POINTS, ph="7.4")


def many_notes(incident: dict[str, Any]) -> dict[str, Any]:
    """Give an incident with more notes than are kept."""
    for place in range(MANY):
        incident = noted(incident, "words", 30 + place / 1000)
    return incident


@pytest.mark.parametrize("overall", ["close", "fix-today", "not-judged", ""])
def test_a_round_that_does_not_pass_counts_however_far_ahead(overall: str) -> None:
    assert now(overdose(), 31)["may_end"] is True
    incident = read_in(overdose(), 40, points=POINTS, ph="7.4", overall=overall)
    assert "two-point-round" in now(incident, 31)["why_not"]
    assert "two-point-round" in now(incident, 41)["why_not"]
    passed = read_in(incident, 50, points=POINTS, ph="7.4")
    assert now(passed, 31)["may_end"] is False
    assert now(passed, 51)["may_end"] is True


def test_what_a_round_ahead_read_still_runs_no_clock() -> None:
    incident = read_in(begun("overdose"), 40, points=POINTS, ph="7.4", overall="close")
    told = {row["id"]: row["state"] for row in now(incident, 31)["steps"]}
    assert "done" not in told.values()
    assert now(incident, 31)["report"]["water"] == [{"pool": "main"}]


def test_a_step_taken_back_counts_however_far_ahead() -> None:
    incident = steps_of("glass", *GLASS)
    assert now(incident, 10)["may_end"] is True
    taken_back = did(incident, "glass-word", 40, "not-done")
    assert criteria(now(taken_back, 10))["named-word"] == "no"
    done = did(taken_back, "glass-word", 45)
    assert now(done, 10)["may_end"] is False
    assert now(done, 46)["may_end"] is True


def test_thunder_again_counts_however_far_ahead_until_the_wait_is_over() -> None:
    incident = steps_of("thunder", "people-out", "deck-empty")
    assert now(incident, 31)["may_end"] is True
    again = noted(incident, "again", 40)
    told = now(again, 31)
    assert "quiet" in told["why_not"]
    assert told["quiet_until_ms"] == START + 70 * MINUTE
    assert now(again, 69)["may_end"] is False
    assert now(again, 70)["may_end"] is True


def test_thunder_again_is_not_let_go_of_among_many_notes() -> None:
    incident = noted(steps_of("thunder", "people-out", "deck-empty"), "again", 29)
    incident = many_notes(incident)
    assert len(incident["notes"]) == 200
    assert now(incident, 58)["may_end"] is False
    assert now(incident, 59)["may_end"] is True


def test_the_latest_again_stays_whatever_order_and_number_they_come_in() -> None:
    incident = noted(steps_of("thunder", "people-out", "deck-empty"), "again", 29)
    for place in range(MANY):
        incident = noted(incident, "again", 1 + place / 1000)
    assert len(incident["notes"]) == 200
    assert now(incident, 31)["quiet_until_ms"] == START + 59 * MINUTE


def test_a_step_taken_back_is_not_let_go_of_among_many_answers() -> None:
    incident = did(begun("glass"), "glass-searched", 9, "not-done")
    incident = did(incident, "glass-word", 9, "not-done")
    for place in range(MANY):
        incident = did(incident, "glass-gathered", 1 + place / 1000, "not-done")
    for minute, name in enumerate(GLASS, 1):
        incident = did(incident, name, minute)
    assert len(incident["steps"]) == 200
    assert now(incident, 10)["may_end"] is False
    for minute, name in enumerate(GLASS[1:], 11):
        incident = did(incident, name, minute)
    assert now(incident, 20)["may_end"] is True


def test_routes_are_let_go_of_oldest_first() -> None:
    incident = begun("glass")
    for place in range(MANY):
        body = {"procedure": "a", "route": str(place)}
        incident = incident_with(incident, line("incident-route-chosen", place, **body), True)
    assert [row["route"] for row in incident["routes"]] == [str(n) for n in range(30, MANY)]


def test_a_row_of_older_facts_takes_a_round_from_when_it_happened() -> None:
    row = begun("glass")
    del row["recorded"]
    before, since = round_entry(at=START - 1), round_entry(at=START + 1)
    for entry, count in ((before, 0), (since, 1)):
        found = incidents_after(facts(incidents=[row]), entry)
        assert len(found[0]["rounds"]) == count


def test_a_step_done_anew_asks_for_a_test_after_it_however_far_ahead() -> None:
    incident = did(overdose(), "brought-down", 40)
    told = now(incident, 31)
    assert told["why_not"] == ["steps-done", "two-point-round"]
    assert {row["id"]: row["at"] for row in told["steps"]}["brought-down"] == START + 3 * MINUTE
    tested = read_in(incident, 50, points=POINTS, ph="7.4")
    assert now(tested, 31)["may_end"] is False
    assert now(tested, 51)["may_end"] is True


def test_a_step_first_done_ahead_is_not_done_yet() -> None:
    incident = steps_of("overdose", "people-out", "feed-stopped")
    incident = did(read_in(incident, 20, points=POINTS, ph="7.4"), "brought-down", 40)
    assert {row["id"]: row["state"] for row in now(incident, 31)["steps"]}["brought-down"] == (
        "to-do"
    )
