"""A reading as typed, made ready to be judged, the same on a tablet as on the server."""

from __future__ import annotations

from typing import Any

import pytest

from lanewater.kernel.deciding.normal import (
    normal_reading,
    own_unit_text,
    rounded_text,
    stated_error,
)
from lanewater.measurement.kits import kit_from
from lanewater.measurement.reading import reading_from
from lanewater.measurement.uncertainty import for_kernel

FREE = "free_chlorine"


def kit(kind: str = "photometer", **span: str) -> dict[str, Any]:
    """Give a kit that reads free chlorine."""
    return {"kind": kind, "ranges": {FREE: span}}


@pytest.mark.parametrize(
    ("parameter", "typed", "unit", "own"),
    [
        ("temperature_c", "82.4", "F", "28.00"),
        ("temperature_c", "104", "°F", "40.00"),
        ("temperature_c", ">104", "F", ">40.00"),
        ("temperature_c", "31", "F", "-0.556"),
        ("temperature_c", "28,4", "C", "28.4"),
        ("salt", "3.5", "g/L", "3500.00"),
        ("salt", "3500", "", "3500"),
        (FREE, "1,5", "mg/L", "1.5"),
        (FREE, ">5.00", "", ">5.00"),
        (FREE, "1,520", "", "1,520"),
    ],
)
def test_a_number_is_given_in_its_own_unit_and_what_can_be_read_two_ways_stays(
    parameter: str, typed: str, unit: str, own: str
) -> None:
    assert own_unit_text(parameter, typed, unit) == own


@pytest.mark.parametrize(
    ("span", "value", "error"),
    [
        ({}, "1.00", -1),
        ({"step": "0.01"}, "1.00", -1),
        ({"error_absolute": "0.02", "error_percent": "0"}, "1.00", 40),
        ({"error_absolute": "0", "error_percent": "3"}, "2.00", 120),
        ({"error_absolute": "0.02", "error_percent": "3"}, "1.00", 73),
        ({"error_absolute": "0.001", "error_percent": "0", "step": "0.1"}, "1.0", 50),
    ],
)
def test_a_kits_stated_error_is_taken_and_never_under_half_a_step(
    span: dict[str, str], value: str, error: int
) -> None:
    assert stated_error(kit(**span), FREE, value) == error


def test_a_colour_scale_that_states_nothing_is_good_to_one_step() -> None:
    assert stated_error(kit("comparator", step="0.5"), FREE, "1.5") == 500
    assert stated_error(kit("comparator"), FREE, "1.5") == -1


def test_absurd_papers_of_a_kit_stay_within_whole_numbers_that_javascript_keeps() -> None:
    absurd = kit(error_absolute="999999999", error_percent="999999999", step="999999999")
    assert stated_error(absurd, FREE, "999999999") < 2**53


def test_dilution_multiplies_the_error() -> None:
    typed = {"parameter": FREE, "value": "0.62", "unit": "", "dilution": 5}
    typed |= {"point": "", "at": None, "kit": "a"}
    known = kit(error_absolute="0.02", error_percent="0")
    assert normal_reading(typed, known)["uncertainty"] == "0.20"
    assert normal_reading(typed, None)["uncertainty"] is None


def test_between_two_colours_is_their_middle_with_the_error_that_measurement_gives() -> None:
    colours = {"low": "0.5", "high": "1.0"}
    disc = {"kit": "disc", "name": "Disc", "kind": "comparator"}
    ranges = [{"parameter": FREE, "low": "0.5", "high": "4", "step": "0.5"}]
    known = kit_from(disc | {"ranges": ranges})
    told = for_kernel(reading_from({"parameter": FREE, "between": colours, "kit": "disc"}), known)
    typed = {"parameter": FREE, "value": "0.7", "unit": "", "dilution": 1, "point": ""}
    typed |= {"at": None, "kit": "disc", "between": colours}
    assert normal_reading(typed, known.for_kernel()) == told
    assert (told["value"], told["uncertainty"]) == ("0.75", "0.25")


@pytest.mark.parametrize(
    ("number", "decimals", "text"),
    [(148, 2, "0.15"), (144, 2, "0.14"), (145, 2, "0.15"), (1525, 1, "1.5"), (50, 3, "0.050")],
)
def test_a_number_is_rounded_halves_up(number: int, decimals: int, text: str) -> None:
    assert rounded_text(number, decimals) == text
