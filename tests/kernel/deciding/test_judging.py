"""What the rules say of a round, and above all when they must not say that it meets."""

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lanewater.rules.case import case_from
from lanewater.rules.judging import judge_case
from lanewater.service.packs import load_pack, pack_ids

INDOOR = {
    "kind": "pool",
    "location": "indoor",
    "disinfectant": "chlorine",
    "stabiliser": "not-used",
    "supply": "recirculated",
}
GOOD = {
    "free_chlorine": "1.52",
    "total_chlorine": "1.68",
    "ph": "7.43",
    "temperature_c": "28.4",
    "clarity": "visible",
}
PASSES = ("meets", "meets-borderline")


def judged(rules: str | None, readings: Any, pool: Any = INDOOR, **more: Any) -> dict[str, Any]:
    pack = load_pack(rules) if rules else None
    return judge_case(pack, case_from({"pool": pool, "readings": readings, **more}))


def without(*names: str) -> dict[str, str]:
    return {name: value for name, value in GOOD.items() if name not in names}


def test_a_standard_round_meets() -> None:
    answer = judged("ca-qc", GOOD)
    assert answer["overall"] == "meets"
    assert answer["stops"] == []
    assert answer["actions"] == []


@pytest.mark.parametrize("missing", ["free_chlorine", "ph", "clarity"])
def test_a_round_without_a_core_reading_is_never_meets(missing: str) -> None:
    answer = judged("ca-qc", without(missing))
    assert answer["overall"] == "not-judged"
    assert {"parameter": missing, "why": "no reading"} in answer["not_judged"]


@pytest.mark.parametrize("rules", [None, *pack_ids()])
@pytest.mark.parametrize("clarity", ["not-visible", "cannot-tell"])
def test_a_bottom_that_is_not_seen_is_never_a_pass_with_or_without_rules(
    rules: str | None, clarity: str
) -> None:
    answer = judged(rules, {**GOOD, "clarity": clarity})
    assert answer["overall"] not in PASSES
    assert [stop["about"] for stop in answer["stops"]] == ["clarity"]


def test_no_rules_no_verdict() -> None:
    answer = judged(None, GOOD)
    assert answer["overall"] == "not-judged"
    assert answer["results"] == []


@pytest.mark.parametrize("rules", ["us-ca", "us-ia", "au-vic", "au-sa", "sg", "ee"])
def test_a_pack_that_was_not_read_for_a_core_limit_never_meets(rules: str) -> None:
    for kind in ("pool", "spa"):
        pool = {**INDOOR, "kind": kind}
        answer = judged(rules, {**GOOD, "free_chlorine": "3.5", "total_chlorine": "3.6"}, pool)
        assert answer["overall"] not in PASSES


def test_ph_8_7_under_california_is_not_judged_for_ph() -> None:
    answer = judged("us-ca", {**GOOD, "free_chlorine": "2.0", "ph": "8.7"})
    assert answer["overall"] not in PASSES
    assert "ph" in [gap["parameter"] for gap in answer["not_judged"]]


@pytest.mark.parametrize(
    ("free", "overall"), [("0.80", "meets"), ("0.79", "does-not-meet"), ("0.29", "evacuate")]
)
def test_the_worst_point_is_judged(free: str, overall: str) -> None:
    readings = [{"parameter": name, "value": value} for name, value in GOOD.items()]
    readings += [
        {"parameter": "free_chlorine", "value": free, "point": "shallow"},
        {"parameter": "total_chlorine", "value": "1.00", "point": "shallow"},
    ]
    assert judged("ca-qc", readings)["overall"] == overall


def test_a_verdict_within_test_error_says_borderline() -> None:
    readings = [{"parameter": name, "value": value} for name, value in GOOD.items()]
    readings[0] = {"parameter": "free_chlorine", "value": "0.82", "uncertainty": "0.05"}
    readings[1] = {"parameter": "total_chlorine", "value": "0.90", "uncertainty": "0.05"}
    assert judged("ca-qc", readings)["overall"] == "meets-borderline"
    readings[0]["value"] = "0.78"
    assert judged("ca-qc", readings)["overall"] == "does-not-meet-borderline"


