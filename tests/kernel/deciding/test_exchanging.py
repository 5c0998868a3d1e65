"""Free and total put into each other's place are no repeat."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st
from tests.kernel.deciding.deciding_cases import case, reading

from lanewater.kernel.deciding.exchanging import exchanged, without_total

NUMBERS = st.integers(0, 600).map(lambda number: f"{number / 100:.2f}")


@given(NUMBERS, NUMBERS, st.sampled_from(["", "deep"]))
def test_an_exchange_is_seen_at_any_point(free: str, total: str, point: str) -> None:
    """Two numbers that changed places are an exchange, unless they are the same."""
    first = [
        reading("free_chlorine", free, point=point),
        reading("total_chlorine", total, point=point),
    ]
    after = [
        reading("free_chlorine", total, point=point),
        reading("total_chlorine", free, point=point),
    ]
    assert exchanged(first, after) == (free != total)
    assert not exchanged(first, first)


def test_another_number_or_another_point_is_no_exchange() -> None:
    """A repeat that reads otherwise is a repeat; what is over range is not its end."""
    first = [reading("free_chlorine", "2.40"), reading("total_chlorine", "1.90")]
    repeat = [reading("free_chlorine", "1.60"), reading("total_chlorine", "1.90")]
    assert not exchanged(first, repeat)
    elsewhere = [
        reading("free_chlorine", "1.90", point="deep"),
        reading("total_chlorine", "2.40", point="deep"),
    ]
    assert not exchanged(first, elsewhere)
    over = [reading("free_chlorine", ">1.90"), reading("total_chlorine", "2.40")]
    assert not exchanged(first, over)
    assert not exchanged(first[:1], first[:1])


def test_a_case_without_its_total_keeps_everything_else() -> None:
    """Only what casts doubt on free is left out."""
    given_case = case(
        reading("free_chlorine", "2.40"), reading("total_chlorine", "1.90"), reading("ph", "7.4")
    )
    found = without_total(given_case)
    assert [row["parameter"] for row in found["readings"]] == ["free_chlorine", "ph"]
    assert found["pool"] == given_case["pool"]
    assert len(given_case["readings"]) == 3
