"""Which findings switch advice off, and what counts as a surprise until repeated."""

from __future__ import annotations

from typing import Any

import pytest
from tests.kernel.deciding.deciding_cases import AT, HOUR, before, case, reading

from lanewater.kernel.deciding.doubt import doubtful_parameters, surprising
from lanewater.kernel.deciding.plausibility import findings_of


@pytest.mark.parametrize(
    ("round_", "doubtful"),
    [
        (
            case(reading("free_chlorine", "1.52"), reading("total_chlorine", "1.28")),
            {"free_chlorine", "total_chlorine", "combined_chlorine"},
        ),
        (case(reading("free_chlorine", "1.52"), reading("total_chlorine", "1.50")), set()),
        (case(reading("ph", "8.4")), {"ph"}),
        (case(reading("ph", "7.4")), set()),
        (case(reading("free_chlorine", ">5.00")), {"free_chlorine"}),
        (case(reading("temperature_c", "82")), {"temperature_c"}),
        (case(reading("total_alkalinity", "800")), {"total_alkalinity"}),
        (
            case(
                reading("free_chlorine", "0.1"),
                history=[before(reading("free_chlorine", "1.4"))],
            ),
            {"free_chlorine", "combined_chlorine", "ph"},
        ),
    ],
)
def test_a_doubtful_number_switches_its_advice_off(
    round_: dict[str, Any], doubtful: set[str]
) -> None:
    assert set(doubtful_parameters(findings_of(round_))) == doubtful


@pytest.mark.parametrize(
    ("parameter", "now", "last", "expected"),
    [
        ("free_chlorine", "0.62", "1.45", True),
        ("free_chlorine", "0.73", "1.45", False),
        ("free_chlorine", "0.40", "0.90", True),
        ("free_chlorine", "0.10", "0.30", False),  # within 0.3
        ("free_chlorine", "3.00", "1.45", True),
        ("free_chlorine", "2.80", "1.45", False),
        ("ph", "7.85", "7.40", True),
        ("ph", "7.80", "7.40", False),
        ("ph", "6.95", "7.40", True),
    ],
)
def test_a_number_far_from_the_last_round_is_a_surprise(
    parameter: str, now: str, last: str, expected: bool
) -> None:
    round_ = case(reading(parameter, now), history=[before(reading(parameter, last))])
    assert surprising(round_, parameter) is expected


def test_without_an_earlier_round_nothing_is_a_surprise() -> None:
    assert not surprising(case(reading("free_chlorine", "0.1")), "free_chlorine")


def test_the_newest_earlier_round_counts_whatever_the_order() -> None:
    rounds = [
        before(reading("free_chlorine", "0.60"), hours=2),
        before(reading("free_chlorine", "1.45"), hours=5),
    ]
    assert not surprising(case(reading("free_chlorine", "0.62"), history=rounds), "free_chlorine")


def test_a_repeat_must_agree_to_explain_a_surprise() -> None:
    earlier = [before(reading("free_chlorine", "1.45"))]
    agreed = case(
        reading("free_chlorine", "0.60"), reading("free_chlorine", "0.64"), history=earlier
    )
    apart = case(
        reading("free_chlorine", "0.60"), reading("free_chlorine", "0.20"), history=earlier
    )
    assert not surprising(agreed, "free_chlorine")
    assert surprising(apart, "free_chlorine")


@pytest.mark.parametrize(
    ("event", "expected"),
    [
        ({"kind": "cause", "at": AT - HOUR}, False),
        ({"kind": "cause", "at": AT - 4 * HOUR}, True),
        ({"kind": "addition", "product": "hydrochloric-acid", "at": AT - HOUR}, True),
    ],
)
def test_a_cause_since_the_last_round_explains_it(event: dict[str, Any], expected: bool) -> None:
    round_ = case(
        reading("free_chlorine", "0.62"),
        history=[before(reading("free_chlorine", "1.45"))],
        events=[event],
    )
    assert surprising(round_, "free_chlorine") is expected


@pytest.mark.parametrize(
    ("last", "now", "expected"),
    [
        ("0.62", "1.45", False),  # what was added is there
        ("0.62", "0.60", False),  # within test error
        ("1.45", "0.62", True),  # much was added, less is read: bleached, or not mixed
        ("0.62", "0.35", True),
    ],
)
def test_chlorine_that_was_added_explains_more_of_it_and_never_less(
    last: str, now: str, expected: bool
) -> None:
    event = {"kind": "addition", "product": "sodium-hypochlorite", "at": AT - HOUR}
    round_ = case(
        reading("free_chlorine", now),
        history=[before(reading("free_chlorine", last))],
        events=[event],
    )
    assert surprising(round_, "free_chlorine") is expected


def test_chlorine_that_was_added_never_explains_a_ph() -> None:
    event = {"kind": "addition", "product": "sodium-hypochlorite", "at": AT - HOUR}
    round_ = case(reading("ph", "8.1"), history=[before(reading("ph", "7.5"))], events=[event])
    assert surprising(round_, "ph")


def test_points_are_compared_with_the_same_point() -> None:
    round_ = case(
        reading("free_chlorine", "0.70", point="deep"),
        history=[
            before(
                reading("free_chlorine", "0.75", point="deep"),
                reading("free_chlorine", "1.90", point="shallow"),
            )
        ],
    )
    assert not surprising(round_, "free_chlorine")


def test_a_single_earlier_point_stands_for_the_pool() -> None:
    earlier = before(reading("free_chlorine", "1.45", point="shallow"), reading("ph", "7.4"))
    round_ = case(reading("free_chlorine", "0.62", point="deep"), history=[earlier])
    assert surprising(round_, "free_chlorine")
