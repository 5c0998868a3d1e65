"""Combined chlorine over its limit: asked first, tested first, and never an amount."""

from __future__ import annotations

import json
from typing import Any

import pytest
from tests.baths import Baths

from lanewater.service.combined import combined_for
from lanewater.terms.errors import MissingError

OVER = {"free_chlorine": "1.52", "total_chlorine": "2.48"}
FAR_OVER = {"free_chlorine": "0.90", "total_chlorine": "3.00"}
NIGHTS = 4


def found(baths: Baths, **answers: str) -> dict[str, Any]:
    """Ask, with what somebody answered."""
    said = combined_for(baths.book, "main", baths.now_ms, answers)
    text = json.dumps(said)
    assert "free_to_reach" not in text
    assert "ten_times" not in text
    return said


def twice(baths: Baths, **readings: str) -> None:
    """Read both points of a pair twice, so that it is believed."""
    for _ in range(2):
        baths.wait(4)
        baths.round(**readings)


def test_the_other_oxidiser_is_asked_for_before_anything_else(baths: Baths) -> None:
    twice(baths, **OVER)
    assert (found(baths)["state"], found(baths)["ask"]) == ("ask-first", ["monopersulfate"])
    told = found(baths, monopersulfate="yes")
    assert told["state"] == "test-first"
    assert [row["id"] for row in told["reasons"]] == ["monopersulfate-reads-as-combined"]


def test_one_reading_of_a_difference_is_not_enough(baths: Baths) -> None:
    baths.round(**OVER)
    told = found(baths, monopersulfate="no", heavy_load="yes")
    assert told["state"] == "test-first"
    assert [row["id"] for row in told["reasons"]] == ["read-once"]
    baths.wait(45)
    baths.round(**OVER)
    assert found(baths, monopersulfate="no", heavy_load="yes")["state"] == "test-first"


def test_what_it_is_made_of_is_asked_for_where_nobody_knows(baths: Baths) -> None:
    twice(baths, **OVER)
    told = found(baths, monopersulfate="no")
    assert told["state"] == "not-known-which"
    assert "heavy-load" in told["ask"]
    assert "fresh-water" in told["instead"]


def test_what_lasts_the_nights_is_not_cleared_with_chlorine(baths: Baths) -> None:
    for _ in range(NIGHTS):
        baths.round(**OVER)
        baths.wait(16 * 60 + 30)
        baths.round(**OVER)
        baths.wait(7 * 60 + 30)
    twice(baths, **OVER)
    told = found(baths, monopersulfate="no", heavy_load="yes")
    assert told["state"] == "will-not-help"
    assert told["removes"] == []


def test_without_a_round_free_and_total_come_first(baths: Baths) -> None:
    told = found(baths, monopersulfate="no")
    assert told["state"] == "test-first"
    assert [row["id"] for row in told["reasons"]] == ["free-and-total-not-read"]


def test_what_is_told_holds_the_limit_and_no_amount(baths: Baths) -> None:
    twice(baths, **OVER)
    assert found(baths, monopersulfate="no", heavy_load="yes")["state"] == "enough-already"
    twice(baths, **FAR_OVER)
    told = found(baths, monopersulfate="no", heavy_load="yes")
    assert told["state"] == "may-help"
    assert (told["combined_mg_l"], told["limit_mg_l"]) == ("2.10", "0.50")
    assert "people-unknown" in {row["id"] for row in told["reasons"]}
    keys = {key for row in told["reasons"] for key in row["said"]}
    assert "free_mg_l" not in keys


def test_a_pool_that_is_not_there_is_named(baths: Baths) -> None:
    with pytest.raises(MissingError, match="no such pool"):
        combined_for(baths.book, "lagoon", baths.now_ms, {})
