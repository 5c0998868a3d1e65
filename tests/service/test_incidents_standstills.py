"""Circulation that stands still holds the contact time of another incident, on record as well."""

from __future__ import annotations

from typing import Any

import pytest
from tests.baths import Baths
from tests.service.test_incidents import begin, chosen, read_both, step, told, walk_through

from lanewater.service.clock import instant_text
from lanewater.service.incident_facts import incident_facts
from lanewater.service.incidents import end_incident, note_incident, start_incident, step_incident
from lanewater.service.record import lines
from lanewater.terms.errors import RefusedError

PUMP_ON = ("people-out", "feeders-off", "ventilated", "pump-nobody-in")


def stop(baths: Baths, minutes_ago: float = 0, kind: str = "circulation-failure") -> str:
    """Have somebody say that circulation stands still, and since when."""
    at = instant_text(baths.now_ms - round(minutes_ago * 60_000))
    given = {"kind": kind, "pool": "main", "at": at}
    return str(start_incident(baths.book, baths.who("tester"), given)["incident"])


def set_going(baths: Baths, incident: str) -> None:
    """Do what lets the pump be set going."""
    for name in PUMP_ON:
        step(baths, incident, name)


def read_twice(baths: Baths, minutes: float) -> None:
    """Read both pools at what is asked, so many minutes apart."""
    for _ in range(2):
        read_both(baths, free_chlorine="2.00", total_chlorine="2.10")
        baths.wait(minutes)


def raised(baths: Baths) -> str:
    """Begin a formed stool and do what comes before the time runs."""
    incident = begin(baths)
    baths.wait(1)
    for name in ("people-out", "remove-it", "tools-clean", "pump-on"):
        step(baths, incident, name)
    read_both(baths, free_chlorine="1.20", total_chlorine="1.40")
    chosen(baths, incident)
    for name in ("overshoot", "raise-chlorine"):
        step(baths, incident, name)
    return incident


def goes_on(baths: Baths) -> list[tuple[str, Any]]:
    """Give which ended incidents the record let go on, and what is not met."""
    found = [row["body"] for row in lines(baths.book) if row["type"] == "incident-continued"]
    return [(body["incident"], body["unmet"]) for body in found]


@pytest.mark.parametrize("kind", ["circulation-failure", "power-failure"])
def test_no_contact_time_counts_while_circulation_stands_still_and_it_cannot_be_ended(
    baths: Baths, kind: str
) -> None:
    incident = raised(baths)
    still = stop(baths, kind=kind)
    baths.wait(1)
    read_twice(baths, 40)
    found = told(baths, incident)
    assert (found["clock"]["started"], found["clock"]["reached"]) == (None, None)
    assert "circulation-stopped" in [row["id"] for row in found["clock"]["findings"]]
    with pytest.raises(RefusedError, match="contact-time"):
        end_incident(baths.book, baths.who("manager"), {"incident": incident})
    if kind == "power-failure":
        step(baths, still, "people-out")
        step(baths, still, "feeders-off")
        step(baths, still, "power-back")
    set_going(baths, still)
    baths.wait(1)
    assert told(baths, incident)["clock"]["reached"] is None
    read_twice(baths, 40)
    assert told(baths, incident)["clock"]["reached"] is not None


def test_a_standstill_said_later_holds_from_when_it_began(baths: Baths) -> None:
    incident = raised(baths)
    read_both(baths, free_chlorine="2.00", total_chlorine="2.10")
    baths.wait(50)
    read_both(baths, free_chlorine="2.00", total_chlorine="2.10")
    assert told(baths, incident)["clock"]["reached"] is not None
    stop(baths, minutes_ago=30)
    assert told(baths, incident)["clock"]["reached"] is None


def test_an_incident_that_was_ended_goes_on_where_circulation_is_said_to_have_stood(
    baths: Baths,
) -> None:
    incident = begin(baths)
    baths.wait(1)
    walk_through(baths, incident)
    end_incident(baths.book, baths.who("manager"), {"incident": incident})
    baths.wait(1)
    stop(baths)
    assert goes_on(baths) == []
    stop(baths, minutes_ago=60)
    ((continued, unmet),) = goes_on(baths)
    assert continued == incident
    assert {"contact-time", "water-meets"} <= set(unmet)
    assert "ended" not in baths.reopened().state.incidents[incident]


def test_a_pump_that_was_not_set_going_after_all_lets_it_go_on(baths: Baths) -> None:
    incident = raised(baths)
    still = stop(baths)
    baths.wait(1)
    set_going(baths, still)
    baths.wait(1)
    read_twice(baths, 40)
    step(baths, incident, "filter-washed", answer="not-needed")
    end_incident(baths.book, baths.who("manager"), {"incident": incident})
    baths.wait(1)
    given = {"incident": still, "step": "pump-nobody-in", "answer": "not-done"}
    step_incident(baths.book, baths.who("tester"), given)
    assert [row[0] for row in goes_on(baths)] == [incident]


def test_circulation_that_stood_again_at_that_time_lets_it_go_on(baths: Baths) -> None:
    incident = raised(baths)
    still = stop(baths)
    baths.wait(1)
    set_going(baths, still)
    baths.wait(1)
    read_twice(baths, 40)
    step(baths, incident, "filter-washed", answer="not-needed")
    end_incident(baths.book, baths.who("manager"), {"incident": incident})
    baths.wait(1)
    now = {"incident": still, "what": "again"}
    note_incident(baths.book, baths.who("tester"), now)
    assert goes_on(baths) == []
    note_incident(
        baths.book, baths.who("tester"), now | {"at": instant_text(baths.now_ms - 3_600_000)}
    )
    assert [row[0] for row in goes_on(baths)] == [incident]


def test_what_holds_a_clock_is_carried_until_it_is_ended_and_with_that_clock_after(
    baths: Baths,
) -> None:
    incident = begin(baths)
    still = stop(baths)
    baths.wait(1)
    for pool, held in (("main", [still]), ("teaching", [still]), ("plunge", [])):
        found = incident_facts(baths.book.state, pool)
        assert [row["incident"] for row in found["standstills"]] == [still]
        rows = {row["incident"]: row["standstills"] for row in found["incidents"]}
        assert [row["incident"] for row in rows.get(incident, [])] == held
    false = {"incident": still, "false_alarm": True, "reason": "a test of the alarm"}
    end_incident(baths.book, baths.who("manager"), false)
    found = incident_facts(baths.book.state, "main")
    assert found["standstills"] == []
    ((row,),) = [one["standstills"] for one in found["incidents"]]
    assert row["ended"] == {"at": baths.now_ms}
