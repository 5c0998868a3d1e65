"""The amount found really brings the water to its target; where none does, it is said."""

from __future__ import annotations

import pytest

from lanewater.kernel.water.additions import (
    P_BORAX,
    P_CALCIUM_CHLORIDE,
    P_CARBON_DIOXIDE,
    P_CYANURIC_ACID,
    P_HYDROCHLORIC_ACID,
    P_SODIUM_BICARBONATE,
    P_SODIUM_CARBONATE,
    P_SODIUM_HYPOCHLORITE,
    P_SODIUM_THIOSULFATE,
    add_product,
)
from lanewater.kernel.water.constants import water_constants
from lanewater.kernel.water.equilibrium import totals_of_reading
from lanewater.kernel.water.search import (
    Q_ALKALINITY,
    Q_CALCIUM,
    Q_CYANURIC_ACID,
    Q_FREE_CHLORINE,
    Q_PH,
    SEARCH_FOUND,
    SEARCH_NO_WATER,
    SEARCH_NOT_NEEDED,
    SEARCH_OUT_OF_REACH,
    amount_to_reach,
    quantity_of,
)
from lanewater.service.constants import load_constants

READING = (7.8, 27.0, 100.0, 250.0, 50.0, 0.0, 500.0, 0.0, 2.0, 0.0)
MOST = 5e-3


def start(reading: tuple[float, ...] = READING) -> tuple[float, ...]:
    return totals_of_reading(load_constants(), reading)[1]


@pytest.mark.parametrize(
    ("product", "quantity", "target"),
    [
        (P_HYDROCHLORIC_ACID, Q_PH, 7.4),
        (P_CARBON_DIOXIDE, Q_PH, 7.2),
        (P_SODIUM_CARBONATE, Q_PH, 8.0),
        (P_BORAX, Q_PH, 8.5),
        (P_SODIUM_HYPOCHLORITE, Q_FREE_CHLORINE, 5.0),
        (P_SODIUM_THIOSULFATE, Q_FREE_CHLORINE, 0.5),
        (P_SODIUM_BICARBONATE, Q_ALKALINITY, 120.0),
        (P_HYDROCHLORIC_ACID, Q_ALKALINITY, 80.0),
        (P_CALCIUM_CHLORIDE, Q_CALCIUM, 300.0),
        (P_CYANURIC_ACID, Q_CYANURIC_ACID, 60.0),
    ],
)
def test_the_amount_found_reaches_the_target(product: int, quantity: int, target: float) -> None:
    k = load_constants()
    status, mol_l = amount_to_reach(k, 27.0, start(), product, 0.05, quantity, target, MOST)
    assert status == SEARCH_FOUND
    assert 0 < mol_l < MOST
    after = add_product(start(), product, mol_l, 0.05)
    assert quantity_of(water_constants(k, 27.0), after, quantity)[1] == pytest.approx(
        target, abs=1e-6
    )


@pytest.mark.parametrize(
    ("alkalinity", "cyanuric", "boron", "mmol_l"),
    [
        (60, 0, 0, 0.064),
        (80, 100, 0, 0.123),
        (100, 0, 0, 0.102),
        (100, 50, 50, 0.223),
        (200, 0, 0, 0.197),
    ],
)
def test_acid_from_7_8_to_7_4_is_what_the_fact_base_needs(
    alkalinity: float, cyanuric: float, boron: float, mmol_l: float
) -> None:
    # Computed with PHREEQC at 27 C and 2 mg/L of chlorine; a fixed chart is wrong by a factor
    # of 0.6 to 3.4 here.
    reading = (7.8, 27.0, alkalinity, 250.0, cyanuric, boron, 500.0, 0.0, 2.0, 0.0)
    status, found = amount_to_reach(
        load_constants(), 27.0, start(reading), P_HYDROCHLORIC_ACID, 0.0, Q_PH, 7.4, MOST
    )
    assert status == SEARCH_FOUND
    assert 1000 * found == pytest.approx(mmol_l, abs=0.002)


def test_no_amount_where_the_water_is_there_already() -> None:
    k = load_constants()
    for product, quantity, target in (
        (P_HYDROCHLORIC_ACID, Q_PH, 8.0),
        (P_SODIUM_CARBONATE, Q_PH, 7.4),
        (P_SODIUM_HYPOCHLORITE, Q_FREE_CHLORINE, 2.0),
        (P_CALCIUM_CHLORIDE, Q_FREE_CHLORINE, 5.0),
    ):
        found = amount_to_reach(k, 27.0, start(), product, 0.05, quantity, target, MOST)
        assert found == (SEARCH_NOT_NEEDED, 0.0)


def test_a_target_beyond_the_largest_amount_is_out_of_reach() -> None:
    k = load_constants()
    found = amount_to_reach(k, 27.0, start(), P_HYDROCHLORIC_ACID, 0.0, Q_PH, 7.0, 1e-5)
    assert found == (SEARCH_OUT_OF_REACH, 1e-5)


def test_a_water_that_cannot_be_has_no_amount() -> None:
    k = load_constants()
    broken = (2e-3, -1e-3, *start()[2:])
    found = amount_to_reach(k, 27.0, broken, P_HYDROCHLORIC_ACID, 0.0, Q_PH, 7.0, MOST)
    assert found == (SEARCH_NO_WATER, 0.0)
