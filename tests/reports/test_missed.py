"""Tests and duties that schedules asked for stand on the sheets as gaps, with their clause."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from tests.baths import Baths
from tests.reports.sheet_cases import FIRST_DAY, rows, sheet

from lanewater.service.duties import duty_done, note_event
from lanewater.service.now import now_page
from lanewater.service.opening import open_pool
from lanewater.service.packs import load_pack
from lanewater.service.set_up import add

BEFORE = {
    "id": "opening-test",
    "clause": "r. 48",
    "source": "text",
    "evidence": "seen",
    "words": "Test chlorine and pH before opening.",
    "note": "",
    "test": ["free_chlorine", "ph"],
    "duty": "",
    "form": "before-opening",
    "seconds": 3600,
    "count": 0,
    "unit": "",
    "at": [],
    "clock": [],
    "after": [],
    "by": "hand",
    "spacing_days": 0,
    "grace_seconds": 0,
    "while_closed": False,
    "when": [],
}
DAY_MINUTES = 24 * 60


@pytest.fixture
def ruled(baths: Baths) -> Baths:
    """The baths under rules that ask for a test before opening."""
    pack = load_pack("ca-qc") | {"schedules": [BEFORE]}
    baths.book.load = lambda _: pack
    return baths


def texts(baths: Baths, day: int = 0) -> list[str]:
    """Give what the sheet of a day says of gaps, but for those of the plan's interval."""
    found = sheet(baths, FIRST_DAY + timedelta(days=day))
    return [row.text for row in rows(found, "gap") if "due by" in row.text or "[" in row.text]


def test_a_test_before_opening_that_was_not_done_is_a_gap_with_its_clause(ruled: Baths) -> None:
    ruled.wait(14 * 60)
    (text,) = texts(ruled)
    assert text.startswith("the test before opening was due 06:30: none by 19:51")
    assert text.endswith("(Test chlorine and pH before opening. [r. 48])")


def test_a_test_in_its_window_leaves_no_gap(ruled: Baths) -> None:
    ruled.round()
    ruled.wait(14 * 60)
    assert texts(ruled) == []


def test_a_closed_day_is_no_gap_and_one_that_was_set_after_it_hides_none(ruled: Baths) -> None:
    tomorrow = (FIRST_DAY + timedelta(days=1)).isoformat()
    add(ruled.book, ruled.who("area"), "closed-days", {"days": [{"day": tomorrow}]})
    ruled.wait(3 * DAY_MINUTES)
    assert texts(ruled, 1) == []
    quiet = rows(sheet(ruled, FIRST_DAY + timedelta(days=1)), "quiet")
    assert quiet[0].text.endswith("a closed day")
    assert len(texts(ruled, 2)) == 1
    after = (FIRST_DAY + timedelta(days=2)).isoformat()
    add(ruled.book, ruled.who("area"), "closed-days", {"days": [{"day": tomorrow}, {"day": after}]})
    assert len(texts(ruled, 2)) == 1


def test_a_weekly_duty_that_is_owed_is_a_gap_on_its_day_until_it_is_done(baths: Baths) -> None:
    duty: dict[str, Any] = {"name": "Backwash", "kind": "backwash", "pool": "main"}
    add(baths.book, baths.who("area"), "duty", duty | {"every": {"weeks": 1}})
    baths.wait(2 * DAY_MINUTES)
    assert texts(baths) == ["Backwash (site plan) due by this day: not done when this was printed"]
    given = {"duty": "site:backwash", "answer": "done", "pool": "main", "words": "Both filters"}
    duty_done(baths.book, baths.who("operator"), given)
    note_event(baths.book, baths.who("operator"), {"what": "rain", "pool": "main"})
    assert texts(baths) == []
    found = sheet(baths, FIRST_DAY + timedelta(days=2))
    assert [row.text for row in rows(found, "duty", "event")] == [
        "backwash: done: Both filters",
        "rain",
    ]


def test_a_pool_opened_before_any_test_of_the_day_stands_on_the_sheet_and_on_its_lane(
    baths: Baths,
) -> None:
    given = {"pool": "main", "reason": "The school is at the door"}
    opened = open_pool(baths.book, baths.who("manager"), given)["entry"]
    lane = next(row for row in now_page(baths.book, baths.now_ms)["pools"] if row["pool"] == "main")
    assert ("opened-before-test", opened) in [
        (row["id"], row["about"]) for row in lane["open_actions"]
    ]
    baths.wait(60)
    baths.round()
    found = sheet(baths)
    assert "opened before any test of the day" in [row.text for row in rows(found, "gap")]
    baths.wait(DAY_MINUTES)
    baths.round()
    baths.wait(5)
    open_pool(baths.book, baths.who("manager"), {"pool": "teaching", "reason": "Asked for"})
    tomorrow = sheet(baths, FIRST_DAY + timedelta(days=1))
    assert "opened before any test of the day" not in [row.text for row in rows(tomorrow, "gap")]
