"""Thiosulfate by its other road: half a chlorine a mol, and caustic instead of acid."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lanewater.kernel.water.additions import (
    P_BORAX,
    P_SODIUM_SULFITE,
    P_SODIUM_THIOSULFATE,
    add_product,
)
from lanewater.kernel.water.equilibrium import ph_of_totals, totals_of_reading
from lanewater.kernel.water.neutralising import add_to_tetrathionate, first_portion, reducer_for
from lanewater.kernel.water.slots import (
    SOLVED,
    T_ALKALINITY,
    T_CALCIUM,
    T_CHLORIDE,
    T_HYPOCHLORITE,
    T_MAGNESIUM,
    T_SODIUM,
    T_SULFATE,
)
from lanewater.kernel.water.units import CHLORINE, PRODUCT_GRAMS
from lanewater.service.constants import load_constants

READING = (7.5, 28.0, 100.0, 250.0, 0.0, 0.0, 500.0, 0.0, 10.0, 0.0)
K = load_constants()
START = totals_of_reading(K, READING)[1]


def charge(totals: tuple[float, ...]) -> float:
    positive = totals[T_SODIUM] + 2 * (totals[T_CALCIUM] + totals[T_MAGNESIUM])
    return positive - totals[T_CHLORIDE] - 2 * totals[T_SULFATE] - totals[T_ALKALINITY]


@pytest.mark.parametrize("mol_l", [0.0, 1e-6, 1e-4, 1e-3])
def test_the_other_road_keeps_the_charge_and_takes_no_more_than_there_is(mol_l: float) -> None:
    after = add_to_tetrathionate(START, mol_l)
    assert charge(after) == pytest.approx(charge(START), abs=1e-14)
    assert after[T_HYPOCHLORITE] >= 0
    taken = START[T_HYPOCHLORITE] - after[T_HYPOCHLORITE]
    assert taken == pytest.approx(min(mol_l / 2, START[T_HYPOCHLORITE]))
    assert after[T_ALKALINITY] - START[T_ALKALINITY] == pytest.approx(taken, abs=1e-16)


@pytest.mark.parametrize(("road", "grams"), [(0, 0.557), (1, 4.46)])
def test_a_gram_of_chlorine_wants_eight_times_as_much_by_the_other_road(
    road: int, grams: float
) -> None:
    mol = reducer_for(P_SODIUM_THIOSULFATE, 1 / CHLORINE)[road]
    assert mol * PRODUCT_GRAMS[P_SODIUM_THIOSULFATE] == pytest.approx(grams, abs=0.005)


@pytest.mark.parametrize(("road", "grams"), [(0, 0.875), (1, 7.00)])
def test_as_pentahydrate_it_is_the_printed_range(road: int, grams: float) -> None:
    assert reducer_for(P_SODIUM_THIOSULFATE, 1 / CHLORINE)[road] * 248.17 == pytest.approx(
        grams, abs=0.005
    )


def test_the_two_roads_move_the_ph_to_opposite_sides() -> None:
    mol_l = START[T_HYPOCHLORITE] / 8
    figures = [
        ph_of_totals(K, 28.0, totals)
        for totals in (
            add_product(START, P_SODIUM_THIOSULFATE, mol_l, 0.0),
            add_to_tetrathionate(START, mol_l),
        )
    ]
    assert [status for status, _ in figures] == [SOLVED, SOLVED]
    assert figures[0][1] < 7.5 - 0.05
    assert figures[1][1] > 7.5


def test_a_first_portion_cannot_take_more_than_a_quarter_by_any_road() -> None:
    for product in (P_SODIUM_THIOSULFATE, P_SODIUM_SULFITE):
        after = add_product(START, product, first_portion(product, START[T_HYPOCHLORITE]), 0.0)
        assert after[T_HYPOCHLORITE] == pytest.approx(0.75 * START[T_HYPOCHLORITE])
    mol_l = first_portion(P_SODIUM_THIOSULFATE, START[T_HYPOCHLORITE])
    assert add_to_tetrathionate(START, mol_l)[T_HYPOCHLORITE] > 0.96 * START[T_HYPOCHLORITE]


def test_what_takes_no_chlorine_has_no_portion() -> None:
    with pytest.raises(ValueError, match="takes chlorine"):
        first_portion(P_BORAX, 1e-5)


@settings(deadline=None)
@given(st.tuples(*[st.floats(0, 1e-2)] * 10), st.floats(0, 1e-2))
def test_no_road_takes_more_chlorine_than_there_is(totals: tuple[float, ...], mol_l: float) -> None:
    others = add_product(totals, P_SODIUM_THIOSULFATE, mol_l, 0.0)
    for after in (add_to_tetrathionate(totals, mol_l), others):
        assert after[T_HYPOCHLORITE] >= 0
        taken = totals[T_HYPOCHLORITE] - after[T_HYPOCHLORITE]
        assert after[T_CHLORIDE] - totals[T_CHLORIDE] == pytest.approx(taken, abs=1e-15)
        assert charge(after) == pytest.approx(charge(totals), abs=1e-14)
