"""`calc water`: what is required, what is assumed, what is told, what is refused."""

from __future__ import annotations

from typing import Any

import pytest

from lanewater.chemistry.water import BOUNDS, describe, water_from
from lanewater.service.constants import load_constants
from lanewater.terms.errors import InputError

LEAST = {"ph": 7.4, "temperature_c": 28, "total_alkalinity_mg_l": 100}
STABILISED = {
    **LEAST,
    "calcium_hardness_mg_l": 250,
    "cyanuric_acid_mg_l": 50,
    "free_chlorine_mg_l": 3,
}
KEYS = {
    "hocl_mg_l",
    "hocl_low_mg_l",
    "ocl_mg_l",
    "carbonate_alkalinity_mg_l",
    "dic_mmol_l",
    "saturation_index",
    "ccpp_mg_l",
    "ionic_strength_mol_l",
    "buffer_meq_l_ph",
    "co2_ceiling_ph",
    "findings",
    "assumed_zero",
}


def told(**readings: float) -> dict[str, Any]:
    k, k_low = load_constants(), load_constants("WA2019")
    return describe(k, k_low, water_from({**LEAST, **readings}))


def ids(answer: dict[str, Any]) -> set[str]:
    return {found["id"] for found in answer["findings"]}


def test_the_outward_keys_are_all_there() -> None:
    assert set(told()) >= KEYS


def test_what_is_left_out_is_zero_and_said() -> None:
    assert told()["assumed_zero"] == [
        "calcium_hardness_mg_l",
        "cyanuric_acid_mg_l",
        "boron_mg_l",
        "salt_mg_l",
        "sulfate_mg_l",
        "free_chlorine_mg_l",
    ]
    assert "cyanuric_acid_mg_l" not in told(cyanuric_acid_mg_l=0)["assumed_zero"]


@pytest.mark.parametrize("name", list(LEAST))
def test_what_is_required_is_named_when_missing(name: str) -> None:
    with pytest.raises(InputError, match=f"{name}: is missing"):
        water_from({key: value for key, value in LEAST.items() if key != name})


@pytest.mark.parametrize("name", list(BOUNDS))
@pytest.mark.parametrize(
    "value",
    [None, True, "7.4", "", [], {}, float("nan"), float("inf"), -float("inf"), -1, 10**400, 1e300],
)
def test_what_is_no_number_in_its_range_is_refused_by_name(name: str, value: Any) -> None:
    with pytest.raises(InputError) as raised:
        water_from({**LEAST, name: value})
    assert raised.value.field == name


def test_an_unknown_key_is_refused_by_name() -> None:
    with pytest.raises(InputError, match="pH: not known; known: ph, "):
        water_from({**LEAST, "pH": 7.4})


@pytest.mark.parametrize("given", [None, [], "water", 7.4, True])
def test_what_is_no_object_is_refused(given: Any) -> None:
    with pytest.raises(InputError, match="object"):
        water_from(given)


def test_readings_that_cannot_all_be_right_have_no_numbers() -> None:
    answer = told(cyanuric_acid_mg_l=100, total_alkalinity_mg_l=10, ph=7.6)
    assert ids(answer) == {"readings-cannot-all-be-right"}
    numbers = {key: value for key, value in answer.items() if not isinstance(value, list)}
    assert set(numbers.values()) == {None}


def test_the_lower_estimate_stands_beside_the_default() -> None:
    answer = told(**STABILISED)
    assert 0.6 < answer["hocl_low_mg_l"] / answer["hocl_mg_l"] < 0.7
    assert ids(answer) == {"hocl-is-an-estimate"}
    assert "never HOCl" in answer["findings"][0]["do"]


def test_without_stabiliser_the_two_are_one() -> None:
    answer = told(free_chlorine_mg_l=2, calcium_hardness_mg_l=200)
    assert answer["hocl_low_mg_l"] == answer["hocl_mg_l"]
    assert answer["findings"] == []


@pytest.mark.parametrize(("temperature_c", "said"), [(4.9, True), (20, False), (36, True)])
def test_outside_their_range_the_cyanurate_constants_are_said_to_be(
    temperature_c: float, said: bool
) -> None:
    answer = told(**{**STABILISED, "temperature_c": temperature_c})
    assert ("cyanurate-extrapolated" in ids(answer)) is said


def test_without_calcium_the_index_is_null_and_said() -> None:
    answer = told()
    assert answer["saturation_index"] is None
    assert answer["handbook_index"] is None
    assert "no-calcium" in ids(answer)


def test_salt_beyond_the_activity_model_is_said() -> None:
    assert "beyond-the-activity-model" in ids(told(salt_mg_l=35000, calcium_hardness_mg_l=200))
    assert "beyond-the-activity-model" not in ids(told(salt_mg_l=6000, calcium_hardness_mg_l=200))


def test_water_that_would_fizz_is_doubted() -> None:
    answer = told(ph=4.6, total_alkalinity_mg_l=100, calcium_hardness_mg_l=200)
    assert "more-carbon-dioxide-than-water-holds" in ids(answer)


def test_the_handbooks_index_stands_beside_the_computed_one() -> None:
    answer = told(calcium_hardness_mg_l=200, salt_mg_l=300, free_chlorine_mg_l=1)
    assert answer["handbook_index"] == pytest.approx(-0.119, abs=0.001)
    stabilised = told(**STABILISED)
    assert stabilised["handbook_index_corrected"] < stabilised["handbook_index"]
    assert (
        told(cyanuric_acid_mg_l=270, total_alkalinity_mg_l=90, calcium_hardness_mg_l=200, ph=7)[
            "handbook_index_corrected"
        ]
        is None
    )


def test_magnesium_is_taken_where_it_is_known_and_not_asked_for() -> None:
    without = told(**STABILISED)
    known = told(**STABILISED, magnesium_mg_l=50)
    assert known["saturation_index"] < without["saturation_index"]
    assert "magnesium_mg_l" not in without["assumed_zero"]
