"""How far readings can be trusted, against the figures of the fact table."""

from __future__ import annotations

from typing import Any

import pytest

from lanewater.kernel.deciding.plausibility import findings_of
from lanewater.kernel.deciding.readingerror import reading_error
from lanewater.measurement.kits import Kit, kit_from
from lanewater.measurement.reading import Reading, reading_from
from lanewater.measurement.uncertainty import case_extras, combined_of, error_of, for_kernel

DECLARED = kit_from(
    {
        "kit": "p",
        "kind": "photometer",
        "ranges": [
            {"parameter": name, "error_absolute": "0.02", "error_percent": "3", "step": "0.01"}
            for name in ("free_chlorine", "total_chlorine")
        ],
    }
)
COMPARATOR = kit_from(
    {
        "kit": "c",
        "kind": "comparator",
        "ranges": [
            {"parameter": "free_chlorine", "step": "0.5"},
            {"parameter": "ph", "step": "0.2"},
        ],
    }
)


def read(parameter: str, value: str, **more: Any) -> Reading:
    return reading_from({"parameter": parameter, "value": value, **more})


def test_a_declared_error_is_twice_the_root_of_the_squares() -> None:
    error = error_of(read("free_chlorine", "1.5"), DECLARED)
    assert error.thousandths == 99  # 2 * sqrt(0.02^2 + 0.045^2) = 0.0985
    assert not error.typical


def test_without_a_declaration_the_typical_value_is_used_and_marked() -> None:
    assert error_of(read("free_chlorine", "1.5")).typical
    assert for_kernel(read("free_chlorine", "1.5"))["uncertainty"] is None


def test_dilution_multiplies_the_error_and_the_kernel_does_not_again() -> None:
    diluted = read("free_chlorine", "1.85", dilution=5)
    error = error_of(diluted, DECLARED)
    assert error.thousandths == 5 * error_of(read("free_chlorine", "1.85"), DECLARED).thousandths
    assert reading_error(for_kernel(diluted, DECLARED)) == error.thousandths


@pytest.mark.parametrize(
    ("free", "total", "dilution", "value", "error"),
    [
        ("1.5", "1.9", 1, "0.4", 0.16),  # disinfection.md 4.5
        ("3.0", "3.4", 1, "0.4", 0.28),
        ("5.0", "5.4", 1, "0.4", 0.45),
        ("1.0", "2.0", 1, "1.0", 0.15),
        ("1.52", "1.68", 1, "0.16", 0.15),  # safety.md 4.1
        ("1.85", "1.95", 5, "0.50", 0.85),  # safety.md 1.12
    ],
)
@pytest.mark.parametrize("kit", [DECLARED, None])
def test_combined_carries_the_error_of_the_fact_table(
    free: str, total: str, dilution: int, value: str, error: float, kit: Kit | None
) -> None:
    kits = {} if kit is None else {"p": kit}
    combined = combined_of(
        read("free_chlorine", free, dilution=dilution, kit="p"),
        read("total_chlorine", total, dilution=dilution, kit="p"),
        kits,
    )
    assert combined.value == value
    assert abs(float(combined.error) - error) <= 0.01
    assert combined.possible
    assert combined.typical is (kit is None)


def test_combined_has_the_decimals_of_the_coarser_reading() -> None:
    combined = combined_of(read("free_chlorine", "1.5"), read("total_chlorine", "1.68"), {})
    assert combined.value == "0.2"


def test_combined_within_the_error_of_zero_is_about_zero_and_beyond_it_impossible() -> None:
    assert (
        combined_of(read("free_chlorine", "1.52"), read("total_chlorine", "1.50"), {}).value
        == "about 0"
    )
    assert (
        combined_of(read("free_chlorine", "1.52"), read("total_chlorine", "1.52"), {}).value
        == "0.00"
    )
    impossible = combined_of(read("free_chlorine", "1.52"), read("total_chlorine", "1.28"), {})
    assert not impossible.possible
    assert impossible.value == "-0.24"


def test_a_colour_scale_is_good_to_a_step_and_between_two_colours_to_half_the_gap() -> None:
    assert error_of(read("free_chlorine", "1.5"), COMPARATOR).thousandths == 500
    assert error_of(read("ph", "7.4"), COMPARATOR).thousandths == 200
    between = reading_from(
        {"parameter": "free_chlorine", "between": {"low": "1.0", "high": "1.5"}, "kit": "c"}
    )
    assert error_of(between, COMPARATOR).thousandths == 250


def test_a_comparator_reading_between_colours_reaches_the_findings() -> None:
    between = reading_from(
        {"parameter": "free_chlorine", "between": {"low": "1.0", "high": "1.5"}, "kit": "c"}
    )
    kits = {"c": COMPARATOR, "p": DECLARED}
    case = {
        "purpose": "round",
        "pool": {},
        "readings": [for_kernel(between, COMPARATOR)],
        "history": [],
        "at": None,
        **case_extras([between], kits),
    }
    assert set(case["kits"]) == {"c"}
    assert [finding["id"] for finding in findings_of(case)] == ["between-colours"]


def test_the_normal_form_has_exactly_its_keys() -> None:
    assert set(for_kernel(read("ph", "7.43", kit="p"), DECLARED)) == {
        "parameter",
        "value",
        "dilution",
        "point",
        "at",
        "uncertainty",
        "kit",
    }


def test_an_ambiguous_comma_reaches_the_kernel_as_typed_without_an_error() -> None:
    form = for_kernel(read("free_chlorine", "1,520"), DECLARED)
    assert form["value"] == "1,520"
    assert form["uncertainty"] is None
