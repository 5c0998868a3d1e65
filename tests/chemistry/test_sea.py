"""What `calc water` says of sea water, and what it refuses beside salinity."""

from __future__ import annotations

from typing import Any

import pytest

from lanewater.chemistry.sea import BOUNDS, MORE, NOT_BESIDE, describe_sea, sea_from
from lanewater.chemistry.water import ANSWER
from lanewater.service.constants import load_table
from lanewater.terms.errors import InputError

SEA = {
    "ph": 7.5,
    "temperature_c": 28.0,
    "total_alkalinity_mg_l": 120.0,
    "salinity_g_kg": 35.0,
}
OF_CHLORINE = ("hocl_mg_l", "hocl_low_mg_l", "ocl_mg_l", "cyanurate_alkalinity_mg_l")


def told(**also: Any) -> dict[str, Any]:
    return describe_sea(load_table("sea"), sea_from({**SEA, **also}))


def ids(answer: dict[str, Any]) -> list[str]:
    return [found["id"] for found in answer["findings"]]


def test_sea_water_has_no_hocl_and_is_bromine_water() -> None:
    answer = told(free_chlorine_mg_l=3.0)
    assert [answer[name] for name in OF_CHLORINE] == [None] * 4
    assert ids(answer) == ["sea-water-is-bromine-water"]


def test_every_key_of_every_water_is_there() -> None:
    assert set(told()) == {*ANSWER, *MORE, "assumed_zero", "findings"}


def test_the_figures_are_a_litre_of_sea_water() -> None:
    answer = told()
    # Facts W02 with 120 a kilogram of water is 0.158; a litre of sea water weighs 1.022 kg.
    assert answer["saturation_index"] == pytest.approx(0.164, abs=0.002)
    assert answer["sea_salt_calcium_hardness_mg_l"] == pytest.approx(1052, abs=1)
    parts = ("carbonate_alkalinity_mg_l", "borate_alkalinity_mg_l", "water_alkalinity_mg_l")
    assert sum(answer[part] for part in parts) == pytest.approx(120.0)
    assert answer["dic_mmol_l"] == pytest.approx(2.375, abs=0.001)


def test_calcium_comes_by_salinity_and_a_reading_beside_it_is_named() -> None:
    plain, read = told(), told(calcium_hardness_mg_l=6400.0 / 2)
    assert read["saturation_index"] == plain["saturation_index"]
    assert "calcium-by-salinity" in ids(read)
    why = next(one["why"] for one in read["findings"] if one["id"] == "calcium-by-salinity")
    assert "1052" in why
    assert "6457" in why
    assert "3200" in why


@pytest.mark.parametrize("name", NOT_BESIDE)
def test_what_salinity_says_or_the_sea_has_not_is_refused_beside_it(name: str) -> None:
    with pytest.raises(InputError, match=name):
        sea_from({**SEA, name: 30.0})
    assert sea_from({**SEA, name: 0}) == sea_from(SEA)


@pytest.mark.parametrize("name", BOUNDS)
def test_every_reading_is_wanted_and_bounded(name: str) -> None:
    with pytest.raises(InputError, match=name):
        sea_from({key: value for key, value in SEA.items() if key != name})
    with pytest.raises(InputError, match=name):
        sea_from({**SEA, name: BOUNDS[name][1] + 1})


def test_an_unknown_key_is_refused() -> None:
    with pytest.raises(InputError, match="bromide"):
        sea_from({**SEA, "bromide": 65})


@pytest.mark.parametrize(("name", "value"), [("salinity_g_kg", 10.0), ("temperature_c", 38.0)])
def test_beyond_the_measured_range_it_is_extrapolated(name: str, value: float) -> None:
    assert "sea-water-extrapolated" in ids(told(**{name: value}))
    assert "sea-water-extrapolated" not in ids(told())


def test_readings_that_cannot_all_be_right_give_no_figure() -> None:
    answer = told(ph=9.0, total_alkalinity_mg_l=5.0)
    assert "readings-cannot-all-be-right" in ids(answer)
    assert {answer[name] for name in (*ANSWER, *MORE)} == {None}
