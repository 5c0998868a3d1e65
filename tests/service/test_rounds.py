"""A round is on disk before it is judged; what is changed later stands beside it."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.baths import GOOD, LOW, Baths

from lanewater.records.errors import EntryIdReusedError
from lanewater.service import rounds
from lanewater.service.actor import ANYBODY, SHELL, Actor
from lanewater.service.book import new_id
from lanewater.service.judging import readings_of
from lanewater.service.opening import everyone_out
from lanewater.service.permission import NotAllowedError
from lanewater.service.rounds import correct_reading, judge_draft, judge_missing, record_round
from lanewater.service.set_up import add
from lanewater.service.state import current_readings
from lanewater.terms.errors import InputError, MissingError, RefusedError


def test_a_good_round_meets_and_says_by_which_rules(baths: Baths) -> None:
    answer = baths.round()
    found = answer["verdict"]
    assert (answer["judged"], answer["repeated"], found["overall"]) == (True, False, "meets")
    assert (found["rules"], found["status"]) == ("ca-qc", "reviewed")
    verdict = baths.book.state.verdicts[answer["round"]]
    assert verdict.rules == baths.book.state.site.rules
    assert verdict.body["engine"].startswith("lanewater ")


def test_low_free_chlorine_does_not_meet(baths: Baths) -> None:
    found = baths.round(**LOW)["verdict"]
    assert found["overall"] == "does-not-meet"
    failed = [row for row in found["results"] if row["verdict"] == "does-not-meet"]
    assert [(row["parameter"], row["value"]) for row in failed] == [("free_chlorine", "0.62")]


def test_the_only_lot_of_a_kit_is_the_lot_in_use_where_none_is_typed(baths: Baths) -> None:
    def found(**more: str) -> list[str]:
        readings = [{"parameter": "free_chlorine", "value": "1.52", **more}]
        answer = record_round(baths.book, ANYBODY, {"pool": "main", "readings": readings})
        return [row["id"] for row in answer["verdict"]["findings"]]

    lot = {"kit": "bench", "parameter": "free_chlorine", "expires_on": "2026-06-30"}
    add(baths.book, SHELL, "reagent", {**lot, "reagent": "old", "lot": "A1"})
    assert "expired-reagent" in found(kit="bench")
    assert "expired-reagent" not in found()
    add(
        baths.book,
        SHELL,
        "reagent",
        {**lot, "reagent": "new", "lot": "A2", "expires_on": "2028-01-01"},
    )
    assert "expired-reagent" not in found(kit="bench")
    assert "expired-reagent" in found(kit="bench", lot="A1")


def test_without_rules_it_is_saved_and_not_judged(baths: Baths) -> None:
    add(baths.book, SHELL, "rules", {"rules": "none"})
    found = baths.round(clarity="not-visible")["verdict"]
    assert found["overall"] == "not-judged"
    assert found["rules"] is None
    assert [stop["id"] for stop in found["stops"]] == ["bottom-not-seen"]


def test_readings_stay_as_they_were_typed(baths: Baths) -> None:
    readings = [
        {
            "parameter": "free_chlorine",
            "value": "1,50",
            "dilution": 5,
            "point": "deep",
            "kit": "bench",
        },
        {"parameter": "temperature_c", "value": "82.4", "unit": "F"},
        {"parameter": "ph", "value": "<6.8", "at": "2026-07-01T05:49:00-04:00"},
        {"parameter": "total_chlorine", "between": {"low": "1.0", "high": "1.5"}},
        {"parameter": "cyanuric_acid", "value": 30},
    ]
    answer = record_round(baths.book, ANYBODY, {"pool": "main", "readings": readings})
    found = baths.reopened().state.round_by_id(answer["round"])
    assert found is not None
    assert [row.value for row in found.readings] == ["1,50", "82.4", "<6.8", "1.25", "30"]
    assert found.readings[0].dilution == 5
    assert found.readings[3].between == ("1.0", "1.5")
    assert [row.value for row in readings_of(found)] == ["1.50", "28.00", "<6.8", "1.25", "30"]


def test_somebody_not_on_the_list_may_record_and_is_marked(baths: Baths) -> None:
    answer = record_round(baths.book, ANYBODY, {"pool": "main", "readings": GOOD})
    found = baths.book.state.round_by_id(answer["round"])
    assert found is not None
    assert (found.by, found.verified) == ("unlisted", False)


def test_a_resend_stands_once_and_gets_the_same_answer(baths: Baths) -> None:
    given = {"pool": "main", "readings": GOOD, "id": new_id(baths.now_ms)}
    first = record_round(baths.book, ANYBODY, given)
    baths.wait(3)
    again = record_round(baths.book, ANYBODY, given)
    assert again == first | {"repeated": True}
    assert len(baths.book.state.rounds["main"]) == 1


@pytest.mark.parametrize(
    "change",
    [
        {"pool": "plunge"},
        {"readings": GOOD | {"ph": "7.5"}},
        {"at": "2026-07-01T05:00:00-04:00"},
    ],
)
def test_the_same_id_cannot_say_something_else(baths: Baths, change: dict[str, Any]) -> None:
    given = {"pool": "main", "readings": GOOD, "id": new_id(baths.now_ms)}
    record_round(baths.book, ANYBODY, given)
    with pytest.raises(EntryIdReusedError):
        record_round(baths.book, ANYBODY, given | change)
    with pytest.raises(EntryIdReusedError):
        record_round(baths.book, baths.who("tester"), given)


def test_what_breaks_in_judging_never_unsaves_the_round(baths: Baths) -> None:
    def broken(_identity: str) -> dict[str, Any]:
        raise ValueError("the pack is no pack")

    load, baths.book.load = baths.book.load, broken
    answer = baths.round(clarity="not-visible")
    assert (answer["judged"], answer["verdict"]) == (False, None)
    assert "the pack is no pack" in answer["why_not_judged"]
    baths.book.load = load
    assert judge_missing(baths.book) == [answer["round"]]
    assert baths.book.state.verdicts[answer["round"]].overall == "does-not-meet"
    assert judge_missing(baths.book) == []


def test_an_unjudged_round_is_judged_before_the_next_so_that_its_stop_stands(
    baths: Baths,
) -> None:
    def broken(_identity: str) -> dict[str, Any]:
        raise ValueError

    load, baths.book.load = baths.book.load, broken
    baths.round(clarity="not-visible")
    baths.book.load = load
    baths.wait(5)
    assert baths.round()["verdict"]["overall"] == "not-judged"
    assert [stop.id for stop in baths.book.state.stops["main"]] == ["bottom-not-seen"]


def test_where_the_rules_are_not_to_be_had_house_stops_stand_all_the_same(baths: Baths) -> None:
    def gone(_identity: str) -> dict[str, Any]:
        raise MissingError("rules: the folder is gone")

    baths.book.load = gone
    baths.book.texts.folder = baths.folder / "nothing-kept"
    found = baths.round(clarity="not-visible")["verdict"]
    assert (found["overall"], found["rules"]) == ("not-judged", None)
    (gap,) = found["not_judged"]
    assert gap["parameter"] == "rules"
    assert gap["why"].startswith("rules: the accepted text ")
    assert [stop["id"] for stop in found["stops"]] == ["bottom-not-seen"]
    assert [stop.id for stop in baths.book.state.stops["main"]] == ["bottom-not-seen"]


def test_a_judgement_too_long_for_an_entry_is_kept_short(
    baths: Baths, monkeypatch: pytest.MonkeyPatch
) -> None:
    recordable = rounds.recordable

    def wordy(body: dict[str, Any]) -> dict[str, Any]:
        note = {"id": "n", "about": "ph", "effect": "note", "why": "w" * 300, "do": "d" * 300}
        return recordable(body) | {"findings": [note] * 60}

    monkeypatch.setattr(rounds, "recordable", wordy)
    answer = baths.round(**LOW)
    body = baths.book.state.verdicts[answer["round"]].body
    assert body["shortened"] is True
    assert body["overall"] == "does-not-meet"
    assert [row["parameter"] for row in body["results"]] == ["free_chlorine"]


CHANGED = "changed_after_result"
BAD = [
    ({"pool": "zz"}, "pool"),
    ({"pool": 5}, "pool"),
    ({"readings": {}}, "readings"),
    ({"readings": []}, "readings"),
    ({"readings": "1.5"}, "readings"),
    ({"readings": [5]}, "readings[0]"),
    ({"readings": [{"value": "1"}]}, "readings[0].parameter"),
    ({"readings": [{"parameter": "ph"}]}, "readings[0].value"),
    ({"readings": [{"parameter": "ph", "value": "7.4", "who": "me"}]}, "readings[0].who"),
    ({"readings": [{"parameter": "ph", "value": "7.4", "kit": "zz"}]}, "readings[0].kit"),
    ({"readings": [{"parameter": "ph", "value": "7.4", "at": "noon"}]}, "readings[0].at"),
    ({"readings": [{"parameter": "ph", "value": "7.4"}] * 121}, "readings"),
    ({"at": "yesterday"}, "at"),
    ({"at": "2026-07-01T06:51:00-04:00"}, "at"),
    ({"id": "7"}, "id"),
    ({"source": "guess"}, "source"),
    ({"source": "paper"}, "at"),
    ({"purpose": "fun"}, "purpose"),
    ({"bathers": -1}, "bathers"),
    ({"bathers": "12"}, "bathers"),
    ({"note": "x" * 601}, "note"),
    ({CHANGED: [{"parameter": "salt", "value": "1"}]}, f"{CHANGED}[0].parameter"),
    ({CHANGED: [{"parameter": "ph", "value": "x"}]}, f"{CHANGED}[0].value"),
    ({"verdict": "meets"}, "verdict"),
]


@pytest.mark.parametrize(("change", "field"), BAD)
def test_what_does_not_fit_is_refused_by_field_and_nothing_is_saved(
    baths: Baths, change: dict[str, Any], field: str
) -> None:
    before = baths.book.state.index
    with pytest.raises(InputError) as caught:
        record_round(baths.book, ANYBODY, {"pool": "main", "readings": GOOD} | change)
    assert caught.value.field == field
    assert baths.book.state.index == before


@pytest.mark.parametrize(
    "value", ["", " ", "NaN", "1e400", "inf", "-1", "7.4.4", "١", None, True, [], {}, "7.4 mg/L"]
)
def test_what_is_no_reading_is_refused_by_field(baths: Baths, value: Any) -> None:
    with pytest.raises(InputError, match=r"^readings\.ph\.value: "):
        record_round(baths.book, ANYBODY, {"pool": "main", "readings": {"ph": value}})


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=60)
@given(value=st.text(max_size=12) | st.integers() | st.floats())
def test_a_value_is_saved_as_typed_or_refused_and_never_breaks(baths: Baths, value: Any) -> None:
    before = baths.book.state.index
    try:
        answer = record_round(
            baths.book, ANYBODY, {"pool": "plunge", "readings": {"free_chlorine": value}}
        )
    except InputError:
        assert baths.book.state.index == before
        return
    found = baths.book.state.round_by_id(answer["round"])
    assert found is not None
    assert found.readings[0].value == (value.strip() if isinstance(value, str) else repr(value))
    assert answer["judged"]


def test_a_round_handed_in_an_hour_later_is_marked_late(baths: Baths) -> None:
    given = {"pool": "main", "readings": GOOD, "at": "2026-07-01T04:30:00-04:00"}
    answer = record_round(baths.book, ANYBODY, given)
    found = baths.book.state.round_by_id(answer["round"])
    assert found is not None
    assert found.source == "late"


def test_a_late_round_stands_where_it_was_taken_and_opens_no_stop_now(baths: Baths) -> None:
    baths.round()
    late = GOOD | {"clarity": "not-visible"}
    given = {"pool": "main", "readings": late, "at": "2026-06-30T20:00:00-04:00"}
    answer = record_round(baths.book, ANYBODY, given)
    assert baths.book.state.rounds["main"][0].id == answer["round"]
    assert not baths.book.state.stops.get("main")


def test_a_correction_keeps_both_values_and_is_judged_again(baths: Baths) -> None:
    first = baths.round(**LOW)
    change = {"round": first["round"], "parameter": "free_chlorine", "value": "0.72"}
    again = correct_reading(baths.book, baths.who("tester"), change | {"reason": "read 7 as 6"})
    assert again["verdict"]["overall"] == "does-not-meet"
    found = baths.reopened().state.round_by_id(first["round"])
    assert found is not None
    assert [row.value for row in found.readings if row.parameter == "free_chlorine"] == ["0.62"]
    current = {row.parameter: row.value for row in current_readings(found)}
    assert current["free_chlorine"] == "0.72"
    assert found.corrections[0].reason == "read 7 as 6"


def test_corrections_of_a_correction_form_a_chain(baths: Baths) -> None:
    first = baths.round()
    for value in ("7.50", "7.51", "7.43"):
        change = {"round": first["round"], "parameter": "ph", "value": value, "reason": "again"}
        correct_reading(baths.book, baths.who("tester"), change)
    found = baths.book.state.round_by_id(first["round"])
    assert found is not None
    assert [(row.was, row.value) for row in found.corrections] == [
        ("7.43", "7.50"),
        ("7.50", "7.51"),
        ("7.51", "7.43"),
    ]
    assert {row.parameter: row.value for row in current_readings(found)}["ph"] == "7.43"


def test_a_correction_that_turns_a_fail_into_a_pass_asks_for_a_repeat(baths: Baths) -> None:
    first = baths.round(**LOW)
    change = {"round": first["round"], "parameter": "total_chlorine", "value": "1.72"}
    reason = {"reason": "swapped"}
    assert not correct_reading(baths.book, SHELL, change | reason)["changed_to_pass"]
    change = {"round": first["round"], "parameter": "free_chlorine", "value": "1.62"}
    answer = correct_reading(baths.book, SHELL, change | reason)
    assert (answer["changed_to_pass"], answer["repeat_asked"]) == (True, True)
    assert_not_judged_anywhere(answer["verdict"], "free_chlorine")


def assert_not_judged_anywhere(verdict: dict[str, Any], parameter: str) -> None:
    """Hold that nothing in a verdict says that a changed number meets."""
    assert verdict["overall"] == "not-judged"
    assert {row["verdict"] for row in verdict["results"]} == {"not-judged"}
    assert parameter in {row["parameter"] for row in verdict["not_judged"]}


def test_a_fail_made_to_pass_stays_not_judged_after_one_more_correction(baths: Baths) -> None:
    first = baths.round(**(LOW | {"total_chlorine": "1.68"}))
    for parameter, value in (("free_chlorine", "1.52"), ("ph", "7.44")):
        change = {"round": first["round"], "parameter": parameter, "value": value, "reason": "r"}
        answer = correct_reading(baths.book, SHELL, change)
    assert answer["changed_to_pass"]
    assert_not_judged_anywhere(answer["verdict"], "free_chlorine")


def test_a_round_far_from_the_last_one_is_kept_as_a_surprise_and_asks_for_a_repeat(
    baths: Baths,
) -> None:
    baths.round(free_chlorine="0.90", total_chlorine="1.00")
    baths.wait(60)
    answer = baths.round(free_chlorine="1.95", total_chlorine="2.05")
    assert answer["verdict"]["overall"] == "meets"
    found = [row for row in answer["verdict"]["findings"] if row["id"] == "surprising"]
    assert [(row["about"], row["effect"]) for row in found] == [("free_chlorine", "note")]
    assert answer["repeat_asked"]


def test_a_failing_round_asks_for_a_repeat(baths: Baths) -> None:
    assert baths.round(**LOW)["repeat_asked"]
    baths.wait(60)
    assert not baths.round(free_chlorine="0.90", total_chlorine="1.00")["repeat_asked"]


def test_a_number_changed_after_its_result_was_shown_is_kept_and_asks_for_a_repeat(
    baths: Baths,
) -> None:
    change = {"parameter": "free_chlorine", "value": "0.62"}
    given = {"pool": "main", "readings": GOOD, "changed_after_result": [change]}
    answer = record_round(baths.book, ANYBODY, given)
    assert answer["changed_to_pass"]
    assert_not_judged_anywhere(answer["verdict"], "free_chlorine")
    found = baths.reopened().state.round_by_id(answer["round"])
    assert found is not None
    assert found.changed_after_result == (change,)
    harmless = {"pool": "main", "readings": GOOD} | {
        "changed_after_result": [{"parameter": "ph", "value": "7.44"}]
    }
    assert not record_round(baths.book, ANYBODY, harmless)["changed_to_pass"]


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"reason": ""}, "reason"),
        ({"parameter": "salt"}, "parameter"),
        ({"value": "x"}, "value"),
        ({"value": 7}, "value"),
        ({"round": "01a212e6-893f-7a4b-a9c7-000000000000"}, "round"),
        ({"round": "x"}, "round"),
        ({"unit": "mg/L"}, "unit"),
        ({"extra": 1}, "extra"),
    ],
)
def test_a_correction_that_does_not_fit_is_refused_by_field(
    baths: Baths, change: dict[str, Any], field: str
) -> None:
    first = baths.round()["round"]
    given = {"round": first, "parameter": "ph", "value": "7.5", "reason": "r"} | change
    with pytest.raises(InputError) as caught:
        correct_reading(baths.book, baths.who("tester"), given)
    assert caught.value.field == field


def test_a_correction_without_its_point_asks_which(baths: Baths) -> None:
    first = baths.retest("main")["round"]
    given = {"round": first, "parameter": "ph", "value": "7.5", "reason": "r"}
    with pytest.raises(InputError, match="deep, shallow"):
        correct_reading(baths.book, baths.who("tester"), given)
    correct_reading(baths.book, baths.who("tester"), given | {"point": "deep"})
    found = baths.book.state.round_by_id(first)
    assert found is not None
    points = {row.point: row.value for row in current_readings(found) if row.parameter == "ph"}
    assert points == {"shallow": "7.43", "deep": "7.5"}


def test_saying_the_same_again_is_no_correction(baths: Baths) -> None:
    first = baths.round()["round"]
    given = {"round": first, "parameter": "ph", "value": "7.43", "reason": "r"}
    with pytest.raises(RefusedError, match="already"):
        correct_reading(baths.book, baths.who("tester"), given)


def test_a_tester_corrects_own_rounds_and_somebody_in_charge_any(baths: Baths) -> None:
    first = baths.round()["round"]
    given = {"round": first, "parameter": "ph", "value": "7.5", "reason": "r"}
    for stranger in (ANYBODY, Actor("p-manager", "pin", verified=False)):
        with pytest.raises(NotAllowedError):
            correct_reading(baths.book, stranger, given)
    correct_reading(baths.book, baths.who("manager"), given)


def test_while_a_house_stop_stands_a_good_round_is_not_judged(baths: Baths) -> None:
    everyone_out(baths.book, ANYBODY, {"pool": "main", "stop": "glass"})
    baths.wait(5)
    found = baths.round()["verdict"]
    assert found["overall"] == "not-judged"
    assert "glass" in str(found["not_judged"])
    assert baths.round("plunge")["verdict"]["overall"] == "meets"


def test_a_draft_is_judged_and_leaves_nothing(baths: Baths) -> None:
    before = baths.book.state.index
    answer = judge_draft(baths.book, {"pool": "main", "readings": LOW})
    assert answer["overall"] == "does-not-meet"
    assert answer["rules"] == "ca-qc"
    assert baths.book.state.index == before


@pytest.mark.parametrize(("retyped", "overall"), [(True, "not-judged"), (False, "meets")])
def test_free_and_total_retyped_in_each_others_place_are_no_repeat(
    baths: Baths, retyped: bool, overall: str
) -> None:
    """2.40 is over the maximum; only testing again makes it pass, not typing it as the total."""
    after = ("1.90", "2.40") if retyped else ("1.60", "1.75")
    given = {
        "pool": "main",
        "readings": GOOD | {"free_chlorine": after[0], "total_chlorine": after[1]},
        "changed_after_result": [
            {"parameter": "free_chlorine", "value": "2.40"},
            {"parameter": "total_chlorine", "value": "1.90"},
        ],
    }
    answer = record_round(baths.book, baths.who("tester"), given)
    assert answer["verdict"]["overall"] == overall
    assert answer["changed_to_pass"] is retyped
