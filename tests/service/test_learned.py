"""Additions as they are looked back on: what was foreseen, what was found, what that teaches."""

from __future__ import annotations

from typing import Any

import pytest
from tests.baths import GOOD, Baths

from lanewater.service.actor import ANYBODY, SHELL
from lanewater.service.additions import answer_addition
from lanewater.service.learned import additions_of
from lanewater.service.rounds import record_round
from lanewater.service.set_up import add
from lanewater.terms.errors import MissingError

PLUNGE_M3 = 40
STRENGTH = {"value": "120", "unit": "g-l", "on": "2026-06-30"}


@pytest.fixture
def alone(baths: Baths) -> Baths:
    """Give the site with a strength for its hypochlorite."""
    known = dict(baths.book.state.products["hypo"].body)
    add(baths.book, SHELL, "product", known | {"strength": STRENGTH})
    return baths


def read(baths: Baths, free: float, points: tuple[str, ...] = ("shallow", "deep")) -> None:
    """Record a round of the pool that has its filter for itself."""
    values = GOOD | {"free_chlorine": f"{free:.2f}", "total_chlorine": f"{free + 0.16:.2f}"}
    readings = [
        {"parameter": key, "value": value, "point": point}
        for point in points
        for key, value in values.items()
    ]
    record_round(baths.book, baths.who("tester"), {"pool": "plunge", "readings": readings})


def dose(baths: Baths, grams: float, before: float, after: float) -> None:
    """Add chlorine between a round and its retest, a day after whatever was before."""
    baths.wait(24 * 60)
    read(baths, before)
    baths.wait(5)
    given = {"pool": "plunge", "product": "hypo", "amount": f"{grams / 120:.3f}", "unit": "L"}
    answer_addition(baths.book, ANYBODY, {**given, "answer": "added"})
    baths.wait(31)
    read(baths, after)


def found(baths: Baths, pool: str = "plunge") -> dict[str, Any]:
    """Look back."""
    return additions_of(baths.book, pool, baths.now_ms)


def test_an_addition_is_shown_with_what_its_retest_found(alone: Baths) -> None:
    dose(alone, 40, 0.60, 1.58)
    row = found(alone)["additions"][0]
    assert (row["product"], row["unit"], row["answer"]) == ("hypo", "L", "added")
    assert row["retest"]["agree"] is True
    assert [one["value"] for one in row["retest"]["readings"] if one["parameter"] == "ph"]
    assert row["retest"]["at"] > row["wait_until"]


def test_three_additions_suggest_the_volume_beside_what_was_stated(alone: Baths) -> None:
    for grams, rise in ((40, 1.0), (60, 1.5), (50, 1.25)):
        dose(alone, grams, 0.60, 0.60 + rise)
    volume = found(alone)["volume"]
    assert volume["why_not"] == ""
    assert volume["low"] < PLUNGE_M3 < volume["high"]
    assert volume["count"] == 3


def test_a_retest_whose_points_differ_teaches_nothing(alone: Baths) -> None:
    for grams, rise in ((40, 1.0), (60, 1.5)):
        dose(alone, grams, 0.60, 0.60 + rise)
    alone.wait(24 * 60)
    read(alone, 0.6)
    given = {"pool": "plunge", "product": "hypo", "amount": "0.4", "unit": "L", "answer": "added"}
    answer_addition(alone.book, ANYBODY, given)
    alone.wait(31)
    readings = [
        {"parameter": key, "value": value, "point": point}
        for point, free in (("shallow", "0.90"), ("deep", "2.60"))
        for key, value in (GOOD | {"free_chlorine": free, "total_chlorine": "2.70"}).items()
    ]
    record_round(alone.book, alone.who("tester"), {"pool": "plunge", "readings": readings})
    assert found(alone)["additions"][0]["retest"]["agree"] is False
    assert found(alone)["volume"]["why_not"] == "too-few"


def test_two_additions_before_one_retest_teach_nothing(alone: Baths) -> None:
    for grams, rise in ((40, 1.0), (60, 1.5)):
        dose(alone, grams, 0.60, 0.60 + rise)
    alone.wait(24 * 60)
    read(alone, 0.6)
    for _ in range(2):
        given = {"pool": "plunge", "product": "hypo", "amount": "0.2", "unit": "L"}
        answer_addition(alone.book, ANYBODY, {**given, "answer": "added"})
    alone.wait(31)
    read(alone, 1.8)
    assert found(alone)["volume"] == found(alone)["volume"] | {"count": 2, "why_not": "too-few"}


def test_pools_on_one_filter_teach_no_volume(alone: Baths) -> None:
    volume = found(alone, "main")["volume"]
    assert volume["why_not"] == "shared-filter"
    assert volume["value"] is None


def test_what_was_not_added_is_not_listed(alone: Baths) -> None:
    given = {"pool": "plunge", "product": "hypo", "answer": "not-added"}
    answer_addition(alone.book, ANYBODY, given)
    assert found(alone)["additions"] == []


def test_the_strength_counts_that_was_stated_when_it_was_added(alone: Baths) -> None:
    for grams, rise in ((40, 1.0), (60, 1.5), (50, 1.25)):
        dose(alone, grams, 0.60, 0.60 + rise)
    before = found(alone)["volume"]
    known = dict(alone.book.state.products["hypo"].body)
    add(alone.book, SHELL, "product", known | {"strength": STRENGTH | {"value": "60"}})
    assert found(alone)["volume"] == before


def test_a_pool_that_is_not_there_is_missing(alone: Baths) -> None:
    with pytest.raises(MissingError):
        additions_of(alone.book, "nowhere", alone.now_ms)