def test_the_limit_is_applied_at_face_value_without_a_declared_error() -> None:
    readings = {**GOOD, "free_chlorine": "0.80", "total_chlorine": "0.90"}
    assert judged("ca-qc", readings)["overall"] == "meets"


def test_over_range_breaks_a_low_maximum_and_stops_the_pool() -> None:
    answer = judged("ca-qc", {**GOOD, "free_chlorine": ">5.00", "total_chlorine": ">5.00"})
    assert answer["overall"] == "evacuate"
    assert "disinfectant-over-range" in [stop["id"] for stop in answer["stops"]]


def test_over_range_under_a_higher_maximum_is_not_judged() -> None:
    answer = judged("us-in-fishers", {**GOOD, "free_chlorine": ">5.00", "total_chlorine": ">5.00"})
    assert answer["overall"] == "not-judged"


def test_a_diluted_repeat_replaces_an_over_range_reading_and_nothing_else_is_replaced() -> None:
    readings = [{"parameter": name, "value": value} for name, value in GOOD.items()]
    low = [*readings, {"parameter": "ph", "value": "7.9"}]
    assert judged("ca-qc", low)["overall"] == "does-not-meet"
    assert judged("ca-qc", low[::-1])["overall"] == "does-not-meet"
    readings[0] = {"parameter": "free_chlorine", "value": ">5.00"}
    readings[1] = {"parameter": "total_chlorine", "value": ">5.00"}
    readings.append({"parameter": "free_chlorine", "value": "1.10", "dilution": 5})
    readings.append({"parameter": "total_chlorine", "value": "1.15", "dilution": 5})
    rows = judged("us-in-fishers", readings)["results"]
    assert {row["value"] for row in rows if row["parameter"] == "free_chlorine"} == {"5.50"}


def test_a_reading_that_is_no_number_is_kept_out_and_never_passes() -> None:
    case = case_from({"pool": INDOOR, "readings": GOOD})
    case["readings"][2] = {**case["readings"][2], "value": "7,430"}
    answer = judge_case(load_pack("ca-qc"), case)
    assert answer["overall"] == "not-judged"
    assert "decimal-comma" in [finding["id"] for finding in answer["findings"]]


def test_an_impossible_pair_is_not_judged_and_ph_is() -> None:
    answer = judged("ca-qc", {**GOOD, "total_chlorine": "1.10"})
    verdicts = {row["parameter"]: row["verdict"] for row in answer["results"]}
    assert answer["overall"] == "not-judged"
    assert verdicts["free_chlorine"] == verdicts["combined_chlorine"] == "not-judged"
    assert verdicts["ph"] == "meets"


def test_a_false_zero_still_closes_and_is_not_believed() -> None:
    answer = judged(
        "ca-qc",
        {**GOOD, "free_chlorine": "0.05", "total_chlorine": "0.06"},
        history=[{"at": "2026-07-01T06:00:00Z", "free_chlorine": "1.4"}],
        at="2026-07-01T10:00:00Z",
    )
    assert answer["overall"] == "evacuate"
    assert "possible-bleaching" in [finding["id"] for finding in answer["findings"]]


def test_stopped_circulation_turns_a_pass_into_not_judged_where_no_clause_speaks_of_it() -> None:
    answer = judged("us-in-fishers", {**GOOD, "circulation": "stopped"})
    assert answer["overall"] == "not-judged"
    assert [stop["id"] for stop in answer["stops"]] == ["circulation-stopped"]


def test_common_practice_never_says_meets_anywhere() -> None:
    answer = judged("common-practice", GOOD)
    assert answer["overall"] == "not-judged"
    assert not [row for row in answer["results"] if row["verdict"] in PASSES]
    assert "inside-common-practice" in [finding["id"] for finding in answer["findings"]]


def test_stabiliser_that_was_measured_counts_whatever_was_set_up() -> None:
    pool = {**INDOOR, "location": "outdoor"}
    answer = judged("au-vic", {**GOOD, "cyanuric_acid": "30"}, pool)
    assert "free-chlorine-minimum-stabilised" in [row["rule"] for row in answer["results"]]


