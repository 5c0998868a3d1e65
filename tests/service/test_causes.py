"""The cause finder over a site's record."""

from __future__ import annotations

from typing import Any

import pytest
from tests.baths import GOOD, Baths

from lanewater.service.actor import ANYBODY
from lanewater.service.additions import answer_addition
from lanewater.service.causes import case_for, causes_for
from lanewater.service.rounds import record_round
from lanewater.terms.errors import MissingError

ACID_FREE = ["7.30", "7.36", "7.44", "7.51", "7.58", "7.66"]


def told(baths: Baths, question: str) -> dict[str, Any]:
    """Give one answer for the main pool."""
    found = causes_for(baths.book, "main", baths.now_ms)
    return next(one for one in found if one["question"] == question)


def rising(baths: Baths) -> None:
    """Record a week of mornings whose pH rises."""
    for value in ACID_FREE:
        baths.round("main", ph=value, total_alkalinity="150")
        baths.wait(24 * 60)


def test_a_week_of_rising_ph_is_answered_from_the_record(baths: Baths) -> None:
    rising(baths)
    found = told(baths, "ph-rises")
    assert found["state"] == "seen"
    assert found["said"]["days"] == 5
    causes = [one["id"] for one in found["causes"]]
    assert "carbon-dioxide-leaves" in causes
    said = {row["id"] for one in found["causes"] for row in one["for"]}
    assert {"alkalinity-is-high", "air-leads-higher"} <= said


def test_a_new_record_says_too_little(baths: Baths) -> None:
    assert {one["state"] for one in causes_for(baths.book, "main", baths.now_ms)} == {"too-few"}


def test_what_is_older_than_two_weeks_is_left_out(baths: Baths) -> None:
    rising(baths)
    baths.wait(15 * 24 * 60)
    assert told(baths, "ph-rises")["state"] == "too-few"


def test_a_round_before_opening_follows_a_time_with_nobody_in(baths: Baths) -> None:
    baths.wait(16 * 60 + 20)
    baths.round("main")
    baths.wait(7 * 60 + 30)
    baths.round("main")
    baths.wait(4 * 60)
    baths.round("main")
    case = case_for(baths.book.state, "main", None, baths.now_ms)
    assert [one["shut"] for one in case["rounds"]] == [False, True, False]


def test_additions_are_told_by_what_they_are(baths: Baths) -> None:
    baths.round("main")
    given = {"pool": "main", "product": "hypo", "answer": "added"}
    answer_addition(baths.book, ANYBODY, given)
    case = case_for(baths.book.state, "main", None, baths.now_ms)
    assert [row["product"] for row in case["events"]] == ["sodium-hypochlorite"]


def test_the_rules_limit_on_combined_is_held_beside_it(baths: Baths) -> None:
    values = GOOD | {"total_chlorine": "2.60"}
    record_round(baths.book, baths.who("tester"), {"pool": "main", "readings": values})
    pack = baths.book.load("ca-qc")
    assert case_for(baths.book.state, "main", pack, baths.now_ms)["limit_combined"] is not None


def test_a_pool_that_is_not_there_is_missing(baths: Baths) -> None:
    with pytest.raises(MissingError):
        causes_for(baths.book, "nowhere", baths.now_ms)
