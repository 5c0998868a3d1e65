"""PHREEQC run here and now on the same species, constants and activity model."""

from __future__ import annotations

import pytest
from tests.agreement.comparing import largest_differences, largest_dose_differences
from tests.agreement.doses import FORMULAS

from lanewater.chemistry.products import PRODUCTS
from lanewater.kernel.water import additions
from lanewater.service.constants import load_constants

CLOSE = 1e-6


@pytest.mark.parametrize(("cyanurate_set", "count"), [("OBM74_dH", 300), ("WA2019", 100)])
def test_the_same_model_gives_the_same_numbers(cyanurate_set: str, count: int) -> None:
    worst = largest_differences(load_constants(cyanurate_set), count, seed=3, batch=100)
    assert worst["ph"] < CLOSE
    assert worst["index"] < CLOSE
    assert worst["index_from_ph"] < CLOSE
    assert worst["hocl_relative"] < CLOSE
    assert worst["ionic_relative"] < CLOSE


def test_every_dose_gives_the_same_numbers_added_and_used() -> None:
    worst = largest_dose_differences(load_constants(), 540, seed=4, batch=180)
    for figure in ("ph", "index", "ph_used", "index_used", "hocl_relative"):
        assert worst[figure] < CLOSE, figure
    # What reactions make and take of the water itself, which we leave at one kilogram a litre.
    assert worst["ph_one_kg"] < 1e-4
    assert worst["index_one_kg"] < 1e-3


def test_every_product_is_dosed() -> None:
    assert sorted(FORMULAS) == sorted(product.index for product in PRODUCTS.values())


@pytest.mark.parametrize("product", range(len(additions.STOICHIOMETRY)))
def test_a_hundredth_too_much_of_any_product_is_noticed(
    product: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    table = [list(row) for row in additions.STOICHIOMETRY]
    table[product] = [1.01 * count for count in table[product]]  # type: ignore[misc]  # the table itself holds tuples
    monkeypatch.setattr(additions, "STOICHIOMETRY", tuple(map(tuple, table)))
    worst = largest_dose_differences(load_constants(), 90, seed=4, batch=90)
    assert max(worst["ph"], worst["index"]) > CLOSE


@pytest.mark.parametrize("name", ["THIOSULFATE_CHLORINE", "THIOSULFATE_ACID", "SULFITE_ACID"])
def test_a_wrong_reduction_is_noticed(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(additions, name, getattr(additions, name) + 1)
    worst = largest_dose_differences(load_constants(), 90, seed=4, batch=90)
    assert max(worst["ph"], worst["index"]) > CLOSE
