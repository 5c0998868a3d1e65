"""The rules format says what codes say, and refuses what it does not know, naming the place."""

from __future__ import annotations

from typing import Any

import pytest
from tests.rules.feature_pack import ALL_OF_IT, all_of_it, judged, row_of

from lanewater.rules.pack import compile_pack
from lanewater.terms.errors import InputError

DAY = 86400
GOOD = {"free_chlorine": "5.0", "ph": "7.2", "clarity": "visible"}


def days_ago(number: float, **readings: str) -> dict[str, Any]:
    hour = 12 - round(24 * (number - int(number)))
    return {"at": f"2026-06-{20 - int(number):02d}T{hour:02d}:00:00+00:00", **readings}


NOW = "2026-06-20T12:00:00+00:00"


def assumed(answer: dict[str, Any]) -> list[str]:
    return [row["about"] for row in answer["findings"] if row["id"] == "not-known"]


@pytest.mark.parametrize(
    ("readings", "limit", "worked", "verdict"),
    [
        ({"free_chlorine": "3.0", "ph": "7.6"}, "3.0", None, "meets"),
        (
            {"free_chlorine": "3.5", "ph": "7.61"},
            "4.0",
            "3.0 + 1.0 (pH above 7.6) = 4.0",
            "does-not-meet",
        ),
        ({"free_chlorine": "4.0", "ph": "7.7"}, "4.0", "3.0 + 1.0 (pH above 7.6) = 4.0", "meets"),
    ],
)
def test_a_limit_is_worked_out_step_by_step_and_the_arithmetic_is_shown(
    readings: dict[str, str], limit: str, worked: str | None, verdict: str
) -> None:
    row = row_of(judged(readings, {"facts": {"beds": 10}}), "free-minimum")
    assert (row["limit"], row.get("worked"), row["verdict"]) == (limit, worked, verdict)


def test_steps_follow_one_another_in_the_packs_order() -> None:
    answer = judged({"free_chlorine": "5.9", "ph": "7.8"}, {"kind": "spa"})
    row = row_of(answer, "free-minimum")
    assert row["worked"] == "(3.0 + 1.0 (pH above 7.6)) x 1.5 (high risk) = 6.0"
    assert row["verdict"] == "does-not-meet"


def test_a_step_whose_condition_is_not_known_is_taken_where_it_is_stricter_and_said() -> None:
    answer = judged({"free_chlorine": "3.5"}, {"facts": {"beds": 10}})
    row = row_of(answer, "free-minimum")
    assert (row["limit"], row["verdict"]) == ("4.0", "does-not-meet")
    assert "ph" in assumed(answer)


def test_a_step_that_loosens_is_not_taken_on_a_guess() -> None:
    answer = judged({"free_chlorine": "11.0", "ph": "7.2"}, {"facts": {"beds": 10}})
    assert row_of(answer, "free-maximum")["verdict"] == "close"
    assert "overshoot" in assumed(answer)
    known = judged({"free_chlorine": "11.0", "ph": "7.2"}, {"facts": {"overshoot": "allowed"}})
    assert row_of(known, "free-maximum")["verdict"] == "meets"
    assert row_of(known, "free-maximum")["limit"] == "12.0"


@pytest.mark.parametrize(
    ("pool", "every"),
    [
        ({"kind": "wading"}, 2),
        ({"kind": "pool", "facts": {"beds": 40}}, 4),
        ({"kind": "pool", "facts": {"beds": 41}}, None),
        ({"kind": "pool"}, 2),
        ({"kind": "pool", "risk_class": "high", "facts": {"beds": 4}}, 2),
    ],
)
def test_a_class_is_the_first_that_fits_and_the_sites_own_word_stands(
    pool: dict[str, Any], every: int | None
) -> None:
    due = judged(GOOD, pool, at=NOW)["next_due"]["at"]
    assert due == (None if every is None else f"2026-06-20T{12 + every}:00:00Z")


