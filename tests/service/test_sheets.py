"""What is gathered for a sheet: the lines of its days, and how its pools stood before them."""

from __future__ import annotations

from datetime import timedelta

import pytest
from tests.baths import MORNING, Baths
from tests.reports.sheet_cases import FIRST_DAY, late_round, part, rows, sheet

from lanewater.records.entries import parse
from lanewater.service.actor import SHELL
from lanewater.service.opening import close_pool, everyone_out, open_pool
from lanewater.service.set_up import add
from lanewater.service.sheet_plans import plans_of
from lanewater.service.sheets import status_before
from lanewater.terms.jsontext import read_json

MINUTE_MS = 60_000


def pool_again(baths: Baths, **changes: object) -> None:
    """Set the main pool up again with changes."""
    known = baths.book.state.pools["main"]
    item = {"pool": "main", "name": known.name, "facts": dict(known.facts), "circuit": "hall"}
    add(baths.book, SHELL, "pool", item | changes)


def test_a_line_belongs_to_the_day_it_claims_and_not_to_the_day_it_came(baths: Baths) -> None:
    baths.wait(50 * 60)
    late_round(baths, "2026-07-01T10:02:00-04:00", source="paper", reason="tablet flat")
    assert len(rows(sheet(baths), "round")) == 1
    assert rows(sheet(baths, FIRST_DAY + timedelta(days=2)), "round") == []


def test_what_is_about_a_line_comes_with_it_whenever_it_was_said(baths: Baths) -> None:
    entry = baths.round()["round"]
    kinds = {
        found.type
        for line in sheet(baths).events.splitlines()
        for found in [parse(read_json(line)["entry"].encode())]
        if entry in (found.id, found.body.get("round"))
    }
    assert kinds == {"round-recorded", "round-judged"}


@pytest.mark.parametrize(
    ("kind", "status"), [("closed", "closed"), ("shut", "shut"), ("open", "open")]
)
def test_how_a_pool_stood_before_is_known(baths: Baths, kind: str, status: str) -> None:
    baths.round()
    manager = baths.who("manager")
    open_pool(baths.book, manager, {"pool": "main"})
    baths.wait(1)
    if kind != "open":
        close_pool(baths.book, manager, {"pool": "main", "kind": kind, "reason": "r"})
    with baths.book.reading() as connection:
        found = status_before(connection, baths.book.site, "main", baths.now_ms + 1)
        before = status_before(connection, baths.book.site, "main", MORNING)
    assert found[0] == status
    assert before == ("", 0)


def test_a_house_stop_before_the_period_closes_the_pool_in_it(baths: Baths) -> None:
    baths.round()
    open_pool(baths.book, baths.who("manager"), {"pool": "main"})
    baths.wait(1)
    everyone_out(baths.book, baths.who("tester"), {"pool": "main", "stop": "glass"})
    baths.wait(3 * 24 * 60)
    later = sheet(baths, FIRST_DAY + timedelta(days=1), FIRST_DAY + timedelta(days=2))
    assert rows(later, "gap") == []
    assert "closed on record since 2026-07-01" in rows(later, "quiet")[0].text


def test_a_round_that_says_everyone_out_closes_the_pool_too(baths: Baths) -> None:
    baths.round()
    open_pool(baths.book, baths.who("manager"), {"pool": "main"})
    baths.wait(1)
    baths.round(clarity="not-visible")
    baths.wait(3 * 24 * 60)
    later = sheet(baths, FIRST_DAY + timedelta(days=1), FIRST_DAY + timedelta(days=2))
    assert rows(later, "gap") == []


def test_each_set_up_holds_from_when_it_was_recorded(baths: Baths) -> None:
    baths.wait(60)
    pool_again(baths, interval_minutes=120, hours=[])
    changed = baths.now_ms
    with baths.book.reading() as connection:
        first, second = plans_of(baths.book, connection, "main")
    assert (first.every_ms, second.every_ms) == (240 * MINUTE_MS, 120 * MINUTE_MS)
    assert second.from_ms == changed
    assert (first.hours is None, second.hours) == (False, [])


def test_setting_up_the_same_again_changes_no_plan(baths: Baths) -> None:
    for _ in range(3):
        baths.wait(60)
        pool_again(baths, interval_minutes=120)
    with baths.book.reading() as connection:
        assert len(plans_of(baths.book, connection, "main")) == 2


def test_a_gap_before_the_period_is_counted_from_the_last_test_before_it(baths: Baths) -> None:
    baths.wait(15 * 60)
    baths.round()
    baths.wait(24 * 60)
    later = part(sheet(baths, FIRST_DAY + timedelta(days=1)))
    assert [row.at for row in later.rows if row.kind == "gap"] == ["2026-07-02 06:30"]


def test_nothing_is_claimed_about_time_that_has_not_come(baths: Baths) -> None:
    baths.round()
    assert rows(sheet(baths, FIRST_DAY, FIRST_DAY + timedelta(days=30)), "gap", "quiet") == []
