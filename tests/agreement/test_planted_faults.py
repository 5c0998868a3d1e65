"""The agreement tests can fail: a constant off by 0.05 in its logarithm does not pass them."""

from __future__ import annotations

import pytest
from tests.agreement.cases import CASES, SALTY, dosed, reading_of

from lanewater.kernel.water import slots
from lanewater.kernel.water.equilibrium import totals_of_reading
from lanewater.kernel.water.saturation import (
    F_BORATE_ALKALINITY,
    F_CYANURATE_ALKALINITY,
    F_HOCL,
    F_PH,
    F_SATURATION_INDEX,
    figures_of_reading,
    figures_of_totals,
)
from lanewater.kernel.water.units import LN_10
from lanewater.service.constants import load_constants

OFF = 0.05 * LN_10
TOLERANCE = CASES["meta"]["suggested_tolerance"]


def disagreements(k: tuple[float, ...]) -> list[str]:
    """Name every figure of the cases that is outside its stated tolerance."""
    found = []
    for case in CASES["speciation"]:
        expected = case["result"]
        if expected["I"] >= SALTY:
            continue
        _status, figures = figures_of_reading(k, reading_of(case["inputs_mg_per_kgw"]))
        hocl = TOLERANCE["HOCl_relative_I_below_0p12"] * expected["HOCl_mgCl2"] + 1e-9
        parts = TOLERANCE["alkalinity_parts_mgCaCO3"]
        for index, theirs, within in (
            (F_SATURATION_INDEX, "SI_calcite", TOLERANCE["SI_calcite_I_below_0p12"]),
            (F_HOCL, "HOCl_mgCl2", hocl),
            (F_CYANURATE_ALKALINITY, "cyanurate_alk_mgCaCO3", parts),
            (F_BORATE_ALKALINITY, "borate_alk_mgCaCO3", parts),
        ):
            if abs(figures[index] - expected[theirs]) > within:
                found.append(f"{case['id']} {theirs}")
    for case in CASES["dosing"]:
        inputs = case["inputs_mg_per_kgw"]
        _status, totals = totals_of_reading(k, reading_of(inputs))
        _status, figures = figures_of_totals(k, inputs["T"], dosed(totals, case))
        if abs(figures[F_PH] - case["end"]["pH"]) > TOLERANCE["pH_after_dose"]:
            found.append(f"{case['id']} pH")
    return found


def test_without_a_fault_nothing_disagrees() -> None:
    assert disagreements(load_constants()) == []


@pytest.mark.parametrize(
    "slot",
    [
        slots.K_CARBONIC_1,
        slots.K_CARBONIC_2,
        slots.K_CALCITE,
        slots.K_HYPOCHLOROUS,
        slots.K_BORIC,
        slots.K_CYANURIC_1,
        slots.K_MONOCHLORINATED_9A,
    ],
)
@pytest.mark.parametrize("sign", [-1, 1])
def test_a_constant_off_by_0_05_is_noticed(slot: int, sign: int) -> None:
    k = list(load_constants())
    k[slot] += sign * OFF
    assert disagreements(tuple(k)) != []


@pytest.mark.parametrize("product_row", [0, 2, 5, 8, 10, 15])
def test_a_wrong_stoichiometry_is_noticed(
    product_row: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    from lanewater.kernel.water import additions  # noqa: PLC0415 - the module is what is changed

    table = [list(row) for row in additions.STOICHIOMETRY]
    table[product_row][0] += 1
    monkeypatch.setattr(additions, "STOICHIOMETRY", tuple(map(tuple, table)))
    assert disagreements(load_constants()) != []
