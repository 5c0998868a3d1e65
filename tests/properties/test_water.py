"""What must hold of every water: it round-trips, moves the right way, and loses nothing."""

from __future__ import annotations

import math

import pytest
from benchmarks.random_waters import campaign
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from lanewater.chemistry.water import BOUNDS, describe, water_from
from lanewater.kernel.water import saturation as figure
from lanewater.kernel.water.additions import (
    P_HYDROCHLORIC_ACID,
    P_SODIUM_CARBONATE,
    STOICHIOMETRY,
    add_product,
    use_up_chlorine,
)
from lanewater.kernel.water.equilibrium import ph_of_totals, totals_of_reading
from lanewater.kernel.water.slots import (
    INCONSISTENT,
    SOLVED,
    T_ALKALINITY,
    T_CALCIUM,
    T_CHLORIDE,
    T_MAGNESIUM,
    T_SODIUM,
    T_SULFATE,
)
from lanewater.service.constants import load_constants

# A loaded machine is no fault of the water's.
holds = settings(deadline=None)

K = load_constants()
K_LOW = load_constants("WA2019")


def some(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False).map(lambda value: round(value, 3))


READINGS = st.tuples(
    some(4.5, 10.5),
    some(5, 45),
    some(1, 500),
    st.one_of(st.just(0.0), some(0.1, 1500)),
    st.one_of(st.just(0.0), some(0.1, 400)),
    st.one_of(st.just(0.0), some(0.1, 120)),
    some(0, 20000),
    st.one_of(st.just(0.0), some(0.1, 2500)),
    st.one_of(st.just(0.0), some(0.01, 30)),
    st.one_of(st.just(0.0), some(0.1, 100)),
)


def solved(reading: tuple[float, ...]) -> tuple[float, ...]:
    """Give the totals of a reading, where there is such a water."""
    status, totals = totals_of_reading(K, reading)
    assert status in {SOLVED, INCONSISTENT}
    assume(status == SOLVED)
    return totals


def ph_of(temperature_c: float, totals: tuple[float, ...]) -> float:
    status, ph = ph_of_totals(K, temperature_c, totals)
    assert status == SOLVED
    return ph


@holds
@given(READINGS)
def test_totals_lead_back_to_the_reading(reading: tuple[float, ...]) -> None:
    assert ph_of(reading[1], solved(reading)) == pytest.approx(reading[0], abs=1e-7)


@holds
@given(READINGS, some(1e-3, 1))
def test_acid_lowers_ph_and_carbonate_raises_it(reading: tuple[float, ...], mmol_l: float) -> None:
    # Soda ash pushes towards the pH of its own solution, above ten; below that it raises.
    totals = solved(reading)
    before = ph_of(reading[1], totals)
    acid = add_product(totals, P_HYDROCHLORIC_ACID, mmol_l / 1000, 0.0)
    assert ph_of(reading[1], acid) < before
    assume(before < 9)
    soda = add_product(totals, P_SODIUM_CARBONATE, mmol_l / 1000, 0.0)
    assert ph_of(reading[1], soda) > before


@holds
@given(READINGS, some(0.1, 30), some(0.05, 0.5))
def test_less_chlorine_stays_as_hocl_where_the_ph_is_higher(
    drawn: tuple[float, ...], chlorine: float, rise: float
) -> None:
    reading = (*drawn[:4], 0.0, *drawn[5:8], chlorine, drawn[9])
    status, low = figure.hocl_of_reading(K, reading)
    higher = (reading[0] + rise, *reading[1:])
    other_status, high = figure.hocl_of_reading(K, higher)
    assume(status == other_status == SOLVED)
    assert high < low


@holds
@given(READINGS, some(1, 200))
def test_more_calcium_is_nearer_to_saturation(reading: tuple[float, ...], calcium: float) -> None:
    solved(reading)
    harder = (*reading[:3], reading[3] + calcium, *reading[4:])
    status, before = figure.figures_of_reading(K, reading)
    other_status, after = figure.figures_of_reading(K, harder)
    assume(status == other_status == SOLVED)
    assert after[figure.F_SATURATION_INDEX] > before[figure.F_SATURATION_INDEX]


@holds
@given(READINGS)
def test_index_and_precipitate_have_the_same_sign(reading: tuple[float, ...]) -> None:
    solved(reading)
    status, figures = figure.figures_of_reading(K, reading)
    assert status == SOLVED
    index, precipitate = figures[figure.F_SATURATION_INDEX], figures[figure.F_CCPP]
    if abs(index) > 1e-4:
        assert math.copysign(1, precipitate) == math.copysign(1, index)


@holds
@given(READINGS, st.integers(0, len(STOICHIOMETRY) - 1), some(0, 2), some(0, 0.5))
def test_no_addition_breaks_the_charge(
    reading: tuple[float, ...], product: int, mmol_l: float, caustic: float
) -> None:
    totals = use_up_chlorine(add_product(solved(reading), product, mmol_l / 1000, caustic), 1e-5)
    positive = totals[T_SODIUM] + 2 * (totals[T_CALCIUM] + totals[T_MAGNESIUM])
    negative = totals[T_CHLORIDE] + 2 * totals[T_SULFATE] + totals[T_ALKALINITY]
    assert positive == pytest.approx(negative, rel=1e-12, abs=1e-14)
    assert all(total >= 0 for index, total in enumerate(totals) if index != T_ALKALINITY)
    assert totals[T_CALCIUM] >= 0


@holds
@given(READINGS)
def test_the_parts_make_the_whole(reading: tuple[float, ...]) -> None:
    solved(reading)
    _status, figures = figure.figures_of_reading(K, reading)
    parts = figures[figure.F_CARBONATE_ALKALINITY] + sum(
        figures[figure.F_CYANURATE_ALKALINITY : figure.F_WATER_ALKALINITY + 1]
    )
    assert parts == pytest.approx(reading[2], abs=1e-5 * max(reading[2], 1))
    unbound = figures[figure.F_HOCL] + figures[figure.F_OCL]
    assert unbound <= reading[8] * (1 + 1e-8)


@holds
@given(st.fixed_dictionaries({name: some(low, high) for name, (low, high) in BOUNDS.items()}))
def test_inside_the_bounds_there_is_always_an_answer(question: dict[str, float]) -> None:
    answer = describe(K, K_LOW, water_from(question))
    for value in answer.values():
        assert value is None or isinstance(value, list) or math.isfinite(value)
    ids = {found["id"] for found in answer["findings"]}
    assert (answer["dic_mmol_l"] is None) == ("readings-cannot-all-be-right" in ids)
    assert "not-solved" not in ids


def test_two_thousand_random_waters_all_hold() -> None:
    # The recorded campaign over 200,000 is benchmarks/random_waters.py.
    consistent, inconsistent, failures = campaign(2000, seed=7)
    assert failures == []
    assert consistent > 1500
    assert inconsistent > 50