def test_a_temperature_from_this_morning_chooses_the_limit() -> None:
    history = [{"at": "2026-07-01T06:00:00Z", "temperature_c": "25"}]
    pool = {**INDOOR, "location": "outdoor"}
    fresh = judged("au-sa", without("temperature_c"), pool, history=history, at="2026-07-01T10:00Z")
    stale = judged("au-sa", without("temperature_c"), pool, history=history, at="2026-07-03T10:00Z")
    assert next(row["rule"] for row in fresh["results"]) == "free-chlorine-cool"
    assert "free-chlorine-warm" in [row["rule"] for row in stale["results"]]
    assert ("not-known", "temperature_c") in [(f["id"], f["about"]) for f in stale["findings"]]


def test_a_condition_on_a_reading_holds_where_it_holds_at_any_point() -> None:
    readings = [{"parameter": name, "value": value} for name, value in GOOD.items()]
    readings[0] = {"parameter": "free_chlorine", "value": "0.90"}
    readings[1] = {"parameter": "total_chlorine", "value": "1.00"}
    readings[3] = {"parameter": "temperature_c", "value": "34", "point": "shallow"}
    readings.append({"parameter": "temperature_c", "value": "36", "point": "deep"})
    spa = {**INDOOR, "kind": "spa"}
    assert judged("ca-qc", readings, spa)["overall"] == "does-not-meet"


def test_stabiliser_found_at_one_point_or_long_ago_is_used_and_none_found_long_ago_is_unknown() -> (
    None
):
    outdoor = {"kind": "pool", "location": "outdoor", "disinfectant": "chlorine"}
    history = [{"at": "2020-01-01T00:00:00Z", "cyanuric_acid": "0"}]
    more: dict[str, Any] = {"history": history, "at": "2026-07-01T10:00:00Z"}
    assert judged("ca-qc", GOOD, outdoor, **more)["overall"] == "not-judged"
    history[0]["cyanuric_acid"] = "40"
    assert judged("ca-qc", GOOD, outdoor, **more)["overall"] == "not-judged"
    readings = [{"parameter": name, "value": value} for name, value in GOOD.items()]
    readings.append({"parameter": "cyanuric_acid", "value": "0", "point": "shallow"})
    assert judged("ca-qc", readings, outdoor)["overall"] == "meets"
    readings.append({"parameter": "cyanuric_acid", "value": "40", "point": "deep"})
    assert judged("ca-qc", readings, outdoor)["overall"] == "not-judged"


def test_a_limit_that_was_not_tested_is_named_though_it_blocks_nothing() -> None:
    answer = judged("ca-qc", without("total_chlorine"))
    assert answer["overall"] == "meets"
    assert ("limited-and-not-read", "combined_chlorine") in [
        (finding["id"], finding["about"]) for finding in answer["findings"]
    ]


def test_what_a_sample_holds_and_no_rule_limits_is_named() -> None:
    answer = judged("ca-qc", {"nitrate": "3", "e_coli": "0"}, purpose="sample")
    assert answer["overall"] == "meets"
    assert [gap["parameter"] for gap in answer["not_judged"]] == ["nitrate"]
    alone = judged("ca-qc", {"nitrate": "3"}, purpose="sample")
    assert alone["overall"] == "not-judged"
    assert "no rule" in alone["not_judged"][0]["why"]


def test_a_rule_shows_the_worst_point_also_where_every_point_meets_it() -> None:
    read = [
        {"parameter": "free_chlorine", "value": value, "point": point}
        for value, point in (("1.52", "shallow"), ("0.90", "deep"), ("1.95", "inlet"))
    ]
    rows = {row["rule"]: row["value"] for row in judged("ca-qc", read)["results"]}
    assert rows["free-chlorine-minimum"] == "0.90"
    assert rows["free-chlorine-closing-minimum"] == "0.90"
    assert rows["free-chlorine-indoor-maximum"] == "1.95"


def test_no_gap_is_told_twice() -> None:
    answer = judged("ca-qc", {**GOOD, "total_chlorine": "1.28"})
    gaps = [(gap["parameter"], gap["why"]) for gap in answer["not_judged"]]
    assert len(gaps) == len(set(gaps)) > 0


