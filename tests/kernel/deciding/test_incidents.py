"""Incidents in the kernel: gates, the rules' own clocks over every pool, and what is met."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.kernel.deciding.contact_cases import PROCEDURE, asked, route
from tests.kernel.deciding.deciding_cases import reading
from tests.kernel.deciding.incident_cases import (
    MINUTE,
    START,
    begun,
    chose,
    criteria,
    did,
    line,
    noted,
    now,
    pack_of,
    read_in,
    states,
)

from lanewater.kernel.deciding.incidentkinds import (
    INCIDENTS,
    MAY_BE_LEFT,
    MEASURED,
    NAMED,
    NEEDS,
    STRICT,
    TEST_AFTER,
)
from lanewater.kernel.deciding.incidentrows import incident_round, incident_with
from lanewater.kernel.deciding.incidents import incident_now
from lanewater.records.kinds import HOUSE_STOPS
from lanewater.terms.words import CONTAMINATIONS, INCIDENT_KINDS

HOUR = 60
BOTH = ("main", "teaching")
FOUL = sorted(kind for kind, row in INCIDENTS.items() if "contact-time" in row["steps"])


def rules(*routes: dict[str, Any], **more: Any) -> dict[str, Any]:
    """Give rules that hold one procedure for diarrhoea."""
    held = {"id": "loose", "for": ["diarrhoea"], "clause": "s.1", "words": "", "reopen": "2.0"}
    worded = [{"words": "", **one} for one in routes or PROCEDURE["routes"]]
    return {"procedures": [asked(routes=worded) | held | more]}


def told_by(incident: dict[str, Any], pack: dict[str, Any], hours: float) -> dict[str, Any]:
    """Tell how an incident stands by some rules."""
    return incident_now(incident, pack, START + round(hours * HOUR * MINUTE))


def only(told: dict[str, Any]) -> dict[str, Any]:
    """Give the only route of the only procedure."""
    found: dict[str, Any] = told["procedures"][0]["routes"][0]
    return found


def read_at(incident: dict[str, Any], *pairs: tuple[float, str]) -> dict[str, Any]:
    """Give an incident with free chlorine read at some hours."""
    for hour, text in pairs:
        incident = read_in(incident, hour * HOUR, free_chlorine=text, ph="7.4", overall="close")
    return incident


def test_every_kind_has_its_row_and_every_word_in_it_is_known() -> None:
    assert sorted(INCIDENTS) == sorted(INCIDENT_KINDS)
    steps = {step for row in INCIDENTS.values() for step in row["steps"]}
    for row in INCIDENTS.values():
        assert row["stop"] in HOUSE_STOPS
        assert row["scope"] in ("pool", "circuit", "site")
        assert row["contamination"] in ("", *CONTAMINATIONS)
        assert row["steps"][0] == "people-out"
        assert "steps-done" in row["criteria"]
    named = {*MEASURED, *MAY_BE_LEFT, *NAMED, *TEST_AFTER, *NEEDS}
    named |= {step for needed in NEEDS.values() for step in needed}
    assert named <= steps


def test_no_step_is_a_restart_and_people_are_never_left_out() -> None:
    steps = {step for row in INCIDENTS.values() for step in row["steps"]}
    assert not [step for step in steps if "restart" in step or "start" in step]
    assert not {"people-out", "feeders-off", "purged", "pump-nobody-in", "nobody-back"} & set(
        MAY_BE_LEFT
    )


def test_a_pump_trip_asks_for_exactly_the_order_of_the_reviews() -> None:
    wanted = ["people-out", "feeders-off", "ventilated", "pump-nobody-in", "purged"]
    told = now(begun("circulation-failure"), 1)
    assert [row["id"] for row in told["steps"]] == [*wanted, "two-point-test"]
    for index, name in enumerate(wanted[1:], 1):
        incident = begun("circulation-failure")
        for done in wanted[: index - 1]:
            incident = did(incident, done, 1)
        found = states(now(incident, 2))
        assert found[name] == "locked"
        assert found[wanted[index - 1]] == "to-do"


def test_a_step_ticked_before_the_one_it_waits_for_does_not_count() -> None:
    incident = begun("circulation-failure")
    for name, minute in (("people-out", 1), ("ventilated", 2), ("feeders-off", 5)):
        incident = did(incident, name, minute)
    assert states(now(incident, 6))["ventilated"] == "to-do"
    again = states(now(did(incident, "ventilated", 7), 8))
    assert again["ventilated"] == "done"


def test_a_pump_trip_ends_on_two_points_that_meet_after_the_purge() -> None:
    incident = begun("circulation-failure")
    points = {"shallow": "1.2", "deep": "1.2"}
    incident = read_in(incident, 3, points=points)
    wanted = ["people-out", "feeders-off", "ventilated", "pump-nobody-in", "purged"]
    for minute, name in enumerate(wanted, 10):
        incident = did(incident, name, minute)
    told = now(incident, 20)
    assert told["why_not"] == ["steps-done", "two-point-round"]
    assert told["still_minutes"] == 13
    assert now(read_in(incident, 30, free_chlorine="1.2"), 31)["may_end"] is False
    assert (
        now(read_in(incident, 30, points=points, overall="does-not-meet"), 31)["may_end"] is False
    )
    good = read_in(incident, 30, points=points)
    assert now(good, 31)["may_end"] is True
    assert now(read_in(good, 40, free_chlorine="0.2", overall="close"), 41)["may_end"] is False


@pytest.mark.parametrize("kind", ["glass", "chemical-spill", "gas", "injury", "complaints"])
def test_some_kinds_end_on_a_named_persons_words_only(kind: str) -> None:
    incident = begun(kind)
    for minute, name in enumerate(INCIDENTS[kind]["steps"], 1):
        if name not in MEASURED and name not in NAMED:
            incident = did(incident, name, minute)
    for nobody in ({"named": False}, {"words": ""}):
        word = next(name for name in INCIDENTS[kind]["steps"] if name.endswith("-word"))
        claimed = did(incident, word, 50, **nobody)
        assert "named-word" in now(claimed, 100_000)["why_not"]


def test_rules_without_a_procedure_take_a_named_persons_words_on_whom_they_asked() -> None:
    for pack in (None, "us-ca"):
        incident = begun("diarrhoea")
        for minute, name in enumerate(("people-out", "remove-it", "tools-clean", "pump-on"), 1):
            incident = did(incident, name, minute)
        incident = read_in(incident, 10, free_chlorine="1.2", ph="7.4", overall="meets")
        told = now(incident, 20, pack)
        assert "rules-hold-no-procedure" in told["why_not"]
        assert not {"route", "raise-chlorine", "contact-time"} & set(states(told))
        assert "contact-time" not in criteria(told)
        said = did(incident, "ask-authority", 30, words="Ms Roy, health office: drain it")
        assert criteria(now(said, 31, pack))["rules-hold-no-procedure"] == "yes"
        assert now(said, 31, pack)["why_not"] == ["steps-done", "water-meets"]
        back = read_in(said, 40, free_chlorine="1.2", ph="7.4", overall="meets")
        assert now(back, 41, pack)["may_end"] is True


def test_an_archived_procedure_gives_no_time_and_no_route() -> None:
    incident = begun("formed-stool")
    incident = chose(incident, "formed-stool", "ct-50")
    for minute in (5, 40, 400):
        incident = read_in(incident, minute, free_chlorine="3.0", ph="7.4")
    told = now(incident, 500, "au-vic")
    assert [row["archived"] for row in told["procedures"]] == [True]
    for one in told["procedures"][0]["routes"]:
        assert (one["may_choose"], one["reached_ms"], one["not_before_ms"]) == (False, None, None)
    assert told["clock"] is None
    assert criteria(told)["rules-hold-no-procedure"] == "no"


def test_golden_case_14_fifteen_held_for_ten_hours_and_forty_minutes() -> None:
    incident = read_at(chose(begun("diarrhoea"), "loose-stool", "equal-product"), (0, "15.0"))
    assert now(read_in(incident, 639, free_chlorine="15.0"), 640)["clock"]["reached_ms"] is None
    told = now(read_in(incident, 640, free_chlorine="15.0"), 640)
    assert told["clock"]["reached_ms"] == START + 640 * MINUTE
    assert criteria(told)["contact-time"] == "yes"


def test_golden_case_24_the_lowest_of_each_interval_counts() -> None:
    incident = read_at(begun("diarrhoea"), (0, "20"), (5, "18"), (13, "19"))
    one = only(told_by(incident, rules(route(ct=15_300_000)), 13))
    assert one["ct_conservative"] == 14_040_000
    assert one["reached_ms"] is None
    assert one["remaining"] == 1_260_000


def test_the_printed_integral_example_by_the_lower_of_each_two_readings() -> None:
    minutes = (0, 60, 180, 360, 540, 765)
    values = ("20", "19.5", "18.8", "17.9", "17.2", "16.5")
    pairs = [(minute / HOUR, text) for minute, text in zip(minutes, values, strict=True)]
    one = only(told_by(read_at(begun("diarrhoea"), *pairs), rules(route(ct=15_300_000)), 13))
    assert one["ct_conservative"] == 13_456_500  # printed rounded, 13,457


@pytest.mark.parametrize(("half_life", "hours"), [(5, None), (10, 31.05), (20, 16.83), (40, 14.41)])
def test_the_printed_half_lives_give_their_not_before(half_life: int, hours: float | None) -> None:
    read = [0, half_life / 10, half_life / 5]
    values = [(hour, f"{20 * 2 ** (-hour / half_life):.3f}") for hour in read]
    pack = rules(route(ct=15_300_000))
    one = only(told_by(read_at(begun("diarrhoea"), *values), pack, read[2]))
    if hours is None:
        assert (one["reachable"], one["not_before_ms"]) == (False, None)
        return
    found = (one["not_before_ms"] - START) / (HOUR * MINUTE)
    # So far the lower of each two readings counts; from there on the printed smooth integral.
    counted = sum(float(text) for _, text in values[1:]) * HOUR * half_life / 10
    k, last = math.log(2) / half_life / HOUR, float(values[2][1])
    ahead = -math.log(1 - k * (15_300 - counted) / last) / k / HOUR
    assert found == pytest.approx(read[2] + ahead, abs=0.06)
    assert hours <= found <= hours * 1.1


def test_the_printed_time_stands_where_it_is_stricter_than_its_arithmetic() -> None:
    printed = rules(route(free_least=20_000, seconds=28 * 3600, ct=31_500_000))
    incident = read_at(begun("diarrhoea"), (0, "20"), (13, "20"), (26.5, "20"))
    assert only(told_by(incident, printed, 27))["reached_ms"] is None
    incident = read_at(incident, (28, "20"))
    assert only(told_by(incident, printed, 28))["reached_ms"] == START + 28 * HOUR * MINUTE


def test_nothing_read_before_it_began_starts_its_clock() -> None:
    incident = begun("diarrhoea")
    incident = read_at(incident, (-3, "20"), (-1, "20"))
    assert only(told_by(incident, rules(route(ct=1_000)), 1))["started_ms"] is None


def test_free_chlorine_in_doubt_counts_as_none() -> None:
    held = read_at(begun("diarrhoea"), (0, "20"))
    doubted = read_in(held, 60, free_chlorine="20", doubtful=["free_chlorine"])
    told = told_by(read_at(doubted, (2, "20")), rules(route(free_least=10_000, seconds=7200)), 2)
    assert only(told)["started_ms"] == START + 120 * MINUTE
    assert told["doubtful"] == [START + 60 * MINUTE]


@pytest.mark.parametrize(
    ("rows", "also", "doubted"),
    [
        ([("", "20.5", 1)], [], True),
        ([("", "4.1", 5)], [], False),
        ([("a", "20.5", 1), ("b", "19.8", 1)], [], False),
        ([("a", "20.5", 1), ("b", "14.0", 1)], [], True),
        ([("a", "20.5", 1), ("b", "0.1", 1)], [], True),
        ([("a", ">5.00", 1), ("b", ">5.00", 1)], [], True),
        ([("a", "20.5", 1), ("b", "19.8", 1)], ["total_chlorine"], True),
    ],
)
def test_a_level_that_was_meant_is_no_slip_where_it_was_diluted_or_read_at_two_points(
    rows: list[tuple[str, str, int]], also: list[str], doubted: bool
) -> None:
    readings = [
        reading("free_chlorine", value, point=point, dilution=dilution)
        for point, value, dilution in rows
    ]
    doubtful = ["free_chlorine", *also]
    row = {"id": "r", "at": START, "readings": readings, "doubtful": doubtful}
    assert ("free_chlorine" in incident_round(row, "main", "close")["doubtful"]) is doubted


@pytest.mark.parametrize(
    ("total", "dilution", "doubted"), [("4.2", 5, False), ("1.0", 5, True), (">5.00", 1, True)]
)
def test_total_that_is_ten_times_the_usual_too_is_the_same_slip_or_none(
    total: str, dilution: int, doubted: bool
) -> None:
    readings = [
        reading("free_chlorine", "4.1", dilution=5),
        reading("total_chlorine", total, dilution=dilution),
    ]
    row = {"id": "r", "at": START, "readings": readings}
    row["doubtful"] = ["free_chlorine", "total_chlorine"]
    assert ("free_chlorine" in incident_round(row, "main", "close")["doubtful"]) is doubted


def test_a_reading_that_falls_short_restarts_or_holds_as_the_rules_say() -> None:
    incident = read_at(begun("diarrhoea"), (0, "20"), (4, "20"), (5, "9"), (6, "20"), (10, "20"))
    level = route(free_least=10_000, seconds=8 * 3600)
    assert only(told_by(incident, rules(level), 10))["reached_ms"] is None
    assert only(told_by(incident, rules(level), 10))["held_seconds"] == 4 * 3600
    held = only(told_by(incident, rules(level, broken="hold"), 10))
    assert held["reached_ms"] == START + 10 * HOUR * MINUTE


def test_every_pool_on_the_filter_must_be_complete() -> None:
    incident = begun("diarrhoea", BOTH)
    incident = chose(incident, "loose", "only")
    for hour in (0, 1):
        incident = read_in(incident, hour * HOUR, free_chlorine="20", ph="7.4")
    incident = read_in(incident, 10, "teaching", free_chlorine="20", ph="7.4")
    told = told_by(incident, rules(route(ct=100_000)), 2)
    assert [row["reached_ms"] is None for row in only(told)["pools"]] == [False, True]
    assert only(told)["reached_ms"] is None
    assert criteria(told)["contact-time"] == "no"
    done = read_in(incident, 30, "teaching", free_chlorine="20", ph="7.4")
    assert criteria(told_by(done, rules(route(ct=100_000)), 2))["contact-time"] == "yes"


def test_ph_and_stabiliser_come_before_chlorine_and_overshoot_is_said_before_it() -> None:
    pack = rules(route(free_least=20_000, seconds=7200), ph_most=7500, cyanuric_most=15_000)
    incident = did(begun("diarrhoea"), "people-out", 1)
    told = told_by(incident, pack, 1)
    order = [row["id"] for row in told["steps"]]
    wanted = ["route", "overshoot", "ph-first", "stabiliser-first", "raise-chlorine"]
    assert [step for step in order if step in wanted] == wanted
    gates = {row["id"]: row["gate"] for row in told["steps"]}
    assert gates["raise-chlorine"] == "step:route"
    incident = did(chose(incident, "loose", "only"), "overshoot", 2)
    for ph, cyanuric, gate in (
        ("7.8", "10", "step:ph-first"),
        ("7.4", "40", "step:stabiliser-first"),
        ("7.4", "10", ""),
    ):
        read = read_in(incident, 5, free_chlorine="1.2", ph=ph, cyanuric_acid=cyanuric)
        rows = {row["id"]: row for row in told_by(read, pack, 1)["steps"]}
        assert rows["raise-chlorine"]["gate"] == gate


def test_the_rules_own_steps_stand_in_their_order_with_their_gates() -> None:
    gate = {"parameter": "cyanuric_acid", "comparison": "at-most", "limit_thousandths": 15_000}
    steps = [
        {"id": "coagulate", "words": "Coagulate.", "gate": None},
        {"id": "dilute", "words": "Dilute.", "gate": gate},
    ]
    incident = did(begun("diarrhoea"), "people-out", 1)
    pack = rules(route(ct=1000), steps=steps)
    rows = {row["id"]: row for row in told_by(incident, pack, 1)["steps"]}
    own = [name for name in rows if name.startswith("rules:")]
    assert own == ["rules:loose:coagulate", "rules:loose:dilute"]
    assert (rows[own[1]]["state"], rows[own[1]]["gate"]) == ("locked", "reading")
    read = read_in(incident, 5, cyanuric_acid="12")
    rows = {row["id"]: row for row in told_by(did(read, own[1], 6), pack, 1)["steps"]}
    assert rows[own[1]]["state"] == "done"


def test_routes_stay_in_the_rules_order_whatever_their_times() -> None:
    slow, quick = route(id="slow", ct=90_000_000), route(id="quick", ct=1000)
    incident = read_at(begun("diarrhoea"), (0, "20"), (1, "20"))
    for routes in ((slow, quick), (quick, slow)):
        told = told_by(incident, rules(*routes), 1)
        found = [row["id"] for row in told["procedures"][0]["routes"]]
        assert found == [row["id"] for row in routes]
        assert told["clock"] is None
        assert not any(row["chosen"] for row in told["procedures"][0]["routes"])


def test_thunder_waits_from_the_last_and_the_default_is_named() -> None:
    incident = did(did(begun("thunder"), "people-out", 1), "deck-empty", 2)
    told = now(noted(incident, "again", 20), 49)
    assert (told["quiet_assumed"], told["quiet_minutes"], told["may_end"]) == (True, 30, False)
    assert now(noted(incident, "again", 20), 50)["may_end"] is True
    own = did(did(begun("thunder", quiet_minutes=45), "people-out", 1), "deck-empty", 2)
    assert now(own, 44)["may_end"] is False
    assert now(own, 45)["may_end"] is True


def test_water_that_the_rules_do_not_judge_takes_a_named_persons_words_after_the_round() -> None:
    incident = begun("overdose")
    for minute, name in enumerate(("people-out", "feed-stopped", "brought-down"), 1):
        incident = did(incident, name, minute)
    points = {"shallow": "2.2", "deep": "2.2"}
    incident = did(incident, "water-word", 20)
    incident = read_in(incident, 30, points=points, overall="not-judged")
    assert "water-word" in states(now(incident, 31))
    assert now(incident, 31)["may_end"] is False
    assert now(did(incident, "water-word", 32), 33)["may_end"] is True
    once_more = read_in(did(incident, "water-word", 32), 35, points=points, overall="not-judged")
    assert states(now(once_more, 36))["water-word"] == "to-do"
    assert now(once_more, 36)["next"] == "water-word"
    doubted = read_in(incident, 40, points=points, overall="not-judged", doubtful=["ph"])
    assert now(did(doubted, "water-word", 42), 43)["may_end"] is False


STEPS = sorted({step for row in INCIDENTS.values() for step in row["steps"]})
LINES = st.lists(
    st.tuples(
        st.sampled_from([*STEPS, "test", "test", "test", "route", "again"]),
        st.integers(0, 2000),
        st.sampled_from(["done", "done", "done", "not-needed", "not-done"]),
        st.booleans(),
    ),
    max_size=25,
)


def played(kind: str, lines: list[Any], pools: tuple[str, ...] = BOTH) -> dict[str, Any]:
    """Give an incident with some lines, in the order they are given."""
    incident = begun(kind, pools)
    for what, minute, answer, named in lines:
        if what == "test":
            pool = pools[minute % len(pools)]
            value = ("0.4", "2.0", "2.0", "20")[minute % 4]
            overall = ("close", "meets", "meets", "evacuate")[minute % 4]
            points = {"a": value, "b": value} if named else {"a": value}
            incident = read_in(incident, minute, pool, points=points, ph="7.3", overall=overall)
        elif what == "route":
            chosen = ("solid-stool-or-vomit", "loose-stool")[minute % 2]
            incident = chose(incident, chosen, "equal-product", minute)
        elif what == "again":
            incident = noted(incident, "again", minute)
        else:
            incident = did(incident, what, minute, answer, named=named)
    return incident


@settings(max_examples=120, deadline=None)
@given(st.sampled_from(sorted(INCIDENTS)), LINES, st.randoms(use_true_random=False))
def test_the_order_in_which_lines_come_does_not_matter(kind: str, lines: Any, shuffle: Any) -> None:
    lines = list({(what, minute): (what, minute, *rest) for what, minute, *rest in lines}.values())
    other = list(lines)
    shuffle.shuffle(other)
    assert now(played(kind, lines), 3000) == now(played(kind, other), 3000)


@settings(max_examples=150, deadline=None)
@given(st.sampled_from(sorted(INCIDENTS)), LINES, st.integers(0, 3000))
def test_it_is_never_to_be_ended_with_anything_not_met(kind: str, lines: Any, at: int) -> None:
    told = now(played(kind, lines), at)
    met = criteria(told)
    assert told["may_end"] == all(found == "yes" for found in met.values())
    assert told["why_not"] == [name for name, found in met.items() if found != "yes"]
    if told["may_end"]:
        for row in told["steps"]:
            assert row["state"] == "done" or (row["state"] == "not-needed" and not row["must"])


@settings(max_examples=100, deadline=None)
@given(
    st.lists(st.integers(0, 240), min_size=1, max_size=12, unique=True),
    st.integers(0, 240),
    st.sampled_from(["0.3", "1.9", "2.0", "4.0"]),
    st.sampled_from(["", "hold", "restart"]),
)
def test_a_reading_that_falls_short_never_shortens_the_clock(
    minutes: list[int], extra: int, value: str, broken: str
) -> None:
    incident = begun("diarrhoea")
    for minute in minutes:
        incident = read_in(incident, minute, free_chlorine="4.0", ph="7.3")
    pack = rules(route(free_least=2000, seconds=1800), broken=broken)
    before = only(incident_now(incident, pack, START + 300 * MINUTE))
    more = read_in(incident, extra + 0.5, free_chlorine=value, ph="7.3")
    after = only(incident_now(more, pack, START + 300 * MINUTE))
    if value in ("0.3", "1.9"):
        assert before["reached_ms"] is not None or after["reached_ms"] is None
        if before["reached_ms"] is not None and after["reached_ms"] is not None:
            assert after["reached_ms"] >= before["reached_ms"]


@settings(max_examples=60, deadline=None)
@given(LINES, st.sampled_from(FOUL))
def test_one_more_pool_never_lets_it_end_sooner(lines: Any, kind: str) -> None:
    one = now(played(kind, lines, ("main",)), 3000)
    incident = played(kind, lines, ("main",)) | {"pools": ["main", "teaching"]}
    both = incident_now(incident, pack_of("ca-qc"), START + 3000 * MINUTE)
    assert one["may_end"] or not both["may_end"]
    assert both["may_end"] is False


def test_strict_kinds_are_those_that_feed_when_the_flow_stops() -> None:
    assert sorted(STRICT) == ["circulation-failure", "gas", "power-failure"]


def test_a_line_of_another_kind_changes_nothing() -> None:
    incident = begun("glass")
    assert incident_with(incident, line("told", 3), True) == incident
