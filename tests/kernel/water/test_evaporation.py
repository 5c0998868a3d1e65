"""Evaporation by published forms, at the worked point of the fact base and around it."""

from __future__ import annotations

import pytest

from lanewater.kernel.water.evaporation import (
    quiet_evaporation,
    transferred_evaporation,
    used_evaporation,
    vapour_pressure,
)
from lanewater.service.constants import load_table

PLANT = load_table("plant")
ROOM = (28.0, 30.0, 60.0)


def test_vapour_over_water_at_28_c_presses_3_77_kpa() -> None:
    assert vapour_pressure(PLANT, 28.0) == pytest.approx(3774, abs=5)


def test_the_forms_give_what_was_worked_out_beside_them() -> None:
    # 28 C water, 30 C air, 60 %: 0.062 by Shah, 0.089 and 0.177 in still air, 0.062 and 0.247.
    assert quiet_evaporation(PLANT, *ROOM)[0] == pytest.approx(0.062, abs=0.001)
    found = transferred_evaporation(PLANT, *ROOM, 1.5)
    assert found == pytest.approx((0.089, 0.177, 0.062, 0.247), abs=0.001)


def test_air_that_rises_from_the_water_carries_more_than_the_pressure_alone() -> None:
    quiet, lift = quiet_evaporation(PLANT, 28.0, 22.0, 50.0)
    assert lift > 0
    assert quiet > 5e-5 * (vapour_pressure(PLANT, 28.0) - vapour_pressure(PLANT, 22.0) / 2)


def test_people_in_it_raise_it_and_few_of_them_less() -> None:
    none, few, least, many = (
        used_evaporation(PLANT, *ROOM, people) for people in (0.0, 0.025, 0.05, 0.2)
    )
    assert none == quiet_evaporation(PLANT, *ROOM)[0]
    assert few == pytest.approx((none + least) / 2)
    assert least < many
    lift = quiet_evaporation(PLANT, *ROOM)[1]
    assert many / none == pytest.approx(1.9 - 21 * lift + 5.3 * 0.2)


def test_air_wetter_than_the_water_takes_nothing_up() -> None:
    assert quiet_evaporation(PLANT, 15.0, 35.0, 100.0)[0] == 0.0
    assert transferred_evaporation(PLANT, 15.0, 35.0, 100.0, 1.5) == (0.0, 0.0, 0.0, 0.0)


def test_a_shallow_public_pool_gives_more_by_40_to_28() -> None:
    deep, shallow = (transferred_evaporation(PLANT, *ROOM, depth)[3] for depth in (1.36, 1.35))
    assert shallow / deep == pytest.approx(40 / 28)
