"""A printed dosage chart and a utility's table, against what the water really needs.

Chart: an old retail sheet for 10,000 US gallons, public on the web; its doses take no alkalinity
into account. Table: AWWA pipeline disinfection field guide, table 7-2, as a public page prints it.
"""

from __future__ import annotations

import pytest

from lanewater.chemistry.products import PRODUCTS
from lanewater.chemistry.strengths import grams_active
from lanewater.kernel.water.additions import (
    P_HYDROCHLORIC_ACID,
    P_SODIUM_CARBONATE,
    P_SODIUM_SULFITE,
    P_SODIUM_THIOSULFATE,
    add_product,
)
from lanewater.kernel.water.equilibrium import ph_of_totals, totals_of_reading
from lanewater.kernel.water.neutralising import reducer_for
from lanewater.kernel.water.search import Q_PH, SEARCH_FOUND, amount_to_reach
from lanewater.kernel.water.slots import SOLVED, T_ALKALINITY, T_BORATE, T_CALCIUM, T_CYANURATE
from lanewater.kernel.water.units import PRODUCT_GRAMS, mol_of_product
from lanewater.service.constants import load_constants

K = load_constants()
GALLONS = 10000 * 3.785411784  # L
FL_OZ, OZ = 29.5735295625, 28.349523125
MURIATIC_MOL_ML = 0.3145 * 1.157 / PRODUCT_GRAMS[P_HYDROCHLORIC_ACID]
AS_CACO3 = 50043.5


def water(
    ph: float, alkalinity: float, stabiliser: float = 0.0, boron: float = 0.0
) -> tuple[float, ...]:
    # 27 C, calcium 250, salt 500 and chlorine 2: the pool whose needs were worked out beside it.
    reading = (ph, 27.0, alkalinity, 250.0, stabiliser, boron, 500.0, 0.0, 2.0, 0.0)
    status, totals = totals_of_reading(K, reading)
    assert status == SOLVED
    return totals


@pytest.mark.parametrize(
    ("alkalinity", "stabiliser", "boron", "need", "whole"),
    [
        (60, 0, 0, 0.028, 0.064),
        (80, 0, 0, 0.036, 0.083),
        (80, 100, 0, 0.052, 0.123),
        (100, 0, 0, 0.044, 0.102),
        (100, 50, 0, 0.050, 0.118),
        (100, 0, 50, 0.110, 0.207),
        (120, 0, 0, 0.052, 0.121),
        (150, 0, 0, 0.065, 0.150),
        (200, 0, 0, 0.085, 0.197),
        (200, 50, 50, 0.157, 0.319),
    ],
)
def test_the_acid_that_a_water_needs_is_not_the_charts(
    alkalinity: float, stabiliser: float, boron: float, need: float, whole: float
) -> None:
    for target, expected in ((7.6, need), (7.4, whole)):
        status, mol_l = amount_to_reach(
            K,
            27.0,
            water(7.8, alkalinity, stabiliser, boron),
            P_HYDROCHLORIC_ACID,
            0.0,
            Q_PH,
            target,
            2e-3,
        )
        assert status == SEARCH_FOUND
        assert 1000 * mol_l == pytest.approx(expected, abs=0.0016)
    # 12 fl oz of muriatic acid, the same for every water: 0.6 to 3.4 times the need.
    chart = 12 * FL_OZ * MURIATIC_MOL_ML / GALLONS
    assert 1000 * chart == pytest.approx(0.094, abs=0.001)


@pytest.mark.parametrize(
    ("alkalinity", "stabiliser", "boron", "ends"),
    [
        (60, 0, 0, 6.98),
        (80, 0, 0, 7.10),
        (100, 0, 0, 7.19),
        (120, 0, 0, 7.25),
        (150, 0, 0, 7.33),
        (200, 0, 0, 7.41),
        (60, 100, 0, 7.19),
        (100, 100, 0, 7.31),
        (100, 0, 50, 7.44),
    ],
)
def test_twice_the_charts_acid_ends_anywhere_from_7_to_7_44(
    alkalinity: float, stabiliser: float, boron: float, ends: float
) -> None:
    mol_l = 24 * FL_OZ * MURIATIC_MOL_ML / GALLONS
    after = add_product(water(7.8, alkalinity, stabiliser, boron), P_HYDROCHLORIC_ACID, mol_l, 0.0)
    status, ph = ph_of_totals(K, 27.0, after)
    assert status == SOLVED
    assert ph == pytest.approx(ends, abs=0.02)


