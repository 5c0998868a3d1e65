"""One value against one limit, exactly, and what over range and under range decide."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lanewater.kernel.deciding.comparing import combined_value, decided, value_of, whole_root

COMPARISONS = ("at-least", "at-most", "above", "below", "equals")
WIDE = st.integers(min_value=0, max_value=20_000)


def reading(value: str, parameter: str = "free_chlorine", dilution: int = 1) -> dict[str, object]:
    return {
        "parameter": parameter,
        "value": value,
        "dilution": dilution,
        "point": "",
        "at": None,
        "uncertainty": None,
        "kit": "",
    }


def test_a_difference_at_the_limit_is_decided_exactly_for_every_two_decimal_pair() -> None:
    limit = 500
    wrong_in_floats = 0
    for total in range(0, 10_010, 10):
        for free in range(0, total + 10, 10):
            exact = decided(total - free, "exact", "at-most", limit) == "yes"
            assert exact == (total - free <= limit)
            wrong_in_floats += exact != (total / 1000 - free / 1000 <= 0.5)
    # The planted fault: the same decision in floats goes wrong, so this loop can tell.
    assert wrong_in_floats > 0


@given(number=WIDE, limit=WIDE, comparison=st.sampled_from(COMPARISONS), beyond=WIDE)
def test_an_over_range_reading_is_decided_only_when_every_higher_value_agrees(
    number: int, limit: int, comparison: str, beyond: int
) -> None:
    answer = decided(number, "above", comparison, limit)
    if answer != "undecided":
        assert decided(number + beyond + 1, "exact", comparison, limit) == answer


@given(number=WIDE, limit=WIDE, comparison=st.sampled_from(COMPARISONS), beneath=WIDE)
def test_an_under_range_reading_is_decided_only_when_every_lower_value_agrees(
    number: int, limit: int, comparison: str, beneath: int
) -> None:
    answer = decided(number, "below", comparison, limit)
    if answer != "undecided" and number - beneath - 1 >= 0:
        assert decided(number - beneath - 1, "exact", comparison, limit) == answer


@pytest.mark.parametrize(
    ("comparison", "limit", "answer"),
    [("at-most", 5000, "no"), ("at-most", 10_000, "undecided"), ("at-least", 1000, "yes")],
)
def test_over_five_breaks_a_maximum_of_five_and_leaves_ten_open(
    comparison: str, limit: int, answer: str
) -> None:
    assert decided(5000, "above", comparison, limit) == answer


@given(st.integers(min_value=0, max_value=10**12))
def test_the_whole_root_is_the_smallest_whole_number_whose_square_reaches(number: int) -> None:
    root = whole_root(number)
    assert root * root >= number
    assert root == 0 or (root - 1) * (root - 1) < number


def test_a_diluted_reading_is_multiplied() -> None:
    value = value_of(reading("1.85", dilution=5))
    assert (value["number"], value["text"]) == (9250, "9.25")


def test_fewer_than_one_of_a_count_is_none() -> None:
    value = value_of(reading("<1", "pseudomonas_aeruginosa"))
    assert (value["number"], value["relation"]) == (0, "exact")


def test_below_range_of_a_concentration_stays_below_range() -> None:
    assert value_of(reading("<1"))["relation"] == "below"


def test_combined_is_total_minus_free_and_unknown_where_free_is_over_range() -> None:
    assert combined_value(value_of(reading("1.52")), value_of(reading("1.68")))["text"] == "0.16"
    over = combined_value(value_of(reading(">5.00")), value_of(reading(">5.00")))
    assert over["relation"] == "unknown"
