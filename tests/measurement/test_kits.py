"""Kits as a set-up writes them."""

from __future__ import annotations

from typing import Any

import pytest

from lanewater.measurement.kits import DeclaredError, kit_from
from lanewater.terms.errors import InputError

PHOTOMETER = {
    "kit": "photometer-1",
    "kind": "photometer",
    "ranges": [
        {
            "parameter": "free_chlorine",
            "low": "0.00",
            "high": "5.00",
            "step": "0.01",
            "error_absolute": "0.02",
            "error_percent": "3",
        },
        {"parameter": "ph", "low": "6.5", "high": "8.4", "uncertainty": "0.1"},
    ],
    "total_stand_s": 120,
    "ph_free_chlorine_limit": "10",
}


def test_a_kit_is_read_whole() -> None:
    kit = kit_from(PHOTOMETER)
    span = kit.span("free_chlorine")
    assert span is not None
    assert (span.low, span.high, span.step) == ("0.00", "5.00", "0.01")
    assert span.error == DeclaredError("0.02", "3")
    assert kit.total_stand_s == 120
    assert kit.ph_free_chlorine_limit == "10"
    assert kit.accepted
    assert kit.span("salt") is None


def test_a_half_width_at_95_percent_becomes_half_of_it_as_standard() -> None:
    span = kit_from(PHOTOMETER).span("ph")
    assert span is not None
    assert span.error == DeclaredError("0.050", "0")


def test_strips_are_no_proof_unless_the_set_up_says_so() -> None:
    assert not kit_from({"kit": "s", "kind": "strips"}).accepted
    assert kit_from({"kit": "s", "kind": "strips", "accepted": True}).accepted
    assert kit_from({"kit": "c", "kind": "comparator"}).accepted


def test_a_limit_that_is_not_stated_is_never_made_up() -> None:
    kit = kit_from({"kit": "p", "kind": "photometer"})
    assert kit.ph_free_chlorine_limit is None
    assert kit.total_stand_s is None
    assert "ph_free_chlorine_limit" not in kit.for_kernel()


def test_the_kernel_gets_ranges_and_the_limit() -> None:
    facts = kit_from(PHOTOMETER).for_kernel()
    assert facts["ranges"]["free_chlorine"] == {
        "low": "0.00",
        "high": "5.00",
        "step": "0.01",
        "error_absolute": "0.02",
        "error_percent": "3",
    }
    assert facts["ph_free_chlorine_limit"] == "10"


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"kind": "dipstick"}, "kit.kind"),
        ({"kit": ""}, "kit.kit"),
        ({"colour": "red"}, "kit.colour"),
        ({"accepted": "yes"}, "kit.accepted"),
        ({"total_stand_s": 0}, "kit.total_stand_s"),
        ({"total_stand_s": 120.5}, "kit.total_stand_s"),
        ({"ph_free_chlorine_limit": "-1"}, "kit.ph_free_chlorine_limit"),
        ({"ph_free_chlorine_limit": ""}, "kit.ph_free_chlorine_limit"),
        ({"ranges": {}}, "kit.ranges"),
        ({"ranges": [{"parameter": "moon"}]}, "kit.ranges[0].parameter"),
        ({"ranges": [{"parameter": "ph", "step": "1e400"}]}, "kit.ranges[0].step"),
        ({"ranges": [{"parameter": "ph", "low": "8", "high": "7"}]}, "kit.ranges[0]"),
        ({"ranges": [{"parameter": "ph"}, {"parameter": "ph"}]}, "kit.ranges[1].parameter"),
    ],
)
def test_a_bad_field_is_named(change: dict[str, Any], field: str) -> None:
    with pytest.raises(InputError) as caught:
        kit_from({**PHOTOMETER, **change})
    assert caught.value.field == field


@pytest.mark.parametrize("given", [None, [], "photometer", 3])
def test_what_is_no_object_is_refused(given: Any) -> None:
    with pytest.raises(InputError):
        kit_from(given)
