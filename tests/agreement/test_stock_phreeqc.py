"""The model beside PHREEQC's own phreeqc.dat: how far two models of one water are apart.

The shares are those of `benchmarks/agree_with_stock.py` with room for chance.
"""

from __future__ import annotations

from functools import cache

import pytest
from tests.agreement.stock import MARKS, ORDINARY, WITHIN, Seen, compare_with_stock, marked

from lanewater.kernel.water import slots
from lanewater.kernel.water.units import LN_10
from lanewater.service.constants import load_constants

# Waters of every kind, and of those without a mark, that may be outside.
MOST = {"ph": 0.04, "index": 0.02, "hocl": 0.025}
MOST_ORDINARY = 0.005


@cache
def pools() -> list[Seen]:
    return compare_with_stock(load_constants(), 400, seed=21, batch=200)


def share_outside(waters: list[Seen], figure: str) -> float:
    told = [seen for seen in waters if figure in seen.differences]
    return sum(seen.outside(figure) for seen in told) / len(told)


@pytest.mark.parametrize("figure", WITHIN)
def test_few_pools_and_doses_are_outside(figure: str) -> None:
    assert share_outside(pools(), figure) <= MOST[figure]


@pytest.mark.parametrize("figure", WITHIN)
def test_hardly_an_ordinary_water_is_outside(figure: str) -> None:
    ordinary = [seen for seen in pools() if marked(seen) == ORDINARY]
    assert len(ordinary) > 300
    assert share_outside(ordinary, figure) <= MOST_ORDINARY


def test_the_reading_itself_gives_the_same_chlorine() -> None:
    as_read = [seen.differences["hocl"] for seen in pools() if seen.stage == 0 and seen.reading[8]]
    assert max(map(abs, as_read)) < 0.001


def test_every_mark_has_its_waters() -> None:
    assert {marked(seen) for seen in pools()} == {name for name, _there in MARKS}


@pytest.mark.parametrize(
    ("slot", "figure"),
    [
        (slots.K_CALCITE, "index"),
        (slots.K_CARBONIC_1, "ph"),
        (slots.K_SODIUM_BICARBONATE, "index"),
    ],
)
def test_a_constant_off_by_0_05_is_noticed(slot: int, figure: str) -> None:
    k = list(load_constants())
    k[slot] += (0.05 if slot != slots.K_SODIUM_BICARBONATE else 0.5) * LN_10
    waters = compare_with_stock(tuple(k), 120, seed=21, batch=120)
    assert share_outside(waters, figure) > MOST[figure]