def test_a_sample_is_judged_on_what_was_analysed_and_says_so() -> None:
    answer = judged("ee", {"pseudomonas_aeruginosa": "0"}, purpose="sample")
    assert answer["overall"] == "meets"
    assert "of-what-was-tested" in [finding["id"] for finding in answer["findings"]]


def test_a_bromine_pool_is_not_judged_by_the_chlorine_row() -> None:
    pool = {**INDOOR, "disinfectant": "bromine"}
    answer = judged("ca-qc", {"total_bromine": "1.9", "ph": "7.4", "clarity": "visible"}, pool)
    assert [row["rule"] for row in answer["results"] if row["verdict"] == "does-not-meet"] == [
        "bromine-minimum"
    ]


def test_the_next_test_is_due_by_the_pack_or_said_to_have_no_interval() -> None:
    due = judged("au-vic", GOOD, at="2026-07-01T06:00:00Z")["next_due"]
    assert due["at"] == "2026-07-01T10:00:00Z"
    assert "no test interval" in judged("ca-qc", GOOD)["next_due"]["why"]


def test_a_round_before_the_rules_were_in_force_is_not_judged() -> None:
    pack = {**load_pack("ca-qc"), "effective_from": 1_700_000_000}
    case = case_from({"pool": INDOOR, "readings": GOOD, "at": "2020-01-01T00:00:00Z"})
    assert judge_case(pack, case)["overall"] == "not-judged"


NUMBERS = st.one_of(
    st.decimals(min_value=0, max_value=20, places=2).map(lambda value: format(value, "f")),
    st.sampled_from([">5.00", "<0.05", "<6.8", ">8.4", "0.00"]),
)
FACTS = st.fixed_dictionaries(
    {},
    optional={
        "kind": st.sampled_from(["pool", "spa", "wading", "spray", "cold-plunge"]),
        "location": st.sampled_from(["indoor", "outdoor", "roofed"]),
        "disinfectant": st.sampled_from(["chlorine", "bromine", "other"]),
        "stabiliser": st.sampled_from(["used", "not-used"]),
        "supply": st.sampled_from(["recirculated", "fill-and-draw"]),
    },
)
READINGS = st.fixed_dictionaries(
    {},
    optional={
        "free_chlorine": NUMBERS,
        "total_chlorine": NUMBERS,
        "total_bromine": NUMBERS,
        "ph": NUMBERS,
        "temperature_c": NUMBERS,
        "cyanuric_acid": NUMBERS,
        "orp_mv": NUMBERS,
        "clarity": st.sampled_from(["visible", "not-visible", "cannot-tell"]),
        "circulation": st.sampled_from(["running", "stopped", "unknown"]),
    },
)


@settings(max_examples=400, deadline=None)
@given(rules=st.sampled_from(pack_ids()), pool=FACTS, readings=READINGS)
def test_a_pass_always_rests_on_disinfectant_ph_and_a_seen_bottom(
    rules: str, pool: dict[str, str], readings: dict[str, str]
) -> None:
    answer = judged(rules, readings, pool)
    if answer["overall"] in PASSES:
        assert readings["clarity"] == "visible"
        assert "ph" in readings
        assert "free_chlorine" in readings or "total_bromine" in readings
        assert answer["stops"] == []
        assert answer["not_judged"] == []
        assert not [row for row in answer["results"] if row["verdict"] not in PASSES]


@settings(max_examples=300, deadline=None)
@given(rules=st.sampled_from(pack_ids()), pool=FACTS, readings=READINGS)
def test_knowing_less_of_a_pool_never_turns_a_failure_into_a_pass(
    rules: str, pool: dict[str, str], readings: dict[str, str]
) -> None:
    if judged(rules, readings, pool)["overall"] in PASSES:
        return
    for fact in pool:
        fewer = {name: value for name, value in pool.items() if name != fact}
        assert judged(rules, readings, fewer)["overall"] not in PASSES


