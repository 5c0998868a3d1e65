"""Readings over time: the worse end of a round, limits of its date, gaps, and what happened."""

from __future__ import annotations

import json
from typing import Any

import pytest
from tests.baths import GOOD, Baths

from lanewater.service.actor import ANYBODY, SHELL
from lanewater.service.additions import answer_addition
from lanewater.service.opening import close_pool, everyone_out, open_pool
from lanewater.service.rounds import record_round
from lanewater.service.set_up import add
from lanewater.service.trends import SHOWN, pool_trends
from lanewater.terms.errors import MissingError

DAY = 24 * 60


def series(baths: Baths, parameter: str, days: int = 30, pool: str = "main") -> dict[str, Any]:
    """Give one parameter's series."""
    found = pool_trends(baths.book, pool, baths.now_ms, days)
    json.dumps(found, allow_nan=False)
    row: dict[str, Any] = next(row for row in found["series"] if row["parameter"] == parameter)
    return row


def test_every_parameter_has_its_series_also_where_nothing_was_read(baths: Baths) -> None:
    found = pool_trends(baths.book, "main", baths.now_ms, 14)
    assert [row["parameter"] for row in found["series"]] == list(SHOWN)
    assert all(row["rows"] == row["limits"] == [] for row in found["series"])


def test_a_round_at_two_points_shows_its_worse_end_and_both(baths: Baths) -> None:
    readings = [
        {"parameter": key, "value": value, "point": point}
        for point, free in (("shallow", "0.92"), ("deep", "1.61"))
        for key, value in (GOOD | {"free_chlorine": free, "total_chlorine": "1.80"}).items()
    ]
    record_round(baths.book, baths.who("tester"), {"pool": "main", "readings": readings})
    row = series(baths, "free_chlorine")["rows"][0]
    assert (row["value"], row["low"], row["high"], row["count"]) == ("0.92", "0.92", "1.61", 2)
    combined = series(baths, "combined_chlorine")["rows"][0]
    assert (combined["value"], combined["low"]) == ("0.88", "0.19")


def test_the_limits_are_those_of_the_rules_of_that_date(baths: Baths) -> None:
    baths.round()
    baths.wait(DAY)
    baths.round()
    add(baths.book, SHELL, "rules", {"rules": "us-in-fishers"})
    baths.wait(DAY)
    baths.round()
    limits = series(baths, "free_chlorine")["limits"]
    assert [(row["low"], row["high"]) for row in limits] == [("0.8", "2.0"), ("1.0", "7.0")]
    assert limits[0]["from"] == "2026-07-01T09:51:00.000Z"
    assert limits[0]["to"] == limits[1]["from"]


def test_a_long_time_without_a_reading_is_a_gap_and_a_night_is_none(baths: Baths) -> None:
    for minutes in (0, 600, 14 * 60, 3 * DAY):
        baths.wait(minutes)
        baths.round()
    assert [row["gap"] for row in series(baths, "ph")["rows"]] == [False, False, False, True]


def test_over_range_and_doubt_are_marked(baths: Baths) -> None:
    baths.round()
    baths.wait(60)
    baths.round(free_chlorine="1.52", total_chlorine="1.10")
    baths.wait(60)
    baths.round(free_chlorine=">6.00", total_chlorine=">6.00")
    rows = series(baths, "free_chlorine")["rows"]
    assert [row["doubtful"] for row in rows] == [False, True, True]
    assert [row["relation"] for row in rows] == ["exact", "exact", "above"]
    assert rows[2]["value"] == "6.00"


def test_from_forty_days_on_a_row_is_a_local_day(baths: Baths) -> None:
    for free in ("1.50", "0.90", "1.90"):
        baths.round(free_chlorine=free, total_chlorine="2.00")
        baths.wait(120)
    assert len(series(baths, "free_chlorine", 39)["rows"]) == 3
    found = pool_trends(baths.book, "main", baths.now_ms, 40)
    assert found["by_day"]
    row = series(baths, "free_chlorine", 40)["rows"][0]
    assert (row["value"], row["low"], row["high"], row["count"]) == ("0.90", "0.90", "1.90", 3)


def test_what_happened_is_told_in_order_and_says_nothing_of_an_amount(baths: Baths) -> None:
    baths.round()
    open_pool(baths.book, baths.who("manager"), {"pool": "main"})
    baths.wait(10)
    given = {"pool": "teaching", "product": "hypo", "amount": "1.234", "unit": "L"}
    answer_addition(baths.book, ANYBODY, {**given, "answer": "added"})
    baths.wait(10)
    close_pool(baths.book, baths.who("manager"), {"pool": "main", "kind": "shut"})
    baths.wait(10)
    everyone_out(baths.book, ANYBODY, {"pool": "main", "stop": "glass"})
    found = pool_trends(baths.book, "main", baths.now_ms, 14)
    assert [(row["kind"], row["pool"]) for row in found["events"]] == [
        ("pool-opened", "main"),
        ("addition", "teaching"),
        ("pool-shut", "main"),
        ("everyone-out", "main"),
    ]
    assert "1.234" not in json.dumps(found)
    assert "hypo" not in json.dumps(found)


def test_what_lies_before_the_days_asked_for_is_left_out(baths: Baths) -> None:
    baths.round()
    open_pool(baths.book, baths.who("manager"), {"pool": "main"})
    baths.wait(3 * DAY)
    found = pool_trends(baths.book, "main", baths.now_ms, 2)
    assert found["events"] == []
    assert series(baths, "ph", 2)["rows"] == []


def test_a_pool_that_is_not_there_is_named(baths: Baths) -> None:
    with pytest.raises(MissingError, match="no such pool"):
        pool_trends(baths.book, "lagoon", baths.now_ms, 14)


def test_a_limit_that_hangs_on_another_reading_is_no_line(baths: Baths) -> None:
    baths.round()
    assert [row["high"] for row in series(baths, "combined_chlorine")["limits"]] == ["0.5"]
    pack = baths.book.load("ca-qc")
    rules = [row | {"relative_to": "free_chlorine"} for row in pack["rules"]]
    baths.book.load = lambda _identity: pack | {"rules": rules}
    assert [row["high"] for row in series(baths, "combined_chlorine")["limits"]] == [""]


def test_limits_stay_though_the_rules_that_judged_are_not_to_be_had(baths: Baths) -> None:
    def gone(_identity: str) -> dict[str, Any]:
        raise MissingError("rules: the folder is gone")

    baths.round()
    baths.book.load = gone
    assert [row["low"] for row in series(baths, "free_chlorine")["limits"]] == ["0.8"]
