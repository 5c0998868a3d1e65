"""Contact times beside the printed table of the US EPA and beside an open implementation of it.

data/epa_ct3log_giardia_free_chlorine.csv is Table B-1 of US EPA 815-R-20-003 (June 2020).
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from py_disinfection import estimation, tables

from lanewater.kernel.water.contacttime import (
    ct_at_temperature,
    giardia_ct,
    giardia_ct_regressed,
    virus_ct,
)
from lanewater.kernel.water.contacttimeslots import (
    CT_GIARDIA_CHLORAMINE,
    CT_GIARDIA_CHLORINE_DIOXIDE,
    CT_GIARDIA_TABLE,
    CT_GIARDIA_WARM,
    CT_GIARDIA_WARM_OTHER,
    CT_STEP_TEMPERATURES,
    CT_VIRUS_CHLORAMINE,
    CT_VIRUS_CHLORINE_DIOXIDE,
)
from lanewater.service.constants import load_table

K = load_table("contact_time")
PRINTED = Path(__file__).parent / "data" / "epa_ct3log_giardia_free_chlorine.csv"
Cell = tuple[float, float, float, float]


def cells() -> list[Cell]:
    """Give each cell: temperature, pH, free chlorine, contact time."""
    with PRINTED.open(encoding="utf-8") as file:
        return [
            (
                float(row["temp_C"]),
                float(row["pH"]),
                float(row["free_chlorine_mg_L"]),
                float(row["CT_3log_mg_min_L"]),
            )
            for row in csv.DictReader(file)
        ]


def cells_apart(k: tuple[float, ...]) -> list[Cell]:
    """Name the cells of which the table in `k` says something else than the printed one."""
    return [cell for cell in cells() if giardia_ct(k, cell[0], cell[1], cell[2]) != cell[3]]


def test_all_588_cells_of_the_giardia_table_are_those_printed() -> None:
    assert len(cells()) == 588
    assert cells_apart(K) == []


def test_one_wrong_cell_is_found() -> None:
    planted = list(K)
    planted[CT_GIARDIA_TABLE + 300] += 1
    assert len(cells_apart(tuple(planted))) == 1


def test_a_lookup_between_cells_is_that_of_py_disinfection() -> None:
    for temperature_c in (0.5, 3.2, 9.9, 12.5, 20.0, 24.99, 31.0):
        for ph in (6.0, 6.2, 7.49, 7.5, 8.31, 9.0):
            for free in (0.4, 0.95, 1.2, 2.01, 3.0):
                theirs = estimation.conservative_giardia_ct(temperature_c, ph, free)
                assert giardia_ct(K, temperature_c, ph, free) == theirs


def test_the_regression_is_that_of_py_disinfection_and_never_under_the_table() -> None:
    over = []
    for temperature_c, ph, free, printed in cells():
        number = K[CT_GIARDIA_WARM + 1]
        here = giardia_ct_regressed(K, temperature_c, ph, free, 3.0, number)
        theirs = estimation.regression_giardia_ct(temperature_c, ph, free, 3)
        assert here == pytest.approx(theirs, rel=1e-12)
        other = giardia_ct_regressed(K, temperature_c, ph, free, 3.0, K[CT_GIARDIA_WARM_OTHER])
        assert 0 <= other - here <= 0.05
        over.append(here / printed - 1)
    assert min(over) > 0
    assert sum(over) / len(over) == pytest.approx(0.0714, abs=5e-4)
    assert max(over) == pytest.approx(0.1738, abs=5e-4)


def test_half_a_log_by_the_regression_is_the_published_18_52() -> None:
    # 20 C, pH 7.5, 5 mg/L: an example held in the tests of tidywater; both numbers give it.
    for slot in (CT_GIARDIA_WARM + 1, CT_GIARDIA_WARM_OTHER):
        assert giardia_ct_regressed(K, 20, 7.5, 5, 0.5, K[slot]) == pytest.approx(18.52, abs=0.01)


def test_viruses_are_those_of_py_disinfection() -> None:
    # Its first column, pH 6, holds no figures: only a water over pH 6 is looked up there.
    for temperature_c in (0.5, 4.0, 5.0, 12.0, 19.9, 20.0, 25.0, 30.0):
        for ph in (6.1, 7.5, 9.0, 9.1, 10.0):
            theirs = estimation.conservative_viruses_ct(temperature_c, ph)
            assert virus_ct(K, temperature_c, ph, 4) == theirs


@pytest.mark.parametrize(
    ("slot", "theirs"),
    [
        (CT_GIARDIA_CHLORAMINE, tables.giardia_ct_chloramines),
        (CT_VIRUS_CHLORAMINE, tables.virus_ct_chloramines),
        (CT_GIARDIA_CHLORINE_DIOXIDE, tables.giardia_ct_chlorinedioxide),
        (CT_VIRUS_CHLORINE_DIOXIDE, tables.virus_ct_chlorinedioxide),
    ],
)
def test_other_disinfectants_are_those_of_py_disinfection(
    slot: int, theirs: dict[float, float]
) -> None:
    for temperature_c, printed in theirs.items():
        assert ct_at_temperature(K, CT_STEP_TEMPERATURES, slot, temperature_c) == printed
