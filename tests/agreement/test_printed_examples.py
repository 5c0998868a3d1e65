"""Worked examples that others printed, each with what it prints and how precisely."""

from __future__ import annotations

import math

import pytest

from lanewater.chemistry.handbook import handbook_index, temperature_factor
from lanewater.chemistry.products import PRODUCTS
from lanewater.chemistry.strengths import grams_active
from lanewater.chemistry.water import describe, water_from
from lanewater.kernel.water.additions import add_product, use_up_chlorine
from lanewater.kernel.water.calcite import precipitation
from lanewater.kernel.water.constants import water_constants
from lanewater.kernel.water.equilibrium import solve_totals
from lanewater.kernel.water.saturation import F_PH, F_SATURATION_INDEX, figures_of_totals
from lanewater.kernel.water.slots import (
    C_CYANURIC,
    C_PAIRS,
    C_SOLID,
    S_LN_PROTON,
    SOLVED,
    T_CYANURATE,
    T_HYPOCHLORITE,
)
from lanewater.kernel.water.units import LN_10, mol_of_product
from lanewater.service.constants import load_constants

# DIN 38404-10:1995, table 6, as reproduced at aqion.de: pH0 at T, evaluated at Tb; mmol/L.
DIN_WATERS = {
    "1": (10, 6.680, 3.50, 0.75, 2.05 + 0.15, 2.50 + 0.50, 1.20, 6.98, 7.07, -0.15, 0.20),
    "2": (11, 1.661, 1.24, 0.41, 0.90 + 0.07, 0.90 + 0.55, 0.58, 8.25, 8.00, 0.27, -0.03),
    "3": (5.5, 2.456, 1.22, 0.35, 0.15 + 0.05, 0.16 + 0.07, 0.35, 8.05, 7.90, 0.17, -0.03),
    "4": (12, 0.941, 0.57, 0.10, 0.21 + 0.02, 0.34 + 0.08, 0.10, 8.47, 8.46, 0.01, 0.00),
    "5": (10, 0.329, 0.30, 0.15, 0.30 + 0.05, 0.30 + 0.20, 0.20, 9.08, 9.22, -0.15, 0.01),
}


@pytest.mark.parametrize("name", DIN_WATERS)
def test_the_din_waters_come_out_as_printed(name: str) -> None:
    at, carbon, calcium, magnesium, sodium, chloride, sulfate, *printed = DIN_WATERS[name]
    ph, ph_at_saturation, index, dissolves = printed
    # Potassium counts as sodium and nitrate as chloride; the charge gives the alkalinity.
    alkalinity = sodium + 2 * calcium + 2 * magnesium - chloride - 2 * sulfate
    ions = (alkalinity, carbon, calcium, magnesium, 0, 0, 0, sodium, chloride, sulfate)
    totals = tuple(value / 1000 for value in ions)
    k = load_constants()
    status, figures = figures_of_totals(k, at, totals)
    assert status == SOLVED
    assert figures[F_PH] == pytest.approx(ph, abs=0.03)
    assert figures[F_SATURATION_INDEX] == pytest.approx(index, abs=0.03)
    c = water_constants(k, at)
    status, taken, end = precipitation(c, totals, solve_totals(c, totals)[1])
    assert status == SOLVED
    assert -end[S_LN_PROTON] / LN_10 == pytest.approx(ph_at_saturation, abs=0.03)
    assert -taken * 1000 == pytest.approx(dissolves, abs=0.03)


def test_plummer_and_busenberg_at_25_degrees() -> None:
    # Plummer and Busenberg (1982), abstract: calcite -8.480 +/- 0.020, CaHCO3+ 1.11 +/- 0.07,
    # CaCO3 3.22 +/- 0.14.
    c = water_constants(load_constants(), 25.0)
    assert math.log10(c[C_SOLID][0]) == pytest.approx(-8.480, abs=0.001)
    second = c[C_SOLID][3]
    assert math.log10(c[C_PAIRS][0] * second) == pytest.approx(1.11, abs=0.01)
    assert math.log10(c[C_PAIRS][1]) == pytest.approx(3.22, abs=0.01)


