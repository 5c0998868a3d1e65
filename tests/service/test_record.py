"""The record read back shows everything, first values and corrections side by side."""

from __future__ import annotations

import pytest
from tests.baths import GOOD, MINUTE_MS, Baths
from tests.records.entry_cases import entry

from lanewater.service.actor import SHELL
from lanewater.service.clock import instant_text
from lanewater.service.record import lines, proven
from lanewater.service.rounds import correct_reading, record_round


def test_every_entry_is_a_line_in_order(baths: Baths) -> None:
    baths.round()
    found = lines(baths.book)
    assert [row["index"] for row in found] == list(range(baths.book.state.index + 1))
    assert found[-2]["type"] == "round-recorded"
    assert (found[-2]["by"], found[-2]["verified"]) == ("p-tester", True)
    assert found[-1]["rules"]["id"] == "ca-qc"


def test_a_corrected_reading_shows_both_values(baths: Baths) -> None:
    first = baths.round()["round"]
    for value in ("7.50", "7.51"):
        change = {"round": first, "parameter": "ph", "value": value, "reason": f"to {value}"}
        correct_reading(baths.book, SHELL, change)
    found = next(row for row in lines(baths.book) if row["id"] == first)
    ph = next(row for row in found["readings"] if row["parameter"] == "ph")
    assert ph["value"] == "7.43"
    assert [row["value"] for row in ph["corrected"]] == ["7.50", "7.51"]
    assert [row["reason"] for row in ph["corrected"]] == ["to 7.50", "to 7.51"]
    change = next(row for row in lines(baths.book) if row["type"] == "reading-corrected")
    assert change["amends"] == first


def test_a_corrected_round_says_what_was_judged_then_and_after_which_correction(
    baths: Baths,
) -> None:
    first = baths.round()["round"]
    then = instant_text(baths.now_ms)
    baths.wait(90)
    later = instant_text(baths.now_ms)
    change = {"round": first, "parameter": "free_chlorine", "value": "0.62", "reason": "misread"}
    correct_reading(baths.book, SHELL, change)
    found = next(row for row in lines(baths.book) if row["id"] == first)
    assert found["judged"] == [
        {"at": then, "overall": "meets"},
        {"at": later, "overall": found["overall"], "corrected_at": later},
    ]
    assert found["overall"] == "does-not-meet"
    free = next(row for row in found["readings"] if row["parameter"] == "free_chlorine")
    assert [row["at"] for row in free["corrected"]] == [later]


def test_lines_are_chosen_by_pool_time_and_number(baths: Baths) -> None:
    start = baths.now_ms
    for pool in ("main", "plunge", "main"):
        baths.round(pool)
        baths.wait(10)
    assert {row["pool"] for row in lines(baths.book, pool="main")} == {"main"}
    later = lines(baths.book, pool="main", since_ms=start + MINUTE_MS)
    assert [row["type"] for row in later] == ["round-recorded", "round-judged"]
    between = lines(baths.book, since_ms=start, until_ms=start + 10 * MINUTE_MS)
    assert {row["pool"] for row in between} == {"main"}
    assert lines(baths.book, limit=1) == lines(baths.book)[-1:]
    assert lines(baths.book, limit=0) == []


def test_a_line_shows_within_which_times_it_came_on_record(baths: Baths) -> None:
    baths.round()
    before = instant_text(baths.now_ms)
    baths.wait(30)
    late = {"at": before, "source": "late", "reason": "no pen"}
    given = {"pool": "main", "readings": GOOD, **late}
    record_round(baths.book, baths.who("tester"), given)
    now = instant_text(baths.now_ms)
    first, second = (row for row in lines(baths.book) if row["type"] == "round-recorded")
    assert (first["timing"], second["timing"]) == ("on-time", "late")
    assert second["at"] == before
    assert second["window"] == {"from": before, "to": now}


@pytest.mark.parametrize(
    ("size", "window"),
    [
        (0, {"to": "c"}),
        (1, {"from": "a", "to": "c"}),
        (2, {"from": "b", "to": "c"}),
        (3, {"to": "c"}),
        (2**40, {"to": "c"}),
    ],
)
def test_a_line_that_its_device_cannot_have_known_bounds_nothing(
    size: int, window: dict[str, str]
) -> None:
    when = {letter: f"2026-07-01T0{hour}:00:00.000Z" for hour, letter in enumerate("abc")}
    told = entry(seen={"size": size, "root": ""})
    found = proven(told, 2, list(when.values()))["window"]
    assert found == {edge: when[letter] for edge, letter in window.items()}
