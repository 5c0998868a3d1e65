"""What is handed in to be judged: read exactly, or refused by the name of its field."""

from typing import Any

import pytest

from lanewater.rules.case import case_from
from lanewater.terms.errors import InputError


@pytest.mark.parametrize(
    ("given", "field"),
    [
        (None, ""),
        ([], ""),
        ({}, "readings"),
        ({"readings": None}, "readings"),
        ({"readings": {"ph": "high"}}, "readings.ph"),
        ({"readings": {"ph": True}}, "readings.ph"),
        ({"readings": {"ph": -1}}, "readings.ph"),
        ({"readings": {"ph": 1e300}}, "readings.ph"),
        ({"readings": {"ph": ["7"]}}, "readings.ph"),
        ({"readings": {"acidity": "7"}}, "readings.acidity"),
        ({"readings": {"clarity": "clear"}}, "readings.clarity"),
        ({"readings": {"clarity": ["visible"]}}, "readings.clarity"),
        ({"readings": [{"value": "7"}]}, "readings[0]"),
        ({"readings": [{"parameter": {}, "value": "7"}]}, "readings[0]"),
        ({"readings": [{"parameter": "ph", "value": "7", "x": 1}]}, "readings[0].x"),
        ({"readings": [{"parameter": "ph", "value": "7", "dilution": 0}]}, "readings[0].dilution"),
        (
            {"readings": [{"parameter": "free_chlorine", "value": "7", "unit": "gal"}]},
            "readings[0].unit",
        ),
        ({"readings": [{"parameter": "ph", "value": "7", "at": "today"}]}, "readings[0].at"),
        ({"readings": {}, "purpose": "guess"}, "purpose"),
        ({"readings": {}, "pool": {"kind": "lake"}}, "pool.kind"),
        ({"readings": {}, "pool": {"kind": ["pool"]}}, "pool.kind"),
        ({"readings": {}, "pool": {"depth": 2}}, "pool.depth"),
        ({"readings": {}, "pool": {"volume_m3": "400"}}, "pool.volume_m3"),
        ({"readings": {}, "pool": "indoor"}, "pool"),
        ({"readings": {}, "history": {}}, "history"),
        ({"readings": {}, "history": [{"ph": "7"}]}, "history[0]"),
        ({"readings": {}, "at": "2026-07-01T06:00:00"}, "at"),
        ({"readings": {}, "at": "0001-01-01T00:00:00+23:59"}, "at"),
        ({"readings": {}, "extra": 1}, "extra"),
    ],
)
def test_a_field_that_cannot_be_read_is_named(given: Any, field: str) -> None:
    with pytest.raises(InputError) as caught:
        case_from(given)
    assert caught.value.field == field


def test_short_and_long_form_are_the_same_case() -> None:
    short = case_from({"readings": {"free_chlorine": "1.5", "ph": 7.4}})
    long = case_from(
        {
            "readings": [
                {"parameter": "free_chlorine", "value": "1.5", "unit": "mg/L"},
                {"parameter": "ph", "value": "7.4"},
            ]
        }
    )
    assert short == long


def test_an_empty_cell_is_no_reading() -> None:
    assert case_from({"readings": {"ph": "", "free_chlorine": None}})["readings"] == []


def test_a_value_keeps_its_decimals_as_typed() -> None:
    assert case_from({"readings": {"ph": "7.40"}})["readings"][0]["value"] == "7.40"