def test_the_first_cyanurate_ion_doubles_from_5_to_35_degrees_at_ph_7() -> None:
    # Wahman (2018), abstract: the fraction of H2Cy- at pH 7 "effectively doubles".
    def share(temperature_c: float) -> float:
        first = water_constants(load_constants("WA2019"), temperature_c)[C_CYANURIC][0]
        return 1 / (1 + 1e-7 / first)

    assert share(5) == pytest.approx(0.291, abs=0.001)
    assert share(35) == pytest.approx(0.626, abs=0.001)
    assert share(35) / share(5) == pytest.approx(2.15, abs=0.01)


@pytest.mark.parametrize(
    ("product", "printed"),
    [("sodium-dichloroisocyanurate", 0.89), ("trichloroisocyanuric-acid", 0.59)],
)
def test_isocyanurates_bring_the_printed_cyanurate_a_chlorine(product: str, printed: float) -> None:
    # Wahman and Alexander (2019): mg of C3N3O3 a mg of Cl2.
    after = add_product((0.0,) * 10, PRODUCTS[product].index, 1.0, 0.0)
    ring = 126.05 * after[T_CYANURATE] / (70.906 * after[T_HYPOCHLORITE])
    assert ring == pytest.approx(printed, abs=0.005)


@pytest.mark.parametrize(
    ("alkalinity", "ph", "calcium", "fahrenheit", "printed"),
    [(50, 7.0, 200, 76, -0.9), (75, 7.6, 300, 84, 0.2), (150, 8.0, 400, 94, 1.1)],
)
def test_the_factor_method_gives_the_course_problems(
    alkalinity: float, ph: float, calcium: float, fahrenheit: float, printed: float
) -> None:
    # Operator-course sample problems on a public course page; answers to 0.1.
    index = handbook_index(ph, (fahrenheit - 32) / 1.8, calcium, alkalinity, 500)
    assert index is not None
    assert round(index + 1e-9, 1) == printed


def test_the_factor_table_is_the_printed_one() -> None:
    # A state's administrative rule; misprinted copies are about, so both columns are pinned.
    calcium = {5: 0.3, 25: 1.0, 50: 1.3, 75: 1.5, 100: 1.6, 150: 1.8, 200: 1.9, 300: 2.1}
    calcium |= {400: 2.2, 800: 2.5, 1000: 2.6}
    for hardness, factor in calcium.items():
        assert math.log10(hardness) - 0.4 == pytest.approx(factor, abs=0.05)
    for fahrenheit, factor in ((32, 0.0), (60, 0.4), (84, 0.7), (105, 0.9), (128, 1.0)):
        assert temperature_factor((fahrenheit - 32) / 1.8) == pytest.approx(factor, abs=1e-9)
    assert temperature_factor(54.0) is None
    assert temperature_factor(-1.0) is None


def carbonate_alkalinity(**readings: float) -> float:
    water = water_from({"temperature_c": 25.0, "salt_mg_l": 300.0, **readings})
    answer = describe(load_constants(), load_constants("WA2019"), water)
    return float(answer["carbonate_alkalinity_mg_l"])


@pytest.mark.parametrize(
    ("ph", "printed"),
    [(7.0, 0.23), (7.2, 0.27), (7.4, 0.31), (7.6, 0.33), (7.8, 0.35), (8.0, 0.36)],
)
def test_the_cyanurate_factor_is_the_trades(ph: float, printed: float) -> None:
    # A trade table of what a mg/L of cyanuric acid holds of the alkalinity, to 0.01.
    held = 120 - carbonate_alkalinity(
        ph=ph, total_alkalinity_mg_l=120.0, calcium_hardness_mg_l=250.0, cyanuric_acid_mg_l=100.0
    )
    assert held / 100 == pytest.approx(printed, abs=0.0065)


def test_the_printed_cyanurate_correction() -> None:
    # The same article: pH 7.2, alkalinity 120, cyanuric acid 100 leave 93, with the factor 0.27.
    left = carbonate_alkalinity(
        ph=7.2, total_alkalinity_mg_l=120.0, calcium_hardness_mg_l=250.0, cyanuric_acid_mg_l=100.0
    )
    assert left == pytest.approx(93, abs=1)


