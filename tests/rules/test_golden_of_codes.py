"""Cases that the codes themselves decide, each on the side of the limit that their words put it.

They come from sections of codes that were read, not from our packs; the packs must agree with them.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from tests.kernel.deciding.schedule_cases import asked, read_at, word
from tests.kernel.deciding.schedule_cases import at as local_ms
from tests.rules.feature_pack import ALL_OF_IT

from lanewater.kernel.deciding.contacttime import contact_for_procedure
from lanewater.kernel.deciding.deadlines import deadlines_now
from lanewater.kernel.deciding.schedules import duties_now
from lanewater.rules.case import case_from, with_numbers
from lanewater.rules.checking import golden_readings
from lanewater.rules.judging import judge_case
from lanewater.rules.pack import compile_pack
from lanewater.service.duty_facts import rules_schedules
from lanewater.service.packs import load_pack

FAILING = ("evacuate", "close", "does-not-meet", "does-not-meet-borderline")
POOL = {"kind": "pool", "disinfectant": "chlorine", "stabiliser": "not-used", "water": "fresh"}
INDOOR = {**POOL, "location": "indoor", "supply": "recirculated"}
OUTDOOR = {**POOL, "location": "outdoor", "supply": "recirculated"}
SPA = {**INDOOR, "kind": "spa"}
FEEL = {"ph": "7.4", "clarity": "visible", "temperature_c": "28", "circulation": "running"}


def judged(rules: str, pool: Any, readings: Any, **more: Any) -> dict[str, Any]:
    question = {"pool": pool, "readings": readings, **more}
    return judge_case(load_pack(rules), case_from(question))


def rows(answer: dict[str, Any], *verdicts: str) -> set[str]:
    return {row["rule"] for row in answer["results"] if row["verdict"] in verdicts}


def test_1_south_australia_at_26_0_is_not_above_26() -> None:
    answer = judged("au-sa", OUTDOOR, {**FEEL, "temperature_c": "26.0", "free_chlorine": "1.0"})
    assert rows(answer, *FAILING) == set()
    assert rows(answer, "meets") >= {"free-chlorine-cool"}
    warm = judged("au-sa", OUTDOOR, {**FEEL, "temperature_c": "26.1", "free_chlorine": "1.0"})
    assert rows(warm, *FAILING) == {"free-chlorine-warm"}


def test_2_south_australia_warm_and_stabilised_asks_four() -> None:
    pool = {**OUTDOOR, "stabiliser": "used"}
    given = {**FEEL, "temperature_c": "26.1", "cyanuric_acid": "40"}
    answer = judged("au-sa", pool, {**given, "free_chlorine": "3.9"})
    assert rows(answer, *FAILING) == {"free-chlorine-warm-stabilised"}
    assert rows(judged("au-sa", pool, {**given, "free_chlorine": "4.0"}), *FAILING) == set()


def test_3_south_australia_bans_stabiliser_indoors() -> None:
    answer = judged("au-sa", INDOOR, {**FEEL, "free_chlorine": "4", "cyanuric_acid": "5"})
    assert "cyanuric-acid-enclosed" in rows(answer, *FAILING)


@pytest.mark.parametrize(("total", "closes"), [("10.0", False), ("10.1", True)])
def test_4_south_australia_closes_above_ten_total(total: str, closes: bool) -> None:
    answer = judged("au-sa", OUTDOOR, {**FEEL, "free_chlorine": "9.9", "total_chlorine": total})
    assert ("total-chlorine-closing" in rows(answer, "close")) == closes


def test_5_new_south_wales_adds_one_above_ph_7_6_and_shows_it() -> None:
    pool = {**OUTDOOR, "stabiliser": "used", "control": "manual"}
    readings = {**FEEL, "ph": "7.7", "free_chlorine": "3.5", "cyanuric_acid": "30"}
    answer = judged("au-nsw@2012", pool, readings)
    row = next(r for r in answer["results"] if r["rule"] == "free-chlorine-outdoor-stabilised")
    assert row["verdict"] == "does-not-meet"
    assert row["worked"] == "3.0 + 1.0 (pH above 7.6) = 4.0"
    at_line = judged("au-nsw@2012", pool, {**readings, "ph": "7.6"})
    assert rows(at_line, *FAILING) == set()


def test_6_new_south_wales_leaves_the_chlorine_clause_under_orp_control() -> None:
    pool = {**OUTDOOR, "control": "orp"}
    readings = {**FEEL, "free_chlorine": "0.8", "orp_mv": "730"}
    answer = judged("au-nsw@2012", pool, readings)
    assert rows(answer, *FAILING) == set()
    assert "orp-minimum" in rows(answer, "meets")
    assert not any(r["parameter"] == "free_chlorine" for r in answer["results"])
    by_hand = judged("au-nsw@2012", {**pool, "control": "manual"}, readings)
    assert rows(by_hand, *FAILING) == {"free-chlorine-outdoor"}


def test_7_victoria_spa_fails_free_chlorine_only() -> None:
    readings = {**FEEL, "free_chlorine": "2.9", "total_chlorine": "4.0", "ph": "7.4"}
    assert rows(judged("au-vic", SPA, readings), *FAILING) == {"free-chlorine-minimum-spa"}


def test_8_victoria_four_hours_and_ten_minutes_later_is_overdue() -> None:
    answer = judged("au-vic", OUTDOOR, {**FEEL, "free_chlorine": "2"}, at="2026-01-05T09:00:00Z")
    due = datetime.fromisoformat(answer["next_due"]["at"])
    assert due == datetime(2026, 1, 5, 13, tzinfo=UTC)
    assert due < datetime(2026, 1, 5, 13, 10, tzinfo=UTC)


def test_9_queensland_combined_0_9_is_legal_and_above_the_aim() -> None:
    readings = {**FEEL, "free_chlorine": "2.0", "total_chlorine": "2.9"}
    answer = judged("au-qld", OUTDOOR, readings)
    assert "combined-chlorine" in rows(answer, "meets")
    assert rows(answer, *FAILING) == set()
    advised = [row for row in answer["actions"] if row["rule"] == "combined-chlorine-aim"]
    assert [row["level"] for row in advised] == ["advise"]


@pytest.mark.parametrize(
    ("free", "overall"),
    [
        ("0.79", "does-not-meet"),
        ("0.5", "does-not-meet"),
        ("0.30", "does-not-meet"),
        ("0.29", "evacuate"),
        ("2.0", "meets"),
        ("5.0", "does-not-meet"),
        ("5.1", "evacuate"),
    ],
)
def test_10_11_12_quebec_outside_the_range_is_not_yet_closure(free: str, overall: str) -> None:
    total = f"{float(free) + 0.1:.2f}"
    readings = {**FEEL, "free_chlorine": free, "total_chlorine": total}
    assert judged("ca-qc", INDOOR, readings)["overall"] == overall


@pytest.mark.parametrize(("hour", "closes"), [("08:59", False), ("09:00", False), ("09:30", True)])
def test_13_quebec_combined_over_one_for_more_than_a_day_closes(hour: str, closes: bool) -> None:
    before = {"at": "2026-07-01T09:00:00-04:00", "free_chlorine": "1.0", "total_chlorine": "2.2"}
    readings = {**FEEL, "free_chlorine": "1.0", "total_chlorine": "2.1"}
    answer = judged("ca-qc", OUTDOOR, readings, at=f"2026-07-02T{hour}:00-04:00", history=[before])
    assert ("combined-chlorine-lasting" in rows(answer, "evacuate")) == closes
    assert "combined-chlorine-outdoor" in rows(answer, "does-not-meet")


def remaining(procedure: dict[str, Any], route: str, *readings: tuple[int, str]) -> int:
    given = [{"minute": m, "free_chlorine": free, "ph": "7.2"} for m, free in readings]
    states = contact_for_procedure(golden_readings({"readings": given}), None, procedure)
    return int(next(one["remaining"] for one in states if one["route"] == route))


def test_14_quebec_fifteen_for_ten_hours_forty_is_its_product() -> None:
    procedure = next(p for p in load_pack("ca-qc")["procedures"] if p["id"] == "loose-stool")
    held = [(minute, "15") for minute in range(0, 600, 60)]
    assert remaining(procedure, "equal-product", *held, (600, "15"), (640, "15")) == 0
    assert remaining(procedure, "equal-product", *held, (600, "15"), (639, "15")) > 0
    assert "Chapter II" in procedure["reopen"]


def test_15_california_wading_pool_asks_three() -> None:
    pool = {**OUTDOOR, "kind": "wading", "stabiliser": "used"}
    answer = judged("us-ca", pool, {**FEEL, "free_chlorine": "2.5"})
    assert rows(answer, *FAILING) == {"free-chlorine-minimum-spa-wading-spray"}


@pytest.mark.parametrize(
    ("method", "failing"),
    [("enzyme-substrate", set()), ("membrane", {"coliforms-membrane"})],
)
def test_16_california_coliforms_by_enzyme_pass_and_by_membrane_fail(
    method: str, failing: set[str]
) -> None:
    reading = {"parameter": "coliforms", "value": "1", "method": method}
    assert rows(judged("us-ca", OUTDOOR, [reading], purpose="sample"), *FAILING) == failing


@pytest.mark.parametrize(("second", "breaks"), [("180", False), ("200", False), ("230", True)])
def test_17_18_washington_asks_for_two_counts_in_a_row(second: str, breaks: bool) -> None:
    first = {"at": "2026-07-01T09:00:00-07:00", "colony_count": "250"}
    answer = judged(
        "us-wa",
        OUTDOOR,
        {"colony_count": second},
        purpose="sample",
        at="2026-07-08T09:00:00-07:00",
        history=[first],
    )
    assert ("plate-count-twice" in rows(answer, *FAILING)) == breaks


def on_days(free: str, orp: str, days: list[int]) -> dict[str, Any]:
    """Judge by Iowa a round at noon after the same numbers on earlier days."""
    now = datetime(2026, 7, 31, 12, tzinfo=UTC)
    shown = {"free_chlorine": free, "orp_mv": orp}
    history = [{"at": (now - timedelta(days=day)).isoformat(), **shown} for day in days]
    return judged("us-ia", OUTDOOR, {**FEEL, **shown}, at=now.isoformat(), history=history)


def asked_by(answer: dict[str, Any], rule: str) -> list[dict[str, Any]]:
    return [row for row in answer["actions"] if row["rule"] == rule]


def test_19_iowa_five_days_of_low_orp_ask_for_a_written_evaluation() -> None:
    evaluation = asked_by(on_days("2.0", "680", [1, 2, 3, 4]), "pool-low-orp-days-running")
    assert 30 * 86_400 in [row["within_seconds"] for row in evaluation]
    assert asked_by(on_days("2.0", "680", [1, 2, 3]), "pool-low-orp-days-running") == []


def test_20_iowa_seven_of_fourteen_days_over_eight_tell_the_agency() -> None:
    told = asked_by(on_days("9.0", "680", [2, 4, 6, 8, 10, 12]), "pool-high-orp-days-window")
    assert "authority" in [row["to"] for row in told] or "notify" in [r["level"] for r in told]
    assert asked_by(on_days("9.0", "680", [2, 4, 6, 8, 10]), "pool-high-orp-days-window") == []
    assert asked_by(on_days("9.0", "680", [2, 4, 6, 8, 10, 14]), "pool-high-orp-days-window") == []


def test_21_france_changes_what_it_limits_at_fifteen_of_stabiliser() -> None:
    pool = {**OUTDOOR, "stabiliser": "used"}
    given = {**FEEL, "free_chlorine": "1.9"}
    below = judged("fr", pool, {**given, "cyanuric_acid": "14.9"})
    assert "active-chlorine" in rows(below, "not-judged")
    assert "available-chlorine-minimum" not in {row["rule"] for row in below["results"]}
    at_line = judged("fr", pool, {**given, "cyanuric_acid": "15.0"})
    assert rows(at_line, *FAILING) == {"available-chlorine-minimum"}
    assert "active-chlorine" not in {row["rule"] for row in at_line["results"]}


@pytest.mark.parametrize(
    ("ph", "orp", "fails"),
    [
        ("7.4", "760", {"orp-fresh-high-ph"}),
        ("7.4", "770", set()),
        ("7.2", "760", set()),
        ("7.3", "760", {"orp-fresh-high-ph"}),
    ],
)
def test_22_germany_asks_more_redox_from_ph_7_3_on(ph: str, orp: str, fails: set[str]) -> None:
    pool = {**INDOOR, "coagulant": "iron", "secondary": "none"}
    readings = {**FEEL, "ph": ph, "orp_mv": orp, "free_chlorine": "0.4", "total_chlorine": "0.5"}
    assert rows(judged("de-din-19643", pool, readings), *FAILING) == fails


def test_23_singapore_counts_its_chain_from_what_was_done() -> None:
    pack = load_pack("sg")
    monday = local_ms("2026-07-06T09:00", "Asia/Singapore")
    broken = ["rule:ph-minimum", "rule:spa-free-chlorine-minimum"]
    event = {"about": "e1", "pool": "p", "on": broken, "at": monday, "actions": []}
    facts: dict[str, Any] = {"deadline_events": [event], "deadlines_met": []}
    told = deadlines_now(facts, pack, monday)
    assert [row["id"] for row in told] == ["notify", "clean", "sample", "submit"]
    due = {row["id"]: row["due_at"] for row in told}
    assert due["notify"] == local_ms("2026-07-07T09:00", "Asia/Singapore")
    assert due["clean"] == local_ms("2026-07-09T09:00", "Asia/Singapore")
    assert due["sample"] is None
    cleaned = local_ms("2026-07-08T18:00", "Asia/Singapore")
    facts["deadlines_met"] = [{"about": "e1", "deadline": "clean", "at": cleaned, "by": "a"}]
    later = {row["id"]: row["due_at"] for row in deadlines_now(facts, pack, cleaned)}
    assert later["sample"] == local_ms("2026-07-09T18:00", "Asia/Singapore")
    tested = local_ms("2026-07-09T12:00", "Asia/Singapore")
    facts["deadlines_met"].append({"about": "e1", "deadline": "sample", "at": tested, "by": "a"})
    last = {row["id"]: row["due_at"] for row in deadlines_now(facts, pack, tested)}
    assert last["submit"] == local_ms("2026-07-16T12:00", "Asia/Singapore")


def test_24_new_south_wales_adds_contact_time_by_the_lower_reading() -> None:
    # By a procedure of the tests with the same product; the one-point rule is taken out of it.
    procedure = {**compile_pack(ALL_OF_IT)["procedures"][0], "points_least": 1}
    readings = ((0, "20"), (300, "18"), (780, "19"))
    assert remaining(procedure, "hold", *readings) == (15_300 - (18 * 300 + 18 * 480)) * 1000
    assert remaining(procedure, "hold", *readings, (850, "19")) == 0


def every(pool: dict[str, Any], cyanuric_acid: str | None) -> set[str]:
    """Give the ids of Oregon's repeated chlorine tests that ask at a pool."""
    readings = {} if cyanuric_acid is None else {"cyanuric_acid": cyanuric_acid}
    row = {"at": local_ms("2026-07-01T08:00") // 1000, "readings": case_readings(readings)}
    known = with_numbers(pool)
    facts = asked(
        *rules_schedules(load_pack("us-or"), known),
        asked_of={"pool": known, "parameters": ["cyanuric_acid"], "borrow_seconds": 10**6},
        read_values=[row],
        read=read_at(local_ms("2026-07-01T08:30")),
        opening=word("open", local_ms("2026-07-01T08:00")),
    )
    due = [d for d in duties_now(facts, local_ms("2026-07-01T09:31")) if d["state"] == "overdue"]
    return {row["id"] for row in due}


def case_readings(readings: dict[str, str]) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = case_from({"readings": readings})["readings"]
    return found


@pytest.mark.parametrize(("acid", "hourly"), [("25", True), ("29.9", True), ("30", False)])
def test_25_oregon_gives_four_hours_only_from_thirty_on(acid: str, hourly: bool) -> None:
    pool = {**OUTDOOR, "stabiliser": "used"}
    assert ("rules:hourly-under-thirty" in every(pool, acid)) == hourly


@pytest.mark.parametrize(
    ("acid", "failing", "closing"),
    [
        ("99", set(), set()),
        ("100", {"cyanuric-acid-action"}, set()),
        ("120", {"cyanuric-acid-action"}, set()),
        ("300", {"cyanuric-acid-action"}, {"cyanuric-acid-closing"}),
    ],
)
def test_26_mansfield_acts_at_a_hundred_and_closes_at_three_hundred(
    acid: str, failing: set[str], closing: set[str]
) -> None:
    pool = {**OUTDOOR, "stabiliser": "used"}
    answer = judged("us-tx-mansfield", pool, {"cyanuric_acid": acid}, purpose="sample")
    assert rows(answer, "does-not-meet") == failing
    assert rows(answer, "close") == closing


def test_27_florida_in_2016_allowed_indoors_half_of_what_it_allowed_outdoors() -> None:
    readings = {**FEEL, "free_chlorine": "6"}
    indoor = judged("us-fl@2016", INDOOR, readings)
    assert rows(indoor, *FAILING) == {"free-chlorine-maximum-indoor"}
    assert rows(judged("us-fl@2016", OUTDOOR, readings), *FAILING) == set()


def test_28_montana_asks_for_a_hand_made_test_at_the_start_whatever_a_probe_shows() -> None:
    probe = [local_ms("2026-07-01T06:30"), local_ms("2026-07-01T06:59")]
    trace = {"orp_mv": probe, "controller_free": probe, "controller_ph": probe}
    facts = asked(
        *rules_schedules(load_pack("us-mt@2010"), OUTDOOR),
        read=trace,
        opening=word("open", local_ms("2026-07-01T07:00")),
    )
    now = local_ms("2026-07-01T12:00")
    missed = {row["id"] for row in duties_now(facts, now) if row["state"] == "missed"}
    assert missed >= {"rules:before-opening", "opened-before-test"}
