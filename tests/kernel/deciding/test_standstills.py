"""Chlorine that does not circulate does not count: one incident holds the clock of another."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.kernel.deciding.deciding_cases import reading
from tests.kernel.deciding.facts_cases import entry, facts
from tests.kernel.deciding.incident_cases import (
    MINUTE,
    START,
    begun,
    chose,
    did,
    line,
    noted,
    now,
    read_in,
)

from lanewater.kernel.deciding.carriedfacts import facts_after
from lanewater.kernel.deciding.contactrounds import contact_rows, contact_times
from lanewater.kernel.deciding.incidentrows import incident_begun, incident_with
from lanewater.kernel.deciding.incidents import known_by
from lanewater.kernel.deciding.incidentsafter import incident_for_pool
from lanewater.kernel.deciding.pumpstopped import stopped_reading
from lanewater.kernel.deciding.standstills import holds_clock_of, still_by, stretches_of

BOTH = ("main", "teaching")
POINTS = {"shallow": "20.0", "deep": "20.0"}
WATER = {"ph": "7.2", "temperature_c": "26", "cyanuric_acid": "0"}
PUMP_ON = ("people-out", "feeders-off", "ventilated", "pump-nobody-in")
# The route of ca-qc that was chosen asks 9,600 mg min/L: 480 minutes at 20 mg/L.
HALVES = (0, 400, 800)
AFTER = (840, 1240, 1650)


def failed(minute: float, kind: str = "circulation-failure", **parts: Any) -> dict[str, Any]:
    """Give an incident by which circulation stands still from a minute on."""
    body = {"kind": kind, "pools": list(parts.pop("pools", ("main",))), "incident": "inc-2"}
    said = parts.pop("said", minute)
    started = line("incident-started", minute, **body) | {"rec": START + said * MINUTE}
    return incident_begun(started) | parts


def set_going(row: dict[str, Any], minute: float) -> dict[str, Any]:
    """Give it with the pump set going, after what is to be done first."""
    for place, step in enumerate(PUMP_ON):
        row = did(row, step, minute - (len(PUMP_ON) - 1 - place) / 10)
    return row


def disinfected(*minutes: float, still: tuple[dict[str, Any], ...] = ()) -> dict[str, Any]:
    """Give a diarrhoea with a route chosen and so many tests that meet everything it asks."""
    incident = chose(begun("diarrhoea", standstills=list(still)), "loose-stool", "equal-product", 0)
    for minute in minutes:
        incident = read_in(incident, minute, points=POINTS, **WATER)
    return incident


def clock(incident: dict[str, Any], minute: float = 2000) -> dict[str, Any]:
    """Give the clock of the route that was chosen."""
    found: dict[str, Any] = now(incident, minute)["clock"]
    return found


def points_counted(readings: list[dict[str, Any]]) -> int:
    """Give how many points the last test of some readings has."""
    count: int = contact_times(contact_rows(readings))[-1]["points"]
    return count


def ids(told: dict[str, Any]) -> list[str]:
    """Name what is found."""
    return [row["id"] for row in told["findings"]]


def test_without_a_standstill_the_time_is_complete() -> None:
    told = clock(disinfected(*HALVES))
    assert told["reached_ms"] == START + 800 * MINUTE
    assert "circulation-stopped" not in ids(told)


@pytest.mark.parametrize("kind", ["circulation-failure", "power-failure"])
def test_no_time_counts_while_another_incident_has_circulation_stand_still(kind: str) -> None:
    told = clock(disinfected(*HALVES, still=(failed(10, kind),)))
    assert told["reached_ms"] is None
    assert told["started_ms"] is None
    assert told["ct_conservative"] == 0
    assert {"circulation-stopped", "clock-not-running", "restarted"} <= set(ids(told))
    assert not now(disinfected(*HALVES, still=(failed(10, kind),)), 2000)["may_end"]


def test_a_standstill_between_two_tests_counts_although_nobody_read_anything_in_it() -> None:
    still = set_going(failed(500), 700)
    told = clock(disinfected(*HALVES, still=(still,)))
    assert told["reached_ms"] is None
    assert told["started_ms"] == START + 800 * MINUTE


def test_the_time_runs_anew_from_a_test_once_the_pump_was_set_going() -> None:
    still = set_going(failed(500), 820)
    told = clock(disinfected(*HALVES, *AFTER, still=(still,)))
    assert told["started_ms"] == START + 840 * MINUTE
    assert told["reached_ms"] == START + 1650 * MINUTE


def test_a_test_at_the_instant_the_pump_was_set_going_does_not_count_yet() -> None:
    told = clock(disinfected(840, 841, still=(set_going(failed(500), 840),)))
    assert told["started_ms"] == START + 841 * MINUTE


def test_a_pump_set_going_out_of_order_has_circulation_still_stand() -> None:
    still = did(failed(500), "pump-nobody-in", 600)
    assert clock(disinfected(*HALVES, *AFTER, still=(still,)))["reached_ms"] is None


def test_an_incident_said_later_holds_from_when_it_began() -> None:
    still = set_going(failed(500, said=900), 820)
    told = clock(disinfected(*HALVES, 900, still=(still,)))
    assert told["reached_ms"] is None
    assert told["started_ms"] == START + 900 * MINUTE


def test_a_time_that_was_complete_before_stays_complete() -> None:
    told = clock(disinfected(*HALVES, 900, still=(failed(810),)))
    assert told["reached_ms"] == START + 800 * MINUTE


def test_a_time_that_ends_before_the_standstill_and_falls_short_does_not_grow_after_it() -> None:
    still = failed(410)
    assert clock(disinfected(*HALVES[:2], still=(still,)))["ct_conservative"] == 0
    assert clock(disinfected(*HALVES, still=(still,)))["ct_conservative"] == 0


def test_an_incident_that_was_ended_holds_until_its_end_and_no_further() -> None:
    still = failed(500) | {"ended": {"at": START + 820 * MINUTE}}
    told = clock(disinfected(*HALVES, *AFTER, still=(still,)))
    assert told["started_ms"] == START + 840 * MINUTE
    assert told["reached_ms"] == START + 1650 * MINUTE


def test_circulation_that_stopped_again_is_a_stretch_of_its_own() -> None:
    once = set_going(failed(500), 600)
    again = noted(once, "again", 900)
    assert [(row["from"], row["until"]) for row in stretches_of(again)] == [
        (START + 500 * MINUTE, START + 600 * MINUTE),
        (START + 900 * MINUTE, None),
    ]
    twice = set_going(again, 950)
    assert stretches_of(twice)[1]["until"] == START + 950 * MINUTE
    before = noted(failed(500), "again", 900)
    assert [row["until"] for row in stretches_of(before)] == [START + 900 * MINUTE, None]


def test_a_pump_that_was_not_set_going_after_all_has_circulation_stand_still() -> None:
    row = did(set_going(failed(500), 600), "pump-nobody-in", 650, "not-done")
    assert stretches_of(row)[0]["until"] is None


def test_a_pump_set_going_ahead_of_the_clock_does_not_count_yet() -> None:
    still = set_going(failed(500), 700)
    incident = disinfected(*HALVES, still=(still,))
    assert still_by([still])[0]["until"] is not None
    known = known_by(incident, START + 650 * MINUTE)
    assert still_by(known["standstills"])[0]["until"] is None
    assert clock(incident, 650)["started_ms"] is None


def test_points_read_before_the_water_stood_are_no_test_of_it_afterwards() -> None:
    shallow = reading("free_chlorine", "20.0", point="shallow", at=299 * 60)
    deep = reading("free_chlorine", "20.0", point="deep", at=302 * 60)
    stood = [stopped_reading(300 * 60), stopped_reading(301 * 60)]
    assert points_counted([shallow, deep]) == 2
    assert points_counted([shallow, *stood, deep]) == 1


def test_only_a_pool_whose_water_stands_is_held() -> None:
    held = chose(begun("diarrhoea", BOTH), "loose-stool", "equal-product", 0)
    for minute in HALVES:
        for pool in BOTH:
            held = read_in(held, minute, pool, points=POINTS, **WATER)
    held = incident_for_pool(held, {"standstills": [failed(10, pools=("teaching",))]})
    told = clock(held)
    assert told["reached_ms"] is None
    reached = {row["pool"]: row["reached_ms"] for row in told["pools"]}
    assert reached == {"main": START + 800 * MINUTE, "teaching": None}


def test_an_incident_that_begins_while_the_pump_stands_is_held_from_its_beginning() -> None:
    told = clock(disinfected(*HALVES, still=(failed(-60),)))
    assert told["started_ms"] is None
    going = set_going(failed(-60), 200)
    assert clock(disinfected(*HALVES, 1200, still=(going,)))["started_ms"] == START + 400 * MINUTE


def test_circulation_seen_to_stand_still_counts_where_nothing_else_was_read() -> None:
    told = clock(read_in(disinfected(*HALVES), 500, circulation="stopped"))
    assert told["started_ms"] == START + 800 * MINUTE
    assert "circulation-stopped" in ids(told)
    assert (
        clock(read_in(disinfected(*HALVES), 500, circulation="running"))["reached_ms"] is not None
    )


def test_a_standstill_counts_as_no_test_of_a_point_and_no_chlorine_added() -> None:
    still = set_going(failed(500), 700)
    plain, held = ids(clock(disinfected(*HALVES))), ids(clock(disinfected(*HALVES, still=(still,))))
    assert set(held) - set(plain) <= {"circulation-stopped", "restarted", "restart-assumed"}
    assert "no-readings" in ids(clock(disinfected(still=(still,))))


@given(
    begin=st.integers(-100, 1700),
    long=st.integers(0, 900),
    minutes=st.lists(st.integers(0, 1700), min_size=1, max_size=8, unique=True),
)
def test_a_standstill_never_makes_the_time_complete_sooner(
    begin: int, long: int, minutes: list[int]
) -> None:
    still = set_going(failed(begin), begin + long) if long else failed(begin)
    plain = clock(disinfected(*sorted(minutes)))
    held = clock(disinfected(*sorted(minutes), still=(still,)))
    if held["reached_ms"] is not None:
        assert plain["reached_ms"] is not None
        assert held["reached_ms"] >= plain["reached_ms"]
    seen = [at * MINUTE for at in minutes if not begin <= at <= begin + long or not long]
    if held["started_ms"] is not None and begin <= 0:
        assert long
        assert held["started_ms"] - START in seen


def test_which_incidents_hold_the_clock_of_which() -> None:
    other = begun("diarrhoea")
    assert holds_clock_of(failed(10), other)
    assert holds_clock_of(failed(10, "power-failure", pools=BOTH), other)
    assert not holds_clock_of(failed(10, "gas"), other)
    assert not holds_clock_of(failed(10, pools=("teaching",)), other)
    assert not holds_clock_of(failed(10), failed(10))
    assert not holds_clock_of(failed(-20) | {"ended": {"at": START - MINUTE}}, other)
    assert holds_clock_of(failed(-20) | {"ended": {"at": START + MINUTE}}, other)


def taken(about: dict[str, Any], kind: str, /, **body: Any) -> dict[str, Any]:
    """Give a tablet's facts after its own line."""
    return facts_after(about, entry(kind, body))