def test_the_printed_borate_factor_is_too_high() -> None:
    # Service Industry News (2021): 50 mg/L of boron at pH 7.6 hold 8 of 100 (factor 0.17). The
    # equilibrium holds 6; the difference is said in docs/explanation/trust-water.md.
    left = carbonate_alkalinity(
        ph=7.6, total_alkalinity_mg_l=100.0, calcium_hardness_mg_l=250.0, boron_mg_l=50.0
    )
    assert left == pytest.approx(94, abs=0.3)


def test_the_armys_batch_needs_a_quarter_of_a_pound() -> None:
    # US Army MD0160: 3000 gal are 25,020 lb; 7 ppm of 70 % hypochlorite. 0.175 lb of chlorine.
    water_lb = 3000 * 8.34
    chlorine_lb = water_lb * 7e-6
    grams = grams_active(
        PRODUCTS["calcium-hypochlorite"],
        {"amount": chlorine_lb / 0.70, "unit": "lb", "strength_percent_w_w": 70},
    )
    assert water_lb == pytest.approx(25020)
    assert chlorine_lb / 0.70 == pytest.approx(0.25, abs=0.001)
    assert grams / (3000 * 3.785411784) * 1000 == pytest.approx(7, abs=0.02)


def test_neutralisers_use_up_chlorine_by_their_stoichiometry() -> None:
    # AWWA pipeline guide prints stoichiometry times 1.10: sulfite 1.96 g a g of chlorine.
    sulfite = PRODUCTS["sodium-sulfite"].molar_mass_g_mol / 70.906
    assert sulfite * 1.10 == pytest.approx(1.96, abs=0.01)
    thiosulfate = PRODUCTS["sodium-thiosulfate"].molar_mass_g_mol / (4 * 70.906)
    assert thiosulfate == pytest.approx(0.557, abs=0.001)
    start = (2e-3, 2e-3, 1e-3, 0.0, 0.0, 0.0, 1e-4, 2e-3, 2e-3, 0.0)
    for product, mol in (("sodium-sulfite", 1e-4), ("sodium-thiosulfate", 0.25e-4)):
        after = add_product(start, PRODUCTS[product].index, mol, 0.0)
        assert after[T_HYPOCHLORITE] == pytest.approx(0.0, abs=1e-12)


def test_hypochlorite_of_120_g_l_is_10_37_percent_by_weight() -> None:
    # White (1972) by way of a public reprint: 120 g/L of available chlorine, SG 1.157.
    product = PRODUCTS["sodium-hypochlorite"]
    by_volume = grams_active(product, {"amount": 1, "unit": "L", "strength_g_l": 120})
    by_weight = grams_active(
        product,
        {"amount": 1, "unit": "L", "strength_percent_w_w": 12.0 / 1.157, "density_kg_l": 1.157},
    )
    assert by_volume == pytest.approx(by_weight)
    assert 100 * by_volume / 1157 == pytest.approx(10.37, abs=0.005)


@pytest.mark.parametrize(
    ("product", "grams", "alkalinity_mg_l", "calcium_mg_l"),
    [
        ("sodium-bicarbonate", 1679, 10, 0),
        ("sodium-carbonate", 1059, 10, 0),
        ("sodium-bisulfate", 2400, -10, 0),
        ("calcium-chloride", 1109, 0, 10),
    ],
)
def test_masses_for_ten_mg_l_in_a_hundred_cubic_metres(
    product: str, grams: float, alkalinity_mg_l: float, calcium_mg_l: float
) -> None:
    index = PRODUCTS[product].index
    after = add_product((0.0,) * 10, index, mol_of_product(index, grams) / 1e5, 0.0)
    assert after[0] * 50043.5 == pytest.approx(alkalinity_mg_l, abs=0.01)
    assert after[2] * 100087 == pytest.approx(calcium_mg_l, abs=0.01)


def test_hypochlorite_used_up_leaves_only_its_caustic() -> None:
    start = (2e-3, 2e-3, 1e-3, 0.0, 0.0, 0.0, 0.0, 2e-3, 2e-3, 0.0)
    after = add_product(start, PRODUCTS["sodium-hypochlorite"].index, 1e-4, 0.08)
    used = use_up_chlorine(after, 1e-4)
    assert used[0] - start[0] == pytest.approx(0.08e-4)
    assert used[T_HYPOCHLORITE] == pytest.approx(0.0, abs=1e-15)
