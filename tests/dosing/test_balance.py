"""What comes first: the rules, a repeat, calcium before pH; and when the word may be said."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lanewater.dosing.balance import (
    FAILS,
    Balance,
    Ends,
    Judged,
    may_be_called_balanced,
    tendency,
    what_first,
    worst_rows,
)

MEETS = Judged("meets", {"ph": "meets", "free_chlorine": "meets"}, gaps=False)
BANDS: dict[str, Ends] = {
    "ph": (7200, 7600),
    "total_alkalinity": (80000, 120000),
    "calcium_hardness": (200000, 400000),
}
READINGS = {"ph": 7400, "total_alkalinity": 100000, "calcium_hardness": 250000}


def balance(value: float, half: float = 0.15, **changes: int) -> Balance:
    """Give a balance with changes to its readings."""
    return Balance(value, value - half, value + half, "ph", READINGS | changes, BANDS)


def steps(found: Balance, judged: Judged = MEETS) -> list[tuple[str, str]]:
    """Give the steps by their ids."""
    return [(step.id, step.parameter) for step in what_first(found, judged)]


def test_near_zero_nothing_is_changed_and_the_word_may_be_said() -> None:
    assert steps(balance(0.1)) == [("nothing", "")]
    assert may_be_called_balanced(balance(0.1), MEETS)


@pytest.mark.parametrize("verdict", [*FAILS, "not-judged"])
@pytest.mark.parametrize("parameter", ["ph", "free_chlorine", "clarity"])
def test_nothing_is_called_balanced_while_anything_fails_or_is_not_judged(
    verdict: str, parameter: str
) -> None:
    judged = Judged("meets", {"ph": "meets", parameter: verdict}, gaps=False)
    assert not may_be_called_balanced(balance(0.0), judged)
    assert not may_be_called_balanced(balance(0.0), replace(MEETS, overall=verdict))


def test_nothing_is_called_balanced_without_a_judged_ph_under_a_stop_or_with_a_gap() -> None:
    assert not may_be_called_balanced(balance(0.0), Judged("meets", {}, gaps=False))
    assert not may_be_called_balanced(balance(0.0), replace(MEETS, stopped=True))
    assert not may_be_called_balanced(balance(0.0), replace(MEETS, gaps=True))
    assert not may_be_called_balanced(balance(0.0), Judged())


def test_a_wide_band_or_a_far_index_is_never_called_balanced() -> None:
    assert not may_be_called_balanced(balance(0.0, half=0.6), MEETS)
    assert not may_be_called_balanced(balance(-0.4), MEETS)


def test_a_ph_that_fails_the_rules_is_the_only_thing_said() -> None:
    judged = Judged("does-not-meet", {"ph": "does-not-meet"}, gaps=False)
    assert steps(balance(-0.8, ph=6900), judged) == [("rules-ph", "ph")]


def test_a_house_stop_is_the_only_thing_said() -> None:
    assert steps(balance(-0.8), replace(MEETS, stopped=True)) == [("stop", "")]


def test_what_the_rules_ask_for_comes_before_the_index() -> None:
    judged = Judged("does-not-meet", {"ph": "meets", "free_chlorine": "does-not-meet"}, gaps=False)
    assert steps(balance(-0.8), judged) == [("rules", ""), ("raise", "calcium_hardness")]
    assert steps(balance(-0.8), replace(judged, gaps=True))[0] == ("rules", "")
    assert steps(balance(-0.8), Judged())[0] == ("judge", "")


def test_calcium_is_raised_and_never_a_ph_that_is_inside_its_band() -> None:
    assert steps(balance(-0.6)) == [("raise", "calcium_hardness")]
    step = what_first(balance(-0.6), MEETS)[0]
    assert (step.low, step.high) == BANDS["calcium_hardness"]


def test_what_is_below_its_target_is_raised_before_calcium() -> None:
    found = balance(-0.9, total_alkalinity=50000, ph=7100)
    assert steps(found) == [
        ("raise", "total_alkalinity"),
        ("raise", "ph"),
        ("raise", "calcium_hardness"),
    ]


@pytest.mark.parametrize("parameter", list(BANDS))
def test_nothing_is_raised_past_the_end_of_its_band(parameter: str) -> None:
    high = BANDS[parameter][1]
    assert high is not None
    for number in range(high - 3, high + 4):
        raised = ("raise", parameter) in steps(balance(-0.6, **{parameter: number}))
        assert raised == (parameter == "calcium_hardness" and number < high)
    assert steps(balance(-0.6, calcium_hardness=400000)) == [("leave", "")]


def test_without_a_target_calcium_is_named_with_the_wish_for_one() -> None:
    found = replace(balance(-0.6), bands={})
    assert steps(found) == [("raise-untargeted", "calcium_hardness")]


def test_water_that_settles_lowers_ph_only_inside_its_band() -> None:
    assert steps(balance(0.6, ph=7550)) == [("lower-half", "ph")]
    step = what_first(balance(0.6, ph=7550), MEETS)[0]
    assert (step.low, step.high) == (7200, 7400)
    assert steps(balance(0.6, ph=7300)) == [("leave", "")]
    assert steps(balance(0.6, ph=7700)) == [("lower", "ph")]
    assert steps(balance(0.6, ph=7300, calcium_hardness=450000)) == [
        ("fresh-water", "calcium_hardness")
    ]
    assert steps(replace(balance(0.6, ph=7550), bands={})) == [("leave", "")]


def test_a_band_that_says_nothing_asks_for_its_driver_again() -> None:
    assert steps(balance(-0.35, half=0.4)) == [("repeat", "ph")]
    assert steps(balance(-0.1, half=0.5)) == [("repeat", "ph")]


def test_the_tendency_is_told_only_where_the_band_lies_on_one_side() -> None:
    assert tendency(-0.3, -0.5, -0.1) == "dissolves-little"
    assert tendency(-0.6, -0.8, -0.4) == "dissolves"
    # Shown as -0.5, so told as -0.5.
    assert tendency(-0.46, -0.6, -0.3) == tendency(-0.54, -0.7, -0.4) == "dissolves"
    assert tendency(0.1, -0.1, 0.3) == "neither"
    assert tendency(0.2, 0.1, 0.3) == "settles-little"
    assert tendency(0.7, 0.5, 0.9) == "settles"


def test_of_a_parameters_rows_the_worst_counts() -> None:
    rows = [
        {"parameter": "ph", "verdict": "meets"},
        {"parameter": "ph", "verdict": "not-judged"},
        {"parameter": "free_chlorine", "verdict": "meets-borderline"},
    ]
    assert worst_rows(rows) == {"ph": "not-judged", "free_chlorine": "meets-borderline"}


LEVERS = ("ph", "total_alkalinity", "calcium_hardness")
VERDICTS = st.sampled_from(["meets", "meets-borderline", "not-judged", *FAILS])
NUMBERS = st.integers(0, 10)
ENDS = st.one_of(
    st.tuples(st.none(), st.none()),
    st.tuples(NUMBERS, st.none()),
    st.tuples(st.none(), NUMBERS),
    st.tuples(st.integers(0, 4), st.integers(5, 10)),
)
BALANCES = st.builds(
    lambda value, half, numbers, ends: Balance(
        value,
        value - half,
        value + half,
        "ph",
        dict(zip(LEVERS, numbers, strict=True)),
        dict(zip(LEVERS, ends, strict=True)),
    ),
    st.floats(-2, 2),
    st.floats(0, 1),
    st.tuples(NUMBERS, NUMBERS, NUMBERS),
    st.tuples(ENDS, ENDS, ENDS),
)
JUDGED = st.builds(
    Judged,
    VERDICTS,
    st.dictionaries(st.sampled_from(["ph", "free_chlorine", "clarity"]), VERDICTS),
    st.booleans(),
    st.booleans(),
)


@given(BALANCES, JUDGED)
def test_no_step_leads_out_of_a_band_and_none_is_told_before_the_rules(
    found: Balance, judged: Judged
) -> None:
    told = what_first(found, judged)
    assert told
    for step in told:
        low, high = found.bands.get(step.parameter, (None, None))
        number = found.readings.get(step.parameter, 0)
        if step.id == "raise":
            assert high is None or number < high
        if step.id in ("lower", "fresh-water"):
            assert high is not None
            assert number > high
        if step.id == "lower-half":
            assert low is not None
            assert step.low == low <= number
    if judged.stopped or judged.rows.get("ph") in FAILS:
        assert [step.id in ("stop", "rules-ph") for step in told] == [True]
    elif judged.overall in FAILS or judged.overall == "not-judged":
        assert told[0].id in ("rules", "judge")


@given(BALANCES, JUDGED)
def test_the_word_is_never_said_beside_a_fail_a_gap_or_a_stop(
    found: Balance, judged: Judged
) -> None:
    if may_be_called_balanced(found, judged):
        assert not judged.stopped
        assert not judged.gaps
        assert {judged.overall, judged.rows["ph"], *judged.rows.values()} <= {
            "meets",
            "meets-borderline",
        }
        assert abs(found.value) <= 0.3
