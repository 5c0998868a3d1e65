"""Nothing that is open is missing from a handover, and nobody is nagged."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.kernel.deciding.deciding_cases import AT, HOUR, reading
from tests.kernel.deciding.handover_cases import ROWS, handed, lane

from lanewater.kernel.deciding.handover import handover, handover_asked, pool_trends_now


def said(answer: dict[str, Any]) -> list[tuple[str, str]]:
    """Give what a handover says is open."""
    return [(item["id"], item["about"]) for pool in answer["pools"] for item in pool["items"]]


@settings(max_examples=400, deadline=None)
@given(st.lists(ROWS, max_size=4, unique_by=lambda row: row["pool"]))
def test_nothing_open_is_ever_missing_and_nothing_is_said_twice(rows: list[dict[str, Any]]) -> None:
    """Whatever waits on a lane is handed over, of whatever kind it is."""
    answer = handover(handed(rows))
    found = said(answer)
    wanted: set[tuple[str, str]] = set()
    for row in rows:
        wanted |= {(action["id"], action["about"]) for action in row["open_actions"]}
        wanted |= {("house-stop", stop["entry"]) for stop in row["stops"]}
        wanted |= {("marked", f"{row['pool']}:{mark}") for mark in row["marked"]}
        if row["status"] == "closed":
            wanted.add(("closed", row["pool"]))
        if row["due"]["late"]:
            wanted.add(("overdue", row["pool"]))
        for why in row["lead_why"]:
            if why.startswith("rules-say-"):
                wanted.add((why, row["pool"]))
    assert set(found) == wanted
    assert answer["open"] == len(found)
    assert answer["marks"] == ["|".join(item) for item in found][:100]
    assert answer["more"] == max(len(found) - 100, 0)


def test_what_a_pool_shares_with_its_filter_is_said_once_where_it_belongs() -> None:
    """A wait in one pool stands in each lane of the filter and once in the handover."""
    wait = {"id": "wait", "about": "add-1", "pool": "main", "until": "2026-11-25T07:00:00.000Z"}
    answer = handover(
        handed([lane("teaching", open_actions=[wait]), lane("main", open_actions=[wait])])
    )
    assert said(answer) == [("wait", "add-1")]
    assert [len(pool["items"]) for pool in answer["pools"]] == [0, 1]


def test_people_come_before_what_is_only_late() -> None:
    """A house stop is said first and what is not known of comes after what is."""
    row = lane(
        "main",
        open_actions=[
            {"id": "of-tomorrow", "about": "x"},
            {"id": "tell", "about": "r"},
            {"id": "dose-running", "about": "a", "pool": "main"},
            {"id": "house-stop", "about": "e", "stop": "glass"},
        ],
        stops=[{"id": "glass", "entry": "e"}],
        due={"late": True},
    )
    order = [name for name, _about in said(handover(handed([row])))]
    assert order == ["house-stop", "dose-running", "tell", "of-tomorrow", "overdue"]


def test_a_trend_takes_four_rounds_and_more_than_test_error() -> None:
    """Chlorine that falls is said; a pH that wobbles is not, and no doubtful number counts."""
    rounds = [
        {
            "at": AT - (5 - step) * 7 * HOUR,
            "readings": [
                reading("free_chlorine", f"{1.9 - 0.25 * step:.2f}"),
                reading("total_chlorine", f"{2.0 - 0.02 * step:.2f}"),
                reading("ph", "7.40" if step % 2 else "7.42"),
            ],
        }
        for step in range(5)
    ]
    found = {row["parameter"]: row for row in pool_trends_now(rounds, AT)}
    assert found["free_chlorine"]["way"] == "down"
    assert found["free_chlorine"]["last"] == "0.90"
    assert found["combined_chlorine"]["way"] == "up"
    assert "ph" not in found
    doubted = [row | {"doubtful": ["free_chlorine"]} for row in rounds]
    assert "free_chlorine" not in {row["parameter"] for row in pool_trends_now(doubted, AT)}
    assert pool_trends_now(rounds[:3], AT) == []
    assert pool_trends_now(rounds, AT + 30 * 24 * HOUR) == []


@pytest.mark.parametrize(
    ("change", "asked"),
    [
        ({}, True),
        ({"listed": 1}, False),
        ({"person": ""}, False),
        ({"person": "unlisted"}, False),
        ({"acts": [{"by": "p-two", "at": AT - HOUR}]}, True),
        ({"acts": [{"by": "p-one", "at": AT - 9 * HOUR}]}, False),
        ({"acts": [{"by": "p-one", "at": AT}, {"by": "p-two", "at": AT - HOUR}]}, False),
        (
            {"acts": [{"by": "p-one", "at": AT - 3 * HOUR}, {"by": "p-two", "at": AT - HOUR}]},
            False,
        ),
    ],
)
def test_only_who_comes_after_others_is_asked(change: dict[str, Any], asked: bool) -> None:
    """One-person sites are not, nor who worked within the shift, nor who is not on the list."""
    case = handed([]) | {
        "person": "p-one",
        "acts": [{"by": "p-one", "at": AT - 9 * HOUR}, {"by": "p-two", "at": AT - HOUR}],
    }
    assert handover_asked(case | change) is asked
