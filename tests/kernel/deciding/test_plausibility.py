"""Each finding on both sides of its line, and that none of them ever raises."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.kernel.deciding.deciding_cases import AT, CASES, HOUR, KIT, TEXTS, before, case, reading

from lanewater.kernel.deciding.decimals import thousandths
from lanewater.kernel.deciding.plausibility import combined_thousandths, findings_of
from lanewater.kernel.deciding.readingerror import pair_error, reading_error
from lanewater.kernel.deciding.tries import legible_text


def ids(found: list[dict[str, Any]]) -> list[str]:
    return [finding["id"] for finding in found]


def finding(found: list[dict[str, Any]], identity: str) -> dict[str, Any]:
    assert identity in ids(found)
    return next(entry for entry in found if entry["id"] == identity)


def free(value: str, **more: Any) -> dict[str, Any]:
    return reading("free_chlorine", value, **more)


def total(value: str, **more: Any) -> dict[str, Any]:
    return reading("total_chlorine", value, **more)


def ph(value: str, **more: Any) -> dict[str, Any]:
    return reading("ph", value, **more)


# --- pairs ----------------------------------------------------------------------------------


def test_an_ordinary_round_has_no_findings() -> None:
    normal = case(free("1.52"), total("1.68"), ph("7.43"), reading("temperature_c", "28.4"))
    assert findings_of(normal) == []


def test_total_under_free_beyond_test_error_is_an_impossible_pair() -> None:
    found = finding(findings_of(case(free("1.52"), total("1.28"))), "impossible-pair")
    assert found["effect"] == "not-judged"
    assert found["parameters"] == ["free_chlorine", "total_chlorine", "combined_chlorine"]
    assert "0.24 apart" in found["why"]
    assert "0.13" in found["why"]  # test error at 95 % (safety.md 4.3)


@pytest.mark.parametrize(("total_value", "expected"), [("1.39", True), ("1.38", False)])
def test_within_test_error_combined_is_about_zero(total_value: str, expected: bool) -> None:
    # 1.52 against 1.38 is 0.14 apart, test error 0.136
    found = ids(findings_of(case(free("1.52"), total(total_value))))
    assert ("combined-about-zero" in found) is expected
    assert ("impossible-pair" in found) is not expected


def test_pairs_are_compared_at_their_own_point() -> None:
    apart = case(free("1.9", point="deep"), total("1.2", point="shallow"))
    assert findings_of(apart) == []


def test_a_repeat_at_the_point_takes_the_place_of_the_impossible_pair() -> None:
    repeated = case(free("1.52"), total("1.28"), free("1.50"), total("1.62"))
    assert findings_of(repeated) == []


@pytest.mark.parametrize(
    ("free_value", "total_value", "impossible"),
    [(">5.00", "3.00", True), ("<0.10", "0.05", False), ("3.00", ">2.00", False)],
)
def test_over_and_under_range_are_compared_by_logic(
    free_value: str, total_value: str, impossible: bool
) -> None:
    found = ids(findings_of(case(free(free_value), total(total_value))))
    assert ("impossible-pair" in found) is impossible


def test_combined_is_total_minus_free_and_never_below_zero_by_error_alone() -> None:
    assert combined_thousandths(free("1.52"), total("1.68")) == 160
    assert combined_thousandths(free("1.52"), total("1.50")) == 0
    assert combined_thousandths(free("1.52"), total("1.28")) == -240


@pytest.mark.parametrize(
    ("free_value", "total_value", "dilution", "printed"),
    [
        ("1.5", "1.9", 1, 160),  # disinfection.md 4.5, U95 in the table
        ("3.0", "3.4", 1, 280),
        ("5.0", "5.4", 1, 450),
        ("1.0", "2.0", 1, 150),
        ("1.85", "1.95", 5, 850),  # safety.md 1.12
    ],
)
def test_the_error_of_combined_is_that_of_the_fact_table(
    free_value: str, total_value: str, dilution: int, printed: int
) -> None:
    error = pair_error(free(free_value, dilution=dilution), total(total_value, dilution=dilution))
    assert abs(error - printed) <= 10


@pytest.mark.parametrize(
    ("total_value", "combined", "believed"),
    [
        ("1.2", "<1", True),
        ("1.0", "<0.2", True),
        ("3.0", "<0.2", False),
        ("3.5", ">1", True),
        ("1.2", ">1", False),
        ("3.5", "2.5", True),
        ("3.5", "1", False),
        ("1.2", "1", False),
    ],
)
def test_a_combined_given_out_of_range_is_disbelieved_only_on_its_other_side(
    total_value: str, combined: str, believed: bool
) -> None:
    given_one = reading("combined_chlorine", combined)
    found = ids(findings_of(case(free("1.0"), total(total_value), given_one)))
    assert ("combined-given-apart" not in found) is believed


# --- bleaching ------------------------------------------------------------------------------

GOOD = before(free("1.45"), total("1.60"))


@pytest.mark.parametrize(("value", "expected"), [("0.20", True), ("0.21", False), ("<0.30", True)])
def test_a_surprising_none_is_possible_bleaching(value: str, expected: bool) -> None:
    found = ids(findings_of(case(free(value), total("0.60"), history=[GOOD])))
    assert ("possible-bleaching" in found) is expected


@pytest.mark.parametrize(("last", "expected"), [("0.50", False), ("0.51", True)])
def test_it_is_a_surprise_only_after_a_round_over_half(last: str, expected: bool) -> None:
    round_before = case(free("0.1"), total("0.60"), history=[before(free(last))])
    assert ("possible-bleaching" in ids(findings_of(round_before))) is expected


def test_bleaching_makes_free_combined_and_ph_unbelievable_and_asks_for_a_diluted_repeat() -> None:
    found = finding(findings_of(case(free("0.1"), history=[GOOD])), "possible-bleaching")
    assert found["parameters"] == ["free_chlorine", "combined_chlorine", "ph"]
    assert found["effect"] == "not-believable"
    assert "1 part pool water made up to 10" in found["do"]


def test_a_logged_cause_since_the_last_round_takes_the_surprise_away() -> None:
    cause = {"kind": "cause", "at": AT - HOUR}
    explained = case(free("0.1"), total("0.60"), history=[GOOD], events=[cause])
    assert "possible-bleaching" not in ids(findings_of(explained))
    stale = {"kind": "cause", "at": AT - 5 * HOUR}
    unexplained = case(free("0.1"), total("0.60"), history=[GOOD], events=[stale])
    assert "possible-bleaching" in ids(findings_of(unexplained))


@pytest.mark.parametrize(
    ("event", "expected"),
    [
        ({"kind": "addition", "product": "sodium-hypochlorite", "at": AT - HOUR}, True),
        ({"kind": "addition", "product": "sodium-hypochlorite"}, True),
        ({"kind": "addition", "product": "sodium-hypochlorite", "at": AT - 25 * HOUR}, False),
        ({"kind": "addition", "product": "hydrochloric-acid", "at": AT - HOUR}, False),
    ],
)
def test_none_after_a_chlorine_addition_is_possible_bleaching(
    event: dict[str, Any], expected: bool
) -> None:
    found = ids(findings_of(case(free("0.1"), total("0.60"), events=[event])))
    assert ("possible-bleaching" in found) is expected


@pytest.mark.parametrize(("orp", "expected"), [("650", True), ("649", False)])
def test_none_beside_a_high_orp_is_possible_bleaching(orp: str, expected: bool) -> None:
    found = ids(findings_of(case(free("0.1"), total("0.60"), reading("orp_mv", orp))))
    assert ("possible-bleaching" in found) is expected


@pytest.mark.parametrize(("value", "expected"), [("0.20", True), ("0.60", False)])
def test_none_with_a_total_as_low_is_possible_bleaching(value: str, expected: bool) -> None:
    found = ids(findings_of(case(free("0.1"), total(value))))
    assert ("possible-bleaching" in found) is expected


@pytest.mark.parametrize(
    ("diluted", "expected"),
    [("0.04", ["real-none"]), ("0.05", ["real-none"]), ("0.06", []), ("1.20", [])],
)
def test_a_diluted_repeat_near_none_is_real(diluted: str, expected: list[str]) -> None:
    round_ = case(free("0.02"), free(diluted, dilution=10), history=[GOOD])
    assert [name for name in ids(findings_of(round_)) if name != "tenfold-slip"] == expected


def test_a_repeat_diluted_less_than_one_to_ten_does_not_settle_it() -> None:
    round_ = case(free("0.02"), free("0.01", dilution=5), history=[GOOD])
    assert "possible-bleaching" in ids(findings_of(round_))


# --- pH -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("value", "expected"),
    [("6.8", True), ("6.81", False), ("8.39", False), ("8.4", True), (">8.4", True), ("8.7", True)],
)
def test_ph_at_the_ends_of_the_indicator_is_said(value: str, expected: bool) -> None:
    found = findings_of(case(ph(value)))
    assert ("ph-outside-indicator" in ids(found)) is expected
    if expected:
        assert finding(found, "ph-outside-indicator")["effect"] == "note"


def test_a_kit_with_its_own_ph_range_is_held_to_that() -> None:
    kits = {"k": KIT}
    assert "ph-outside-indicator" not in ids(findings_of(case(ph("6.7", kit="k"), kits=kits)))
    assert "ph-outside-indicator" in ids(findings_of(case(ph("6.5", kit="k"), kits=kits)))


@pytest.mark.parametrize(
    ("value", "dilution", "expected"),
    [("5.00", 1, False), ("1.01", 5, True), ("5.01", 1, True), (">5.00", 1, True)],
)
def test_ph_is_not_believed_above_the_kits_chlorine_limit(
    value: str, dilution: int, expected: bool
) -> None:
    round_ = case(free(value, dilution=dilution), ph("8.1", kit="k"), kits={"k": KIT})
    found = findings_of(round_)
    assert ("ph-at-high-chlorine" in ids(found)) is expected
    if expected:
        assert finding(found, "ph-at-high-chlorine")["effect"] == "not-believable"


def test_a_kit_that_states_no_limit_raises_no_doubt_about_ph() -> None:
    kit = {"kind": "photometer", "ranges": {}}
    round_ = case(free("12"), ph("8.1", kit="k"), kits={"k": kit})
    assert "ph-at-high-chlorine" not in ids(findings_of(round_))


# --- slips ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("parameter", "value", "last", "expected"),
    [
        ("free_chlorine", "15.2", "1.45", True),  # beside the last round
        ("free_chlorine", "15.2", None, True),  # outside what pools read
        ("free_chlorine", "9.0", None, False),
        ("free_chlorine", "9.0", "1.0", True),
        ("free_chlorine", "5.0", "1.0", False),
        ("free_chlorine", "0.20", "2.00", False),  # near none: bleached, or true
        ("free_chlorine", "0.21", "2.10", True),
        ("free_chlorine", "0.62", "1.45", False),
        ("total_chlorine", "0.15", None, False),
        ("ph", "74.3", None, True),
        ("ph", "743", None, True),
        ("ph", "0.74", None, True),
        ("ph", "7.43", None, False),
        ("ph", "9.4", None, False),
        ("total_alkalinity", "8", "80", True),
        ("total_alkalinity", "800", None, True),
        ("total_alkalinity", "120", "80", False),
    ],
)
def test_a_tenfold_slip_is_asked_about(
    parameter: str, value: str, last: str | None, expected: bool
) -> None:
    history = [] if last is None else [before(reading(parameter, last))]
    found = ids(findings_of(case(reading(parameter, value), history=history)))
    assert ("tenfold-slip" in found) is expected


def test_the_slip_names_what_may_have_been_meant() -> None:
    found = finding(findings_of(case(free("15.2"), history=[GOOD])), "tenfold-slip")
    assert "1.52" in found["why"]
    assert found["effect"] == "note"


@pytest.mark.parametrize(("value", "effect"), [("14.00", None), ("14.01", "not-judged")])
def test_a_ph_no_water_can_have_is_not_judged(value: str, effect: str | None) -> None:
    found = [entry for entry in findings_of(case(ph(value))) if entry["id"] == "tenfold-slip"]
    assert [entry["effect"] for entry in found] == ([] if effect is None else [effect])


@pytest.mark.parametrize(
    ("value", "kind", "expected"),
    [
        ("82", "pool", True),
        ("45", "pool", True),
        ("44.9", "pool", False),
        ("120", "pool", True),
        ("120.1", "pool", False),
        ("28.4", "pool", False),
        ("50", "cold-plunge", False),
    ],
)
def test_fahrenheit_in_the_celsius_field_is_asked_about(
    value: str, kind: str, expected: bool
) -> None:
    found = findings_of(case(reading("temperature_c", value), pool={"kind": kind}))
    assert ("fahrenheit" in ids(found)) is expected
    if value == "82":
        assert "27.70 C" in finding(found, "fahrenheit")["why"]
        assert finding(found, "fahrenheit")["effect"] == "not-judged"


@pytest.mark.parametrize(
    ("value", "identity"),
    [
        ("1,520", "decimal-comma"),
        ("1,52", None),
        ("1.520", None),
        ("abc", "unreadable"),
        ("", "unreadable"),
        ("-0.10", "unreadable"),
    ],
)
def test_a_comma_that_can_be_read_two_ways_is_not_judged(value: str, identity: str | None) -> None:
    found = findings_of(case(free(value)))
    assert ids(found) == ([] if identity is None else [identity])
    for entry in found:
        assert entry["effect"] == "not-judged"


# --- kits and reagents ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("value", "dilution", "identity"),
    [
        ("4.99", 1, None),
        ("5.00", 1, "at-range-top"),
        ("5.01", 1, "forgotten-dilution"),
        ("4.80", 5, None),
        (">5.00", 1, "over-range"),
        (">5.00", 5, "over-range"),
    ],
)
def test_the_end_of_the_kits_range_is_watched(
    value: str, dilution: int, identity: str | None
) -> None:
    round_ = case(free(value, kit="k", dilution=dilution), kits={"k": KIT})
    found = [name for name in ids(findings_of(round_)) if name != "tenfold-slip"]
    assert found == ([] if identity is None else [identity])


def test_without_a_known_range_only_over_range_can_be_told() -> None:
    assert "forgotten-dilution" not in ids(findings_of(case(free("7.0"))))


def test_an_expired_reagent_is_not_believed_and_takes_combined_with_it() -> None:
    lot = {"parameter": "free_chlorine", "lot": "L7", "expired": "2026-10-31"}
    found = finding(findings_of(case(free("1.5"), expired=[lot])), "expired-reagent")
    assert found["effect"] == "not-believable"
    assert found["parameters"] == ["free_chlorine", "combined_chlorine"]
    assert "L7" in found["why"]
    assert "expired-reagent" not in ids(findings_of(case(free("1.5"))))


def test_strips_that_rules_do_not_accept_are_not_believed() -> None:
    strips = {"s": {"kind": "strips", "accepted": False}}
    found = finding(findings_of(case(free("1", kit="s"), kits=strips)), "kit-not-accepted")
    assert found["effect"] == "not-believable"
    accepted = {"s": {"kind": "strips", "accepted": True}}
    assert findings_of(case(free("1", kit="s"), kits=accepted)) == []


def test_between_two_colours_is_noted_with_both() -> None:
    pair = {"parameter": "free_chlorine", "point": "", "low": "1.0", "high": "1.5"}
    found = finding(findings_of(case(free("1.25"), between=[pair])), "between-colours")
    assert "1.0 and 1.5" in found["why"]
    assert found["effect"] == "note"


# --- shape and robustness -------------------------------------------------------------------


@settings(max_examples=300, deadline=None)
@given(CASES)
def test_no_round_whatever_makes_a_finding_raise(round_: dict[str, Any]) -> None:
    for entry in findings_of(round_):
        assert set(entry) == {"id", "about", "parameters", "effect", "why", "do"}
        assert entry["effect"] in {"note", "not-believable", "not-judged"}
        assert entry["why"]
        assert entry["do"]


@settings(max_examples=300, deadline=None)
@given(TEXTS)
def test_legible_is_exactly_what_can_be_parsed(text: str) -> None:
    try:
        thousandths(text)
    except ValueError:
        assert not legible_text(text)
    else:
        assert legible_text(text)


@settings(max_examples=200, deadline=None)
@given(st.integers(0, 9_999_999), st.sampled_from([1, 5, 10]))
def test_dilution_multiplies_the_error(number: int, dilution: int) -> None:
    text = f"{number // 1000}.{number % 1000:03d}"
    assert reading_error(free(text, dilution=dilution)) == min(
        reading_error(free(text)) * dilution, 30_000_000
    )
