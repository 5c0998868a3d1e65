"""A closed day that is set afterwards hides nothing of a day on which the pool was open."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from tests.baths import Baths

from lanewater.kernel.deciding.schedules import duties_now
from lanewater.service.actor import SHELL
from lanewater.service.opening import close_pool, open_pool
from lanewater.service.pool_facts import lane_facts
from lanewater.service.set_up import add
from lanewater.service.sheet_plans import plans_of
from lanewater.terms.errors import RefusedError

TODAY = {"days": [{"day": "2026-07-01", "name": "Canada Day"}]}


def told(baths: Baths) -> list[tuple[str, str]]:
    """Give the round's rows of the list at Main, each with its state."""
    facts = lane_facts(baths.book, baths.book.state, "main", baths.now_ms)
    rows = duties_now(facts, baths.now_ms)
    return [(row["id"], row["state"]) for row in rows if row["id"] == "site:interval"]


def opened(baths: Baths) -> None:
    """Test in the morning, open, and test again five hours too late."""
    baths.round()
    baths.wait(45)
    open_pool(baths.book, baths.who("manager"), {"pool": "main"})
    baths.wait(540)
    baths.round()
    baths.wait(60)


def set_days(baths: Baths, **more: Any) -> None:
    """Set today as a closed day."""
    add(baths.book, SHELL, "closed-days", TODAY | more)


@pytest.mark.parametrize("more", [{}, {"pool": "main"}])
@pytest.mark.parametrize("closed_since", [False, True])
def test_a_day_on_which_a_pool_was_opened_is_no_closed_day(
    baths: Baths, more: dict[str, Any], closed_since: bool
) -> None:
    opened(baths)
    if closed_since:
        close_pool(baths.book, baths.who("manager"), {"pool": "main", "kind": "shut"})
    before = told(baths)
    with pytest.raises(RefusedError, match="2026-07-01"):
        set_days(baths, **more)
    assert told(baths) == before
    assert ("site:interval", "missed") in before


def test_another_pool_may_have_been_closed_that_day(baths: Baths) -> None:
    opened(baths)
    set_days(baths, pool="plunge")


def test_a_pool_that_opens_on_a_closed_day_is_asked_for_its_tests(baths: Baths) -> None:
    set_days(baths)
    baths.round()
    assert ("site:interval", "missed") not in told(baths)
    opened(baths)
    assert ("site:interval", "missed") in told(baths)
    set_days(baths)


def test_closing_on_a_closed_day_hides_nothing_that_was_missed(baths: Baths) -> None:
    set_days(baths)
    opened(baths)
    close_pool(baths.book, baths.who("manager"), {"pool": "main", "kind": "shut"})
    assert ("site:interval", "missed") in told(baths)
    day = date(2026, 7, 1).toordinal() - date(1970, 1, 1).toordinal()
    with baths.book.reading() as connection:
        plans = plans_of(baths.book, connection, "main")
    assert all(day not in plan.closed_days for plan in plans)


@pytest.mark.parametrize("closed_since", [False, True])
def test_a_day_within_an_opening_is_no_closed_day(baths: Baths, *, closed_since: bool) -> None:
    opened(baths)
    baths.wait(2 * 24 * 60)
    if closed_since:
        close_pool(baths.book, baths.who("manager"), {"pool": "main", "kind": "shut"})
    with pytest.raises(RefusedError, match="2026-07-02"):
        add(baths.book, SHELL, "closed-days", {"days": [{"day": "2026-07-02", "name": "x"}]})
