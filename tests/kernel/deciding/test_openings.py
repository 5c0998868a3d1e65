"""A closing beats an opening that did not know of it, whichever arrived first, until settled."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.kernel.deciding.opening_histories import (
    Item,
    every_history,
    faults_of,
    item,
    random_history,
    swapped,
)
from tests.parity.drawing import drawer

from lanewater.kernel.deciding.openings import knows_of, opening_after, opening_of_all

BEFORE: Item = item(0, "opened", "server", 0)


def status(*items: Item) -> str:
    """Give how a pool stands by some items."""
    return str(opening_of_all(list(items))["status"])


def pairs(*items: Item) -> list[tuple[str, str]]:
    """Give the conflicts that some items leave."""
    found = opening_of_all(list(items))["conflicts"]
    return [(opened["id"], closed["id"]) for opened, closed in found]


def last_writer_wins(history: list[Item]) -> dict[str, Any]:
    """Say how a pool stands as a tired hand would: by the last item alone."""
    last = history[-1]
    word = {"opened": "open", "settled": last["status"]}.get(last["kind"], "closed")
    return {"status": word, "entry": last["id"], "front": [last], "conflicts": []}


def closed_for_ever(history: list[Item]) -> dict[str, Any]:
    """Say that any closing stands for ever, even against an opening that knew of it."""
    found = opening_of_all(history)
    if any(each["kind"] == "closed" for each in history):
        return found | {"status": "closed"}
    return found


@pytest.mark.parametrize("length", [1, 2, 3])
def test_every_single_pair_and_triple_stands_as_the_second_way_says(length: int) -> None:
    faulty = [
        (found, history)
        for history in every_history(length)
        if (found := faults_of(opening_of_all, history))
    ]
    assert faulty[:3] == []


@pytest.mark.parametrize("planted", [last_writer_wins, closed_for_ever])
def test_a_planted_fault_is_found_among_the_pairs(planted: Any) -> None:
    assert any(faults_of(planted, history) for history in every_history(2))


def test_the_order_of_arrival_of_what_is_concurrent_changes_nothing() -> None:
    looked_at = 0
    for history in every_history(3):
        for place in (0, 1):
            other = swapped(history, place)
            if other is not None:
                looked_at += 1
                assert told(opening_of_all(history)) == told(opening_of_all(other)), history
    assert looked_at > 10_000


def test_the_last_writer_is_caught_by_the_order_of_arrival_too() -> None:
    found = [
        history
        for history in every_history(2)
        if (other := swapped(history, 0)) is not None
        and told(last_writer_wins(history)) != told(last_writer_wins(other))
    ]
    assert found


def told(standing: dict[str, Any]) -> tuple[Any, ...]:
    """Give all that is told of how a pool stands, without the order of arrival."""
    return (
        standing["status"],
        standing["entry"],
        {each["id"] for each in standing["front"]},
        {(opened["id"], closed["id"]) for opened, closed in standing["conflicts"]},
    )


def test_any_history_stands_as_the_second_way_says_and_is_never_open_in_conflict() -> None:
    draw = drawer(5)
    for _ in range(3000):
        history = random_history(draw)
        assert faults_of(opening_of_all, history) == [], history
        found = opening_of_all(history)
        assert not (found["status"] == "open" and found["conflicts"])


def test_any_order_of_arrival_gives_the_same() -> None:
    draw = drawer(6)
    moved = 0
    for _ in range(3000):
        history = other = random_history(draw)
        for _ in range(6 if len(history) > 1 else 0):
            other = swapped(other, draw.randrange(len(history) - 1)) or other
        moved += other != history
        assert told(opening_of_all(other)) == told(opening_of_all(history)), history
    assert moved > 1000


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 2**64))
def test_a_closing_that_knows_nothing_always_closes(seed: int) -> None:
    history = random_history(drawer(seed))
    late = item(len(history), "stop", "tablet-late", 0)
    assert opening_of_all([*history, late])["status"] in ("closed", "shut")


def test_items_are_never_changed_by_being_looked_at() -> None:
    history = [BEFORE, item(1, "stop", "tablet-a", 0)]
    before = [dict(each) for each in history]
    opening_of_all(history)
    assert history == before


@pytest.mark.parametrize("closing", ["closed", "stop"])
def test_a_closing_beats_an_opening_whichever_arrived_first(closing: str) -> None:
    opened_first = [item(0, "opened", "tablet-a", 0), item(1, closing, "tablet-b", 0)]
    closed_first = [item(0, closing, "tablet-b", 0), item(1, "opened", "tablet-a", 0)]
    assert status(*opened_first) == status(*closed_first) == "closed"
    assert pairs(*opened_first) == [("e0", "e1")]
    assert pairs(*closed_first) == [("e1", "e0")]


def test_an_opening_by_somebody_who_knew_of_the_closing_opens() -> None:
    closed = item(0, "closed", "tablet-b", 0)
    assert status(closed, item(1, "opened", "tablet-a", 1)) == "open"
    assert status(closed, item(1, "opened", "server", 0)) == "open"
    assert status(closed, item(1, "opened", "tablet-b", 0)) == "open"


def test_two_closings_are_no_conflict_and_both_are_shown() -> None:
    found = opening_of_all([item(0, "closed", "tablet-a", 0), item(1, "shut", "tablet-b", 0)])
    assert (found["status"], found["entry"], found["conflicts"]) == ("closed", "e0", [])
    assert [each["id"] for each in found["front"]] == ["e0", "e1"]


def test_only_a_settlement_by_a_proved_person_that_names_both_ends_a_conflict() -> None:
    history = [item(0, "opened", "tablet-a", 0), item(1, "stop", "tablet-b", 0)]
    settle = [
        ("settled-open", ("e0", "e1"), "open"),
        ("settled-closed", ("e0", "e1"), "closed"),
        ("settled-open", ("e0",), "closed"),
        ("settled-open", ("e1",), "closed"),
        ("settled-unproved", ("e0", "e1"), "closed"),
    ]
    for kind, names, stands in settle:
        assert status(*history, item(2, kind, "server", 2, names=names)) == stands
    assert status(*history, item(2, "opened", "server", 2)) == "closed"


def test_a_settlement_is_itself_beaten_by_a_stop_that_did_not_know_of_it() -> None:
    history = [
        item(0, "opened", "tablet-a", 0),
        item(1, "closed", "tablet-b", 0),
        item(2, "settled-open", "server", 2, names=("e0", "e1")),
        item(3, "stop", "tablet-c", 0),
    ]
    assert status(*history) == "closed"
    assert pairs(*history) == [("e2", "e3"), ("e0", "e3")]


def test_an_opening_that_its_own_side_closed_again_contradicts_nobody() -> None:
    history = [
        item(0, "opened", "server", 0),
        item(1, "shut", "server", 0),
        item(2, "stop", "tablet-a", 0),
    ]
    assert pairs(*history) == []
    assert status(*history) == "shut"


def test_why_a_pool_was_closed_stands_under_a_later_house_stop() -> None:
    found = opening_of_all([item(0, "closed", "server", 0), item(1, "stop", "server", 0)])
    assert found["entry"] == "e0"


def test_nobody_knows_of_what_stands_behind_them() -> None:
    first = item(0, "closed", "tablet-a", 9)
    assert not knows_of(first, item(1, "opened", "tablet-b", 0))
    assert not knows_of(first, first)


def test_item_by_item_and_all_at_once_say_the_same() -> None:
    history = [BEFORE, item(1, "stop", "tablet-a", 0), item(2, "opened", "tablet-b", 1)]
    known = opening_of_all([])
    for place, each in enumerate(history):
        known = opening_after(known, history[:place], each)
    assert known == opening_of_all(history)
