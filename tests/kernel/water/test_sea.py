"""Sea water by stoichiometric constants: published check values, and what it keeps to."""

from __future__ import annotations

import math

import pytest

from lanewater.kernel.water import seaslots as slot
from lanewater.kernel.water.sea import sea_constants, sea_density, sea_salt, sea_water
from lanewater.kernel.water.slots import INCONSISTENT, SOLVED
from lanewater.service.constants import load_table


@pytest.mark.parametrize(
    ("place", "logarithm", "printed"),
    [
        # Dickson, Sabine and Christian (2007), S 35, 25 C; from memory, as facts X19 has them.
        (slot.SC_CARBON_DIOXIDE, math.log, -3.5617),
        (slot.SC_CARBONIC_1, math.log10, -5.8472),
        (slot.SC_CARBONIC_2, math.log10, -8.9660),
        (slot.SC_BORIC, math.log, -19.7964),
        (slot.SC_BISULFATE, math.log, -2.2996),
    ],
)
def test_constants_have_their_check_values(place: int, logarithm: object, printed: float) -> None:
    value = sea_constants(load_table("sea"), 25.0, 35.0)[place]
    assert callable(logarithm)
    assert logarithm(value) == pytest.approx(printed, abs=0.0001)


@pytest.mark.parametrize(
    ("warm", "salinity", "printed"),
    [(5, 0, 0.99996675), (5, 35, 1.02767547), (25, 35, 1.02334306)],
)
def test_the_density_has_unescos_check_values(warm: float, salinity: float, printed: float) -> None:
    # UNESCO technical paper 44 (1983), from memory.
    assert sea_density(load_table("sea"), warm, salinity) == pytest.approx(printed, abs=1e-8)


def test_the_parts_of_the_alkalinity_make_the_whole() -> None:
    status, figures = sea_water(load_table("sea"), (7.6, 28.0, 2.4e-3, 35.0))
    assert status == SOLVED
    parts = (
        slot.SF_CARBONATE_ALKALINITY,
        slot.SF_BORATE_ALKALINITY,
        slot.SF_WATER_ALKALINITY,
    )
    assert sum(figures[part] for part in parts) == pytest.approx(2.4e-3)
    assert figures[slot.SF_CARBONATE_ALKALINITY] == pytest.approx(
        figures[slot.SF_BICARBONATE] + 2 * figures[slot.SF_CARBONATE]
    )
    assert figures[slot.SF_CARBON] == pytest.approx(
        figures[slot.SF_CARBON_DIOXIDE] + figures[slot.SF_BICARBONATE] + figures[slot.SF_CARBONATE]
    )


def test_more_than_there_is_in_the_alkalinity_is_inconsistent() -> None:
    status, figures = sea_water(load_table("sea"), (9.0, 28.0, 0.1e-3, 35.0))
    assert status == INCONSISTENT
    assert set(figures) == {0.0}


def test_sea_salt_is_as_the_ocean_holds_it() -> None:
    # Standard sea water of salinity 35, mmol/kg: calcium 10.28, magnesium 52.8, sulfate 28.24.
    salt = [1000 * part for part in sea_salt(load_table("sea"), 35.0)]
    assert salt[slot.SS_CALCIUM] == pytest.approx(10.28, abs=0.01)
    assert salt[slot.SS_MAGNESIUM] == pytest.approx(52.8, abs=0.1)
    assert salt[slot.SS_SULFATE] == pytest.approx(28.24, abs=0.01)
    assert salt[slot.SS_BORATE] == pytest.approx(0.4157, abs=0.0001)


def test_the_saltier_the_same_ph_and_alkalinity_the_more_calcium_carbonate() -> None:
    s = load_table("sea")
    indices = [
        sea_water(s, (7.5, 28.0, 2.4e-3, salinity))[1][slot.SF_SATURATION_INDEX]
        for salinity in (5.0, 10.0, 20.0, 40.0)
    ]
    assert indices == sorted(indices)


def test_fresh_waters_calcite_is_where_sea_waters_ends() -> None:
    # Mucci's form starts from Plummer and Busenberg's, which fresh water uses.
    assert math.log10(
        sea_constants(load_table("sea"), 25.0, 1e-12)[slot.SC_CALCITE]
    ) == pytest.approx(-8.480, abs=0.001)