def test_numbers_of_the_pool_choose_rules_and_an_unknown_one_counts_as_stricter() -> None:
    readings = {**GOOD, "turbidity_ntu": "0.6"}
    small = judged(readings, {"surface_m2": 130, "volume_m3": 100})
    assert row_of(small, "large-pools-only") == {}
    large = judged(readings, {"surface_m2": 130, "volume_m3": 100.001})
    assert row_of(large, "large-pools-only")["verdict"] == "does-not-meet"
    unknown = judged(readings)
    assert row_of(unknown, "large-pools-only")["verdict"] == "does-not-meet"
    assert {"size", "volume_m3"} <= set(assumed(unknown))


@pytest.mark.parametrize(
    ("value", "verdict"), [("32.5", "meets"), ("32.501", "does-not-meet"), (None, "not-judged")]
)
def test_a_limit_hangs_on_the_fill_water_and_without_it_nothing_is_judged(
    value: str | None, verdict: str
) -> None:
    facts = {} if value is None else {"facts": {"fill_nitrate": "12.5"}}
    answer = judged({**GOOD, "nitrate": value or "1"}, facts)
    assert row_of(answer, "nitrate-over-fill")["verdict"] == verdict
    assert row_of(answer, "nitrate-over-fill")["limit"] == "fill nitrate + 20"
    if value is None:
        assert {"parameter": "nitrate", "why": "7: fill_nitrate is not known"} in answer[
            "not_judged"
        ]


@pytest.mark.parametrize(
    ("method", "failing"),
    [
        ("enzyme-substrate", []),
        ("membrane", ["coliforms-membrane"]),
        ("", ["coliforms-membrane"]),
    ],
)
def test_a_limit_for_a_method_holds_readings_of_that_method_and_of_none(
    method: str, failing: list[str]
) -> None:
    reading = {"parameter": "coliforms", "value": "1"} | ({"method": method} if method else {})
    answer = judged([reading], purpose="sample")
    failed = [row["rule"] for row in answer["results"] if row["verdict"] == "close"]
    assert failed == failing
    assert ("method" in assumed(answer)) == (method == "")


def counts(*values: str) -> list[dict[str, Any]]:
    return [days_ago(n + 1, colony_count=value) for n, value in enumerate(reversed(values))]


@pytest.mark.parametrize(
    ("before", "now", "verdict"),
    [
        (("250",), "180", "meets"),
        (("250",), "230", "close"),
        (("180",), "230", "meets"),
        (("250", "180"), "230", "meets"),
        ((), "230", "meets"),
        ((">150",), "230", "not-judged"),
    ],
)
def test_two_in_a_row_are_two_in_a_row(before: tuple[str, ...], now: str, verdict: str) -> None:
    answer = judged({"colony_count": now}, purpose="sample", at=NOW, history=counts(*before))
    assert row_of(answer, "count-twice")["verdict"] == verdict


def test_without_a_time_nothing_that_must_repeat_is_judged() -> None:
    answer = judged({"colony_count": "230"}, purpose="sample", history=counts("250"))
    assert row_of(answer, "count-twice")["verdict"] == "not-judged"
    assert row_of(answer, "count-share")["verdict"] == "not-judged"


@pytest.mark.parametrize(
    ("before", "verdict"),
    [
        (("160", "160"), "does-not-meet"),
        (("160", "10"), "meets"),
        (("160", "160", "10", "10"), "does-not-meet"),
        (("160", "160", "10", "10", "10"), "meets"),
    ],
)
def test_so_many_of_so_many_samples(before: tuple[str, ...], verdict: str) -> None:
    answer = judged({"colony_count": "160"}, purpose="sample", at=NOW, history=counts(*before))
    assert row_of(answer, "count-three-of-five")["verdict"] == verdict


@pytest.mark.parametrize(("good", "verdict"), [(5, "does-not-meet"), (6, "meets")])
def test_a_share_of_the_samples_is_exceeded_not_reached(good: int, verdict: str) -> None:
    # One of 6 is 16.7 %; one of 7 is 14.3 %.
    answer = judged(
        {"colony_count": "101"}, purpose="sample", at=NOW, history=counts(*["10"] * good)
    )
    row = row_of(answer, "count-share")
    assert row["verdict"] == verdict
    assert row["counted"] == {
        "fails": 1,
        "open": 0,
        "of": good + 1,
        "wanted": 15,
        "unit": "percent",
    }


