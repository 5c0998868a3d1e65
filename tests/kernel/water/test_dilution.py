"""Fresh water: every total is kept, shares come out right, and the order of adding is free."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lanewater.kernel.water.additions import (
    P_BORAX,
    STOICHIOMETRY,
    add_lime,
    add_product,
    mixed_totals,
)
from lanewater.kernel.water.dilution import (
    NO_SHARE,
    amount_after,
    flushed_share,
    flushed_totals,
    settled_amount,
    share_to_reach,
    topped_totals,
    volumes_of_share,
)
from lanewater.kernel.water.slots import (
    T_ALKALINITY,
    T_CALCIUM,
    T_CHLORIDE,
    T_CYANURATE,
    T_MAGNESIUM,
    T_SODIUM,
    T_SULFATE,
)

holds = settings(deadline=None)
AMOUNTS = st.floats(0, 1e-2, allow_nan=False)
TOTALS = st.tuples(*[AMOUNTS] * 10)
SHARES = st.floats(0, 1, allow_nan=False)


def charge(totals: tuple[float, ...]) -> float:
    positive = totals[T_SODIUM] + 2 * (totals[T_CALCIUM] + totals[T_MAGNESIUM])
    return positive - totals[T_CHLORIDE] - 2 * totals[T_SULFATE] - totals[T_ALKALINITY]


@holds
@given(TOTALS, TOTALS, SHARES)
def test_what_is_drained_and_what_is_left_make_the_whole(
    pool: tuple[float, ...], fresh: tuple[float, ...], share: float
) -> None:
    after = mixed_totals(pool, fresh, share)
    for mixed, old, new in zip(after, pool, fresh, strict=True):
        assert mixed == pytest.approx(old - share * old + share * new, abs=1e-15)
        assert mixed >= 0
        assert min(old, new) - 1e-15 <= mixed <= max(old, new) + 1e-15


@holds
@given(TOTALS, TOTALS, st.floats(0, 3), st.floats(0, 3))
def test_flowing_through_in_two_goes_is_flowing_through_once(
    pool: tuple[float, ...], fresh: tuple[float, ...], first: float, second: float
) -> None:
    twice = flushed_totals(flushed_totals(pool, fresh, first), fresh, second)
    assert twice == pytest.approx(flushed_totals(pool, fresh, first + second), abs=1e-15)
    assert min(twice) >= 0


@holds
@given(TOTALS, TOTALS, SHARES, st.integers(0, len(STOICHIOMETRY) - 3), st.floats(0, 1e-3))
def test_a_product_and_then_a_part_let_out_is_that_part_less_of_the_product(
    pool: tuple[float, ...],
    fresh: tuple[float, ...],
    share: float,
    product: int,
    mol_l: float,
) -> None:
    # Neutralisers react with what is there, so that only for them the order counts.
    added_first = mixed_totals(add_product(pool, product, mol_l, 0.05), fresh, share)
    kept = mol_l * (1 - share)
    added_last = add_product(mixed_totals(pool, fresh, share), product, kept, 0.05)
    assert added_first == pytest.approx(added_last, abs=1e-15)


@holds
@given(TOTALS, TOTALS, st.floats(0, 0.5), st.floats(0, 1e-3))
def test_what_makes_up_for_evaporation_only_adds(
    pool: tuple[float, ...], fresh: tuple[float, ...], share: float, mol_l: float
) -> None:
    after = topped_totals(pool, fresh, share)
    for new, old, brought in zip(after, pool, fresh, strict=True):
        assert new == pytest.approx(old + share * brought, abs=1e-15)
    later = add_product(after, P_BORAX, mol_l, 0.0)
    assert later == pytest.approx(
        topped_totals(add_product(pool, P_BORAX, mol_l, 0.0), fresh, share), abs=1e-15
    )


def test_turnovers_leave_what_the_law_of_dilution_says() -> None:
    # 63.2, 86.5 and 95.0 % removed after one, two and three volumes.
    assert [round(100 * flushed_share(float(n)), 1) for n in (1, 2, 3)] == [63.2, 86.5, 95.0]


@pytest.mark.parametrize(("share", "drained", "flushed"), [(0.25, 75.0, 77.9), (0.5, 50.0, 60.7)])
def test_the_same_water_flowing_through_takes_less_out(
    share: float, drained: float, flushed: float
) -> None:
    assert 100 * (1 - share) == pytest.approx(drained)
    assert 100 * (1 - flushed_share(share)) == pytest.approx(flushed, abs=0.05)


def test_stabiliser_of_120_wants_two_thirds_of_the_water() -> None:
    # 267 of 400 m3 for 40 mg/L, nothing in the fresh water.
    assert 400 * share_to_reach(120.0, 0.0, 40.0) == pytest.approx(266.7, abs=0.05)
    assert volumes_of_share(share_to_reach(120.0, 0.0, 40.0)) == pytest.approx(math.log(3))


@pytest.mark.parametrize(
    ("now", "fresh", "target"),
    [(120.0, 0.0, 130.0), (120.0, 0.0, 0.0), (40.0, 40.0, 30.0), (40.0, 60.0, 30.0)],
)
def test_a_target_that_fresh_water_does_not_lead_to_is_told(
    now: float, fresh: float, target: float
) -> None:
    assert share_to_reach(now, fresh, target) == NO_SHARE


@holds
@given(st.floats(1, 500), st.floats(0, 500), st.floats(0, 0.99))
def test_the_share_is_what_mixing_needs(now: float, fresh: float, share: float) -> None:
    target = now + share * (fresh - now)
    found = share_to_reach(now, fresh, target)
    assert found == NO_SHARE or now + found * (fresh - now) == pytest.approx(target)
    if abs(fresh - now) > 1e-6:
        assert found == pytest.approx(share, abs=1e-6)


def test_hardness_grows_with_what_evaporates() -> None:
    # 312.5 m2 at 0.15 kg/m2h are 1.125 m3 a day in 468.75 m3: +0.36 mg/L a day at 150 in the fill.
    evaporated = 312.5 * 0.15 * 24 / 1000
    assert evaporated == pytest.approx(1.125)
    grown = amount_after(250.0, 150.0, evaporated, 0.0, 468.75) - 250.0
    assert grown == pytest.approx(0.36)


def test_a_balance_settles_where_in_and_out_are_even() -> None:
    assert settled_amount(150.0, 8.0, 6.0) == pytest.approx(200.0)
    assert amount_after(250.0, 150.0, 8.0 * 3650, 6.0 * 3650, 400.0) == pytest.approx(200.0)
    # With hardly anything let out it is the make-up for evaporation.
    little = amount_after(250.0, 150.0, 8.0, 1e-9, 400.0)
    assert little == pytest.approx(amount_after(250.0, 150.0, 8.0, 0.0, 400.0))


@holds
@given(TOTALS, st.floats(0, 1e-3))
def test_lime_keeps_the_charge(pool: tuple[float, ...], mol_l: float) -> None:
    after = add_lime(pool, mol_l)
    assert charge(after) == pytest.approx(charge(pool), abs=1e-15)
    assert after[T_CALCIUM] - pool[T_CALCIUM] == pytest.approx(mol_l, abs=1e-15)
    assert after[T_CYANURATE] == pool[T_CYANURATE]