def started(about: dict[str, Any], incident: str, kind: str, pools: list[str]) -> dict[str, Any]:
    """Give a tablet's facts after it began an incident."""
    body = {"incident": incident, "kind": kind, "pool": pools[0], "pools": pools}
    return taken(about, "incident-started", **body)


def holders(about: dict[str, Any]) -> dict[str, list[str]]:
    """Name the incidents that hold the clock of each open one, and those of the site."""
    rows = {row["incident"]: row["standstills"] for row in about["incidents"]}
    rows["site"] = about["standstills"]
    return {key: [row["incident"] for row in held] for key, held in rows.items()}


def test_a_tablet_keeps_what_stands_still_in_whatever_order_it_is_told() -> None:
    about = started(facts(incidents=[], standstills=[]), "a", "diarrhoea", ["main"])
    about = started(about, "b", "circulation-failure", ["main"])
    assert holders(about) == {"a": ["b"], "b": [], "site": ["b"]}
    about = started(about, "c", "vomit", ["main"])
    assert holders(about) == {"a": ["b"], "b": [], "c": ["b"], "site": ["b"]}
    step = {"incident": "b", "step": "people-out", "answer": "done"}
    about = taken(about, "incident-step-done", **step)
    for row in (about["incidents"][0]["standstills"][0], about["standstills"][0]):
        assert [one["step"] for one in row["steps"]] == ["people-out"]
    about = taken(about, "incident-ended", incident="b", outcome="false-alarm", criteria=[])
    assert holders(about) == {"a": ["b"], "c": ["b"], "site": []}
    assert set(about["incidents"][0]["standstills"][0]["ended"]) == {"at"}
    assert holders(started(about, "d", "blood", ["main"]))["d"] == []


def test_a_tablet_hears_of_a_standstill_at_another_pool_of_a_wider_incident() -> None:
    about = started(facts(incidents=[], standstills=[]), "b", "circulation-failure", ["plunge"])
    assert holders(about) == {"site": ["b"]}
    about = started(about, "a", "diarrhoea", ["main", "plunge"])
    assert holders(about)["a"] == ["b"]
    assert holders(started(about, "b", "circulation-failure", ["plunge"]))["site"] == ["b"]


def test_facts_of_an_older_form_hold_no_standstill_and_take_lines_all_the_same() -> None:
    older = begun("diarrhoea")
    about = facts(incidents=[older])
    about = started(about, "b", "power-failure", ["main"])
    assert [row["incident"] for row in about["incidents"][0]["standstills"]] == ["b"]
    row = incident_with(about["incidents"][0], line("incident-noted", 3, what="again"), True)
    assert row["standstills"]