LOW = {"orp_mv": "690", "free_chlorine": "3.9", "ph": "7.2"}


def on_days(*days: float, **changed: str) -> dict[str, Any]:
    history = [days_ago(day, **{**LOW, **changed}) for day in days]
    return row_of(judged(LOW, at=NOW, history=history), "low-on-five-days")


def test_days_are_counted_once_and_a_day_without_a_break_is_none() -> None:
    assert on_days(1, 2, 3, 4)["verdict"] == "does-not-meet"
    assert on_days(1, 2, 3)["verdict"] == "meets"
    assert on_days(1, 1.2, 2, 3)["verdict"] == "meets"
    assert on_days(1, 2, 3, 5)["verdict"] == "meets"


def test_a_window_holds_each_earlier_round_to_the_rule_as_it_was_then() -> None:
    assert on_days(1, 2, 3, 4, free_chlorine="4.0")["verdict"] == "meets"
    assert on_days(1, 2, 3, 4, orp_mv="710")["verdict"] == "meets"
    # At pH 7.4 the limit was 720.
    assert on_days(1, 2, 3, 4, orp_mv="710", ph="7.4")["verdict"] == "does-not-meet"


def test_days_are_days_of_the_place() -> None:
    # An evening and the next morning in UTC-6 are one day in UTC and two at the pool.
    times = ("16T20:00", "17T09:00", "18T09:00", "19T09:00")
    history = [{"at": f"2026-06-{time}:00-06:00", **LOW} for time in times]
    there = judged(LOW, at="2026-06-20T09:00:00-06:00", history=history)
    assert row_of(there, "low-on-five-days")["verdict"] == "does-not-meet"
    in_utc = judged(LOW, at="2026-06-20T15:00:00Z", history=history)
    assert row_of(in_utc, "low-on-five-days")["verdict"] == "meets"


@pytest.mark.parametrize(("hours", "verdict"), [(1, "meets"), (2, "close")])
def test_a_word_can_last_too(hours: int, verdict: str) -> None:
    history = [{"at": f"2026-06-20T{12 - hours:02d}:00:00+00:00", "circulation": "stopped"}]
    answer = judged({**GOOD, "circulation": "stopped"}, at=NOW, history=history)
    assert row_of(answer, "stopped-for-an-hour")["verdict"] == verdict


def test_a_broken_rule_asks_for_more_with_its_time_and_whom_to_tell() -> None:
    answer = judged({**GOOD, "free_chlorine": "13"}, {"facts": {"overshoot": "allowed"}})
    asked = [
        (row["level"], row["clause"], row["within_seconds"], row["to"], row["scope"])
        for row in answer["actions"]
    ]
    assert asked == [
        ("close", "2", 0, "", "circuit"),
        ("notify", "2 b", DAY, "authority", "circuit"),
        ("advise", "2", 0, "patrons", "circuit"),
    ]


def test_times_and_texts_are_compiled_as_they_are_asked_for() -> None:
    pack = all_of_it()
    by_id = {row["id"]: row for row in pack["schedules"]}
    assert by_id["before-opening"]["form"] == "before-opening"
    assert by_id["before-opening"]["seconds"] == 1800
    assert by_id["after-rain"]["after"] == ["rain", "addition"]
    assert by_id["after-rain"]["grace_seconds"] == 600
    assert by_id["by-the-clock"]["clock"] == [540, 840]
    assert (by_id["microbes"]["duty"], by_id["microbes"]["unit"]) == ("microbiology", "months")
    assert [row["after"] for row in pack["deadlines"]] == ["", "tell"]
    assert [row["within_seconds"] for row in pack["deadlines"]] == [DAY, 3 * DAY]
    assert [row["approval"] for row in pack["reopening"]] == ["", "authority", ""]
    assert pack["reopening"][0]["rule"]["limit_thousandths"] == 1000
    assert pack["procedures"][0]["steps"][1]["gate"]["limit_thousandths"] == 15_000
    assert pack["records"]["keep_months"] == 24
    assert pack["sampling"]["points"] == 2
    assert pack["contradictions"][0]["chosen"] == "50"


