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


@pytest.mark.parametrize(
    ("parameter", "value", "unit", "own"),
    [
        ("free_chlorine", "1.52", "ppm", "1.52"),
        ("total_alkalinity", "90", "mg/l", "90"),
        ("ph", "7.43", "pH", "7.43"),
        ("temperature_c", "28.4", "°C", "28.4"),
        ("temperature_c", "82", "F", "27.778"),
        ("salt", "3.2", "g/L", "3200.00"),
        ("orp_mv", "720", "mV", "720"),
        ("e_coli", "<1", "per 100 mL", "<1"),
        ("clarity", "visible", "", "visible"),
    ],
)
def test_a_unit_that_a_reading_is_typed_in_is_read_and_turned_into_its_own(
    parameter: str, value: str, unit: str, own: str
) -> None:
    given = {"readings": [{"parameter": parameter, "value": value, "unit": unit}]}
    assert case_from(given)["readings"][0]["value"] == own


@pytest.mark.parametrize("unit", ["per", "K", "f", 3, ["C"], "x" * 500])
def test_a_unit_that_is_not_read_is_named_in_a_short_line(unit: Any) -> None:
    with pytest.raises(InputError, match=r"readings\[0\].unit: ") as caught:
        case_from({"readings": [{"parameter": "temperature_c", "value": "28", "unit": unit}]})
    assert len(str(caught.value)) < 150


def test_an_error_is_not_turned_from_one_unit_into_another() -> None:
    typed = {"parameter": "temperature_c", "value": "82", "unit": "F", "uncertainty": "1"}
    with pytest.raises(InputError, match="uncertainty"):
        case_from({"readings": [typed]})


def test_a_huge_word_is_not_sent_back_whole() -> None:
    for given in ({"readings": {"ph": "7" * 9000}}, {"readings": {"p" * 9000: "7"}}):
        with pytest.raises(InputError) as caught:
            case_from(given)
        assert len(str(caught.value)) < 300


def test_only_temperature_and_redox_may_be_below_zero_in_both_forms() -> None:
    for name, value in (("temperature_c", "-1"), ("orp_mv", "-30")):
        short = case_from({"readings": {name: value}})
        assert short == case_from({"readings": [{"parameter": name, "value": value}]})
    with pytest.raises(InputError, match="below zero"):
        case_from({"readings": [{"parameter": "free_chlorine", "value": "-1"}]})


def test_a_fact_that_is_null_is_not_known() -> None:
    nothing = {"kind": None, "volume_m3": None, "circuit": None, "facts": None}
    assert case_from({"readings": {}, "pool": nothing})["pool"] == {}


def test_an_empty_cell_is_no_reading() -> None:
    assert case_from({"readings": {"ph": "", "free_chlorine": None}})["readings"] == []


def test_a_value_keeps_its_decimals_as_typed() -> None:
    assert case_from({"readings": {"ph": "7.40"}})["readings"][0]["value"] == "7.40"


@pytest.mark.parametrize("name", ["kind", "stabiliser", "volume_m3", "risk_class", "numbers"])
def test_a_fact_with_a_place_of_its_own_is_refused_among_other_facts(name: str) -> None:
    with pytest.raises(InputError, match=f"pool.facts.{name}"):
        case_from({"pool": {"facts": {name: "banana"}}, "readings": {}})
    assert case_from({"pool": {"facts": {"heated": "yes"}}, "readings": {}})["pool"] == {
        "heated": "yes"
    }
