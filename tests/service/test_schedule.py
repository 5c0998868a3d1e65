"""When a pool is due, by what the site knows."""

from __future__ import annotations

from typing import Any

import pytest
from tests.baths import GOOD, MINUTE_MS, Baths

from lanewater.kernel.deciding.duenow import why_again
from lanewater.service.actor import ANYBODY, SHELL
from lanewater.service.additions import answer_addition
from lanewater.service.clock import instant_text
from lanewater.service.opening import opening_answer
from lanewater.service.pool_facts import facts_of
from lanewater.service.rounds import record_round
from lanewater.service.schedule import due, out_of_date
from lanewater.service.set_up import add


def when(baths: Baths, pool: str = "main") -> dict[str, Any]:
    """Give when a pool is due."""
    return due(baths.book, pool, baths.now_ms)


def again(baths: Baths) -> str:
    """Give why the main pool's last round is to be done again."""
    return why_again(facts_of(baths.book, baths.book.state, "main", baths.now_ms))


def test_the_sites_plan_counts_from_the_last_round(baths: Baths) -> None:
    baths.round()
    found = when(baths)
    assert found["at"] == instant_text(baths.now_ms + 240 * MINUTE_MS)
    assert (found["why"], found["every_minutes"], found["late"]) == ("plan-interval", 240, False)
    baths.wait(241)
    assert when(baths)["late"]


def test_without_plan_or_rules_it_says_that_nothing_asks(baths: Baths) -> None:
    found = when(baths, "plunge")
    assert (found["at"], found["why"]) == (None, "no-interval")
    assert "no test interval" in found["detail"]
    add(baths.book, SHELL, "rules", {"rules": "none"})
    assert when(baths, "plunge")["detail"] == "no local rules chosen"


def test_the_rules_own_interval_is_named_with_its_clause(baths: Baths) -> None:
    pack = baths.book.load("us-ca")
    assert pack["intervals"], "the pack must hold an interval for this test to mean anything"
    add(baths.book, SHELL, "rules", {"rules": "us-ca", "pool": "plunge"})
    baths.round("plunge")
    found = when(baths, "plunge")
    assert found["why"] == "pack-interval"
    assert found["detail"]


def test_a_sample_is_no_round(baths: Baths) -> None:
    given = {"pool": "main", "readings": {"e_coli": "0"}, "purpose": "sample"}
    record_round(baths.book, ANYBODY, given)
    assert when(baths)["why"] == "before-opening"
    baths.wait(60)
    assert when(baths)["why"] == "no-round-yet"


@pytest.mark.parametrize(
    ("changes", "why"),
    [
        ({"free_chlorine": "1.52", "total_chlorine": "1.20"}, "doubt"),
        ({"free_chlorine": "0.62", "total_chlorine": "0.78"}, "fails"),
        ({"free_chlorine": "0.20", "total_chlorine": "0.24"}, "fails"),
    ],
)
def test_a_round_that_fails_or_cannot_be_right_is_due_again_at_once(
    baths: Baths, changes: dict[str, str], why: str
) -> None:
    answer = baths.round(**changes)
    assert answer["repeat_asked"]
    assert again(baths) == why
    found = when(baths)
    assert (found["why"], found["detail"]) == ("retest", "repeat")
    assert (found["at"], found["late"]) == (instant_text(baths.now_ms), False)
    baths.wait(16)
    assert when(baths)["late"]


def test_a_surprise_is_due_again_at_once_until_a_repeat_agrees(baths: Baths) -> None:
    baths.round(free_chlorine="0.90", total_chlorine="1.00")
    baths.wait(60)
    baths.round(free_chlorine="1.95", total_chlorine="2.05")
    assert again(baths) == "surprise"
    assert when(baths)["at"] == instant_text(baths.now_ms)
    baths.wait(5)
    baths.round(free_chlorine="1.93", total_chlorine="2.03")
    assert when(baths)["why"] == "plan-interval"


def test_once_something_is_added_its_own_retest_takes_the_place_of_a_repeat(baths: Baths) -> None:
    baths.round(free_chlorine="0.62", total_chlorine="0.78")
    given = {"pool": "main", "product": "hypo", "answer": "added", "wait_minutes": 45}
    answer_addition(baths.book, ANYBODY, given)
    assert when(baths)["at"] == instant_text(baths.now_ms + 45 * MINUTE_MS)
    assert again(baths) == ""


def test_after_an_addition_the_whole_filter_is_due_when_the_wait_ends(baths: Baths) -> None:
    baths.round()
    given = {"pool": "main", "product": "hypo", "answer": "added", "wait_minutes": 45}
    answer_addition(baths.book, ANYBODY, given)
    expected = instant_text(baths.now_ms + 45 * MINUTE_MS)
    for pool in ("main", "teaching"):
        assert (when(baths, pool)["why"], when(baths, pool)["at"]) == ("retest", expected)
    baths.wait(46)
    baths.retest("main")
    assert when(baths)["why"] == "plan-interval"
    assert when(baths, "teaching")["why"] == "retest"


@pytest.mark.parametrize("hours", [[], None])
def test_hours_count_only_where_they_are_stated(baths: Baths, hours: Any) -> None:
    item = {"pool": "plunge", "name": "Plunge", "facts": {}, "interval_minutes": 60}
    add(baths.book, SHELL, "pool", item | ({} if hours is None else {"hours": hours}))
    record_round(baths.book, ANYBODY, {"pool": "plunge", "readings": GOOD})
    assert when(baths, "plunge")["why"] == (
        "plan-interval" if hours is None else "no-opening-ahead"
    )


def test_a_round_is_good_for_its_interval_and_never_overnight(baths: Baths) -> None:
    assert out_of_date(baths.book, "main", baths.now_ms)
    baths.round()
    baths.round("plunge")
    assert not out_of_date(baths.book, "main", baths.now_ms)
    baths.wait(239)
    assert not out_of_date(baths.book, "main", baths.now_ms)
    baths.wait(2)
    assert out_of_date(baths.book, "main", baths.now_ms)
    # Nothing sets an interval for Plunge: its round is good for the site's own day.
    assert not out_of_date(baths.book, "plunge", baths.now_ms)
    baths.wait(14 * 60 + 4)  # 23:56 at the site, the next day in UTC
    assert not out_of_date(baths.book, "plunge", baths.now_ms)
    baths.wait(5)
    assert out_of_date(baths.book, "plunge", baths.now_ms)


def test_yesterdays_round_does_not_open_this_morning(baths: Baths) -> None:
    baths.wait(15 * 60)  # 20:51
    baths.round()
    baths.wait(9 * 60 + 30)  # 06:21, the test is due at the opening and not late yet
    assert not when(baths)["late"]
    assert opening_answer(baths.book, "main", baths.now_ms) == {
        "may": "reason",
        "why": ["round-out-of-date"],
    }
