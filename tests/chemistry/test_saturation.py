"""The index with its band, and where the table parts from it."""

from __future__ import annotations

import pytest

from lanewater.chemistry.saturation import (
    IMPOSSIBLE,
    NO_END,
    Banded,
    banded_index,
    hocl_range,
    parting,
)
from lanewater.kernel.water.slots import R_ALKALINITY, R_CALCIUM, R_PH
from lanewater.service.constants import load_constants

K = load_constants()
K_LOW = load_constants("WA2019")
WATER = (7.5, 28.0, 100.0, 250.0, 0.0, 0.0, 0.0, 0.0, 1.5, 0.0)
STABILISED = (7.5, 20.0, 90.0, 250.0, 60.0, 0.0, 3000.0, 0.0, 3.0, 0.0)
ERRORS = (0.1, 0.5, 10.0, 25.0, 0.0, 0.0, 0.0, 0.0, 0.1, 0.0)


def banded(reading: tuple[float, ...], errors: tuple[float, ...]) -> Banded:
    """Give an index that must be there."""
    found = banded_index(K, reading, errors)
    assert isinstance(found, Banded)
    return found


def test_the_band_stands_around_the_index_and_grows_with_an_error() -> None:
    near = banded(WATER, ERRORS)
    wide = banded(WATER, (0.3, *ERRORS[1:]))
    assert near.low < near.value < near.high
    assert wide.high - wide.low > near.high - near.low
    assert sum(near.shares) == pytest.approx(1.0)
    # pH moves the index nearly one to one, so a third of a unit of it drives the band alone.
    assert wide.shares[R_PH] > 0.8


def test_without_calcium_or_near_a_water_that_cannot_be_there_is_no_band() -> None:
    bare = (*WATER[:R_CALCIUM], 0.0, *WATER[R_CALCIUM + 1 :])
    assert banded_index(K, bare, ERRORS) == NO_END
    impossible = (8.0, 28.0, 30.0, 250.0, 100.0, 0.0, 0.0, 0.0, 1.5, 0.0)
    assert banded_index(K, impossible, ERRORS) == IMPOSSIBLE


def test_an_error_that_reaches_an_impossible_water_leaves_no_end() -> None:
    barely = (*STABILISED[:R_ALKALINITY], 27.0, *STABILISED[R_ALKALINITY + 1 :])
    assert banded_index(K, barely, ERRORS) == NO_END


def test_the_causes_add_up_to_what_parts_table_and_index() -> None:
    found = parting(K, STABILISED)
    assert found.table is not None
    parts = found.temperature + found.salt + found.stabiliser + found.rest
    assert parts == pytest.approx(found.whole)
    assert found.table - banded(STABILISED, ERRORS).value == pytest.approx(found.whole)


def test_stabiliser_and_salt_make_the_table_say_too_much() -> None:
    found = parting(K, STABILISED)
    assert found.stabiliser > 0.05
    assert found.salt > 0.05
    assert found.corrected is not None
    assert found.table is not None
    assert found.corrected < found.table
    plain = parting(K, WATER)
    assert plain.stabiliser == pytest.approx(0.0)
    assert plain.salt == pytest.approx(0.0)


def test_outside_the_table_there_is_nothing_to_part_from() -> None:
    bare = (*WATER[:R_CALCIUM], 0.0, *WATER[R_CALCIUM + 1 :])
    assert parting(K, bare).table is None


def test_hocl_is_a_range_that_holds_both_constant_sets_and_the_errors() -> None:
    span = hocl_range(K, K_LOW, STABILISED, ERRORS)
    assert span is not None
    # Without errors the two sets alone part it, by about a third.
    sets = hocl_range(K, K_LOW, STABILISED, (0.0,) * 10)
    assert sets is not None
    assert span[0] < sets[0] < sets[1] < span[1]
    assert sets[0] / sets[1] < 0.8