def test_a_pack_that_says_none_of_it_holds_empty_lists() -> None:
    head, _, rest = ALL_OF_IT.partition("[[class]]")
    rules = rest.partition('[[rule]]\nid = "ph-range-low"')[2].partition("[[rule]]")[0]
    pack = compile_pack(head + '[[rule]]\nid = "ph-range-low"' + rules)
    for key in ("classes", "schedules", "reopening", "deadlines", "checklists", "contradictions"):
        assert pack[key] == []
    assert (pack["sampling"], pack["records"], pack["extends"], pack["replaces"]) == (
        None,
        None,
        "",
        [],
    )
    assert pack["rules"][0]["modify"] == []
    assert pack["rules"][0]["window"] is None


@pytest.mark.parametrize(
    ("old", "new", "place"),
    [
        ('fact = "risk_class"', 'fact = "kind"', "class high.fact"),
        ('"facts.size" = ["high"]', 'size_of = ["high"]', "rule large-pools-only.when.size_of"),
        ('fact = "surface_m2"', 'fact = "Surface!"', "class high.when_number.fact"),
        ('at_least = "130" }', 'about = "130" }', "class high.when_number"),
        ('{ add = "1.0", words', '{ add = "1.0", times = "2", words', "rule free-minimum.modify"),
        ('times = "1.5"', 'times = "-1.5"', "rule free-minimum.modify[1].times"),
        ('times = "1.5"', 'times = "1.0001"', "rule free-minimum.modify"),
        ('times = "1.2"', 'times = "1.211"\nwhen_if = 3', "pack"),
        ("times = [1, 3]", "times = [1, 0]", "rule combined-third.times"),
        ("times = [1, 3]", "times = [1, 3]\nplus = 3", "rule[5].plus"),
        ('relative_to_fact = "fill_nitrate"', "relative_to_fact = 3", "rule nitrate-over-fill"),
        ('methods = ["membrane"]', "methods = []", "rule coliforms-membrane.methods"),
        ("consecutive = 2", "consecutive = 1", "rule count-twice.consecutive"),
        ("fails = 3, of = 5", "fails = 6, of = 5", "rule count-three-of-five.window.fails"),
        ('unit = "samples"', 'unit = "weeks"', "rule count-three-of-five.window.unit"),
        ("above_percent = 15", "above_percent = 0", "rule count-share.share.above_percent"),
        ("consecutive = 2", "consecutive = 2\nfor_more_than_hours = 2", "rule count-twice"),
        ('scope = "circuit"', 'scope = "street"', "rule free-maximum.scope"),
        ('to = "patrons"', 'to = "press"', "rule free-maximum.then[1].to"),
        ("before_opening_minutes = 30", "", "schedule before-opening"),
        ("within_minutes = 60", "", "schedule after-rain.within_minutes"),
        ('clock = ["14:00", "09:00"]', 'clock = ["24:00"]', "schedule by-the-clock.clock"),
        ('test = ["microbiology"]', 'test = ["microbiology", "ph"]', "schedule microbes.test"),
        ('approval = "authority"', 'approval = "press"', "reopening approval.approval"),
        ('duty = "clean the pool"', "", "reopening cleaned"),
        ('for = ["closure"]', 'for = ["boredom"]', "reopening free-again.for"),
        ('on = "rule:free-maximum"', 'on = "rule:none"', "deadline tell.on"),
        ('after = "tell"', 'after = "report"', "deadline report.after"),
        ('parameter = "cyanuric_acid", at_most', 'parameter = "cyanuric_acid", most', "procedure"),
        ("keep_months = 24", "keep_months = 2.5", "records.keep_months"),
        ('chosen = "50"', "", "contradiction[0].chosen"),
        ("points_least = 2", "points_least = 0", "procedure diarrhoea.points_least"),
        ('equals = "visible"', 'at_most = "visible"', "rule bottom.at_most"),
    ],
)
def test_a_fault_is_named_with_its_place(old: str, new: str, place: str) -> None:
    planted = ALL_OF_IT.replace(old, new, 1)
    assert planted != ALL_OF_IT
    with pytest.raises(InputError) as caught:
        compile_pack(planted)
    assert caught.value.field.startswith(place)