@pytest.mark.parametrize(
    ("alkalinity", "stabiliser", "ends"),
    [(60, 0, 7.37), (100, 0, 7.30), (150, 0, 7.26), (100, 100, 7.27)],
)
def test_the_charts_soda_ash_falls_short_of_7_4(
    alkalinity: float, stabiliser: float, ends: float
) -> None:
    mol_l = mol_of_product(P_SODIUM_CARBONATE, 6 * OZ) / GALLONS
    after = add_product(water(7.2, alkalinity, stabiliser), P_SODIUM_CARBONATE, mol_l, 0.0)
    status, ph = ph_of_totals(K, 27.0, after)
    assert status == SOLVED
    assert ph == pytest.approx(ends, abs=0.02)


@pytest.mark.parametrize(
    ("product", "given", "slot", "scale", "printed", "off_percent"),
    [
        ("sodium-bisulfate", {"strength_percent_w_w": 100}, T_ALKALINITY, -AS_CACO3, 2.4, -25),
        ("sodium-bisulfate", {"strength_percent_w_w": 93}, T_ALKALINITY, -AS_CACO3, 2.4, -30),
        ("sodium-bicarbonate", {"strength_percent_w_w": 100}, T_ALKALINITY, AS_CACO3, 2.24, 0),
        ("sodium-bicarbonate", {"strength_percent_w_w": 100}, T_ALKALINITY, AS_CACO3, 2.4, 7),
        (
            "calcium-chloride",
            {"strength_percent_w_w": 100, "form": "dihydrate"},
            T_CALCIUM,
            100087.0,
            2.0,
            2,
        ),
        ("calcium-chloride", {"strength_percent_w_w": 100}, T_CALCIUM, 100087.0, 2.0, 35),
        ("cyanuric-acid", {"strength_percent_w_w": 100}, T_CYANURATE, 129075.0, 1.3, -2.6),
    ],
)
def test_an_ounce_for_each_mg_l_is_off_by_what_was_worked_out(
    product: str,
    given: dict[str, object],
    slot: int,
    scale: float,
    printed: float,
    off_percent: float,
) -> None:
    # The chart's ounces raise (or lower) by so many mg/L; 1 would be right.
    kind = PRODUCTS[product]
    grams = grams_active(kind, {"amount": printed, "unit": "oz-weight", **given})
    after = add_product((0.0,) * 10, kind.index, mol_of_product(kind.index, grams) / GALLONS, 0.0)
    assert 100 * (after[slot] * scale - 1) == pytest.approx(off_percent, abs=0.7)


def test_muriatic_acid_for_alkalinity_is_printed_a_fifth_too_low() -> None:
    # 2.1 fl oz for each mg/L in 10,000 gal, where it takes 2.56.
    lowered = 2.1 * FL_OZ * MURIATIC_MOL_ML / GALLONS * AS_CACO3
    assert 100 * (lowered - 1) == pytest.approx(-18, abs=0.5)


def test_dichlor_and_sulfite_are_printed_close() -> None:
    # 2.25 oz of 55 % dichlor and 2.5 oz of sulfite for 1 mg/L in 10,000 gal (2.43 and 2.37).
    dichlor = PRODUCTS["sodium-dichloroisocyanurate"]
    ounces = {"amount": 2.25, "unit": "oz-weight", "strength_percent_w_w": 55}
    raised = grams_active(dichlor, ounces) / GALLONS * 1000
    assert raised == pytest.approx(1 - 0.07, abs=0.005)
    sulfite = reducer_for(P_SODIUM_SULFITE, GALLONS / 1000 / 70.906)[0]
    assert sulfite * PRODUCT_GRAMS[P_SODIUM_SULFITE] / OZ == pytest.approx(2.37, abs=0.005)


def test_the_field_guides_thiosulfate_lies_between_the_two_roads() -> None:
    # 1.9 mg for each mg of chlorine at pH 7, where the roads want 0.557 and 4.46.
    least, most = (
        mol * PRODUCT_GRAMS[P_SODIUM_THIOSULFATE]
        for mol in reducer_for(P_SODIUM_THIOSULFATE, 1 / 70.906)
    )
    assert least < 1.9 < most


def test_ten_mg_l_of_boron_want_what_was_worked_out() -> None:
    # Per 100 m3: boric acid 5.72 kg, or borax decahydrate 8.82 kg with 46.3 eq of acid.
    for product, kilograms, form, acid in (
        ("boric-acid", 5.72, "anhydrous", 0.0),
        ("borax", 8.82, "decahydrate", 46.3),
    ):
        kind = PRODUCTS[product]
        entry = {"amount": kilograms, "unit": "kg", "strength_percent_w_w": 100, "form": form}
        mol_l = mol_of_product(kind.index, grams_active(kind, entry)) / 1e5
        after = add_product((0.0,) * 10, kind.index, mol_l, 0.0)
        assert after[T_BORATE] * 10810 == pytest.approx(10, abs=0.01)
        assert after[T_ALKALINITY] * 1e5 == pytest.approx(acid, abs=0.05)