def test_a_clause_on_combined_that_cannot_be_worked_out_never_passes_total_less_free() -> None:
    whole = load_pack("ca-qc")
    rules = [
        {**rule, "computable": False, "why_not_computable": "the number was not read"}
        if rule["parameter"] == "combined_chlorine"
        else rule
        for rule in whole["rules"]
    ]
    case = case_from({"pool": INDOOR, "readings": GOOD})
    answer = judge_case({**whole, "rules": rules}, case)
    assert answer["overall"] == "not-judged"
    assert [row["value"] for row in answer["results"] if row["parameter"] == "combined_chlorine"]
    assert judge_case(whole, case)["overall"] == "meets"


def points(*rows: tuple[str, str, str]) -> list[dict[str, str]]:
    """Readings at points, with the rest of a good round."""
    rest = [{"parameter": name, "value": GOOD[name]} for name in ("ph", "temperature_c", "clarity")]
    return [*({"parameter": a, "value": b, "point": c} for a, b, c in rows), *rest]


def test_combined_given_at_one_point_does_not_hide_what_is_worked_out_at_another() -> None:
    read = points(
        ("free_chlorine", "1.5", "deep"),
        ("total_chlorine", "3.9", "deep"),
        ("combined_chlorine", "0.2", "shallow"),
    )
    rows = {row["parameter"]: row for row in judged("ca-qc", read)["results"]}
    assert rows["combined_chlorine"]["value"] == "2.40"
    assert judged("ca-qc", read)["overall"] == "does-not-meet"


@pytest.mark.parametrize(("combined", "believed"), [("0.2", True), ("0.35", True), ("1.6", False)])
def test_combined_far_from_total_less_free_at_its_point_is_not_believed(
    combined: str, believed: bool
) -> None:
    free, total = "1.5", "1.7"
    readings = {**GOOD, "free_chlorine": free, "total_chlorine": total}
    answer = judged("ca-qc", {**readings, "combined_chlorine": combined})
    found = [finding["id"] for finding in answer["findings"]]
    assert ("combined-given-apart" in found) is not believed
    answer = judged("ca-qc", {**readings, "total_chlorine": "3.9", "combined_chlorine": "0.2"})
    assert answer["overall"] == "does-not-meet"


WARM_THEN = {"at": "2026-07-01T09:00:00Z", "temperature_c": "24"}


@pytest.mark.parametrize(
    ("at", "overall"),
    [
        ("2026-07-01T10:00:00Z", "not-judged"),
        ("2026-07-01T08:59:59Z", "does-not-meet"),
        ("2026-07-09T10:00:00Z", "does-not-meet"),
        (None, "does-not-meet"),
    ],
)
def test_a_reading_is_borrowed_only_from_a_round_shortly_before(
    at: str | None, overall: str
) -> None:
    # South Australia wants 1 mg/L up to 26 C and 2 above it; its clarity was not read.
    read = {"free_chlorine": "1.0", "total_chlorine": "1.1", "ph": "7.4", "clarity": "visible"}
    pool = {**INDOOR, "water": "fresh"}
    answer = judged("au-sa", read, pool, history=[WARM_THEN], at=at)
    assert answer["overall"] == overall


def test_the_days_of_a_pack_are_those_of_the_place() -> None:
    pack = load_pack("ca-qc")
    case = case_from({"pool": INDOOR, "readings": GOOD, "at": "2026-07-01T00:30:00+10:00"})
    midnight = case["at"] // 86400 * 86400 + 86400
    dated = {**pack, "effective_from": midnight, "effective_to": None}
    assert judge_case(dated, case)["overall"] == "meets"
    utc = {**case, "offset_seconds": 0}
    assert judge_case(dated, utc)["overall"] == "not-judged"


def test_a_spa_whose_law_limits_its_temperature_meets_only_where_it_was_measured() -> None:
    spa = {**INDOOR, "kind": "spa", "location": "outdoor"}
    read = {**GOOD, "free_chlorine": "3.0", "total_chlorine": "3.1", "temperature_c": "38"}
    assert judged("us-ny", read, spa)["overall"] == "meets"
    del read["temperature_c"]
    answer = judged("us-ny", read, spa)
    assert answer["overall"] == "not-judged"
    assert {"parameter": "temperature_c", "why": "no reading"} in answer["not_judged"]
    assert judged("ca-qc", without("temperature_c"))["overall"] == "meets"
