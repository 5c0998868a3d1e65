"""Duties, closed days and events on record, and the list of what is due."""

from __future__ import annotations

from typing import Any

import pytest
from tests.baths import Baths
from tests.offline_tablet import OfflineTablet

from lanewater.kernel.deciding.carriedfacts import facts_after
from lanewater.kernel.deciding.duelist import due_list
from lanewater.kernel.deciding.dutiesafter import site_after
from lanewater.kernel.deciding.schedules import duties_now
from lanewater.service.actor import ANYBODY
from lanewater.service.carry import carry
from lanewater.service.clock import instant_ms
from lanewater.service.duties import due_page, duty_done, note_event
from lanewater.service.duty_facts import site_facts
from lanewater.service.permission import NotAllowedError
from lanewater.service.pool_facts import facts_of
from lanewater.service.schedule import due
from lanewater.service.set_up import add
from lanewater.service.transfer import export_set_up
from lanewater.terms.errors import InputError

WEEKLY = {"name": "Backwash", "kind": "backwash", "every": {"weeks": 1}, "pool": "main"}
DRILL = {"name": "Drill", "kind": "emergency-drill", "every": {"months": 3}, "from": "2026-07-01"}


def rows(baths: Baths, part: str = "mine", person: str = "") -> list[dict[str, Any]]:
    """Give a part of the list."""
    found: list[dict[str, Any]] = due_page(baths.book, baths.now_ms, person)[part]
    return found


def ids(baths: Baths, part: str = "mine", person: str = "") -> list[str]:
    """Give the ids of a part of the list."""
    return [row["id"] for row in rows(baths, part, person)]


def test_a_duty_is_asked_of_its_role_until_somebody_says_it_is_done(baths: Baths) -> None:
    add(baths.book, baths.who("area"), "duty", WEEKLY)
    assert "site:backwash" in ids(baths, "mine", "p-operator")
    assert "site:backwash" in ids(baths, "others", "p-tester")
    given = {"duty": "site:backwash", "answer": "done", "pool": "main"}
    duty_done(baths.book, ANYBODY, given)
    assert "site:backwash" not in ids(baths, "mine", "p-operator")
    later = next(row for row in rows(baths, "later") if row["id"] == "site:backwash")
    assert later["due"].startswith("2026-07-09T02:00")
    baths.reopened()
    assert "site:backwash" in ids(baths, "later")


def test_a_duty_of_no_pool_is_the_sites(baths: Baths) -> None:
    add(baths.book, baths.who("area"), "duty", DRILL)
    row = next(row for row in rows(baths, "mine", "p-manager") if row["kind"] == "emergency-drill")
    assert (row["pool"], row["name"], row["words"]) == ("", "Harbour Baths", "Drill")
    duty_done(baths.book, baths.who("manager"), {"duty": "site:drill", "answer": "not-needed"})
    assert "site:drill" in ids(baths, "later")


def test_a_duty_that_was_ended_is_asked_for_no_more(baths: Baths) -> None:
    area = baths.who("area")
    put = add(baths.book, area, "duty", WEEKLY)["id"]
    add(baths.book, area, "duty", WEEKLY | {"duty": put, "gone": True})
    assert "site:backwash" not in ids(baths, "mine", "p-operator") + ids(baths, "later")
    assert export_set_up(baths.book)["duties"] == []


def test_setting_up_takes_authority_and_saying_that_it_is_done_takes_none(baths: Baths) -> None:
    with pytest.raises(NotAllowedError):
        add(baths.book, baths.who("tester"), "duty", WEEKLY)
    with pytest.raises(NotAllowedError):
        add(baths.book, baths.who("tester"), "closed-days", {"days": []})


@pytest.mark.parametrize(
    ("item", "field"),
    [
        (WEEKLY | {"every": {"weeks": 1, "days": 2}}, "every"),
        ({"name": "Once", "kind": "other"}, "every"),
        (WEEKLY | {"pool": "lagoon"}, "pool"),
        (WEEKLY | {"kind": "sweep"}, "kind"),
    ],
)
def test_a_duty_that_does_not_fit_is_refused_by_its_field(
    baths: Baths, item: dict[str, Any], field: str
) -> None:
    with pytest.raises(InputError) as caught:
        add(baths.book, baths.who("area"), "duty", item)
    assert caught.value.field == field


def test_what_nothing_asks_for_cannot_be_done(baths: Baths) -> None:
    with pytest.raises(InputError):
        duty_done(baths.book, ANYBODY, {"duty": "site:nothing", "answer": "done"})


def test_on_a_closed_day_no_round_is_due_and_the_pool_is_shut(baths: Baths) -> None:
    assert due(baths.book, "main", baths.now_ms)["at"] is not None
    days = {"days": [{"day": "2026-07-02"}, {"day": "2026-07-01", "name": "Canada Day"}]}
    add(baths.book, baths.who("area"), "closed-days", days)
    found = due(baths.book, "main", baths.now_ms)
    assert found["at_ms"] is None or found["at_ms"] >= instant_ms("2026-07-03T00:00:00-04:00", "")
    assert all(row["state"] != "missed" for row in rows(baths))
    told = export_set_up(baths.book)["closed_days"]
    assert [row["day"] for row in told[0]["days"]] == ["2026-07-01", "2026-07-02"]
    add(baths.book, baths.who("area"), "closed-days", {"days": []})
    assert export_set_up(baths.book)["closed_days"] == []


def test_what_a_tablet_says_of_duties_and_rain_comes_to_the_same_as_on_the_record(
    baths: Baths,
) -> None:
    for item in (WEEKLY, DRILL):
        add(baths.book, baths.who("area"), "duty", item)
    tablet = OfflineTablet(baths.book, "Poolside").enrol()
    state = baths.book.state
    pool = facts_of(baths.book, state, "main", baths.now_ms)
    site = site_facts(state, baths.now_ms)
    baths.wait(5)
    for kind, body in (
        ("duty-done", {"duty": "site:backwash", "answer": "done", "pool": "main"}),
        ("duty-done", {"duty": "site:drill", "answer": "not-needed"}),
        ("event-noted", {"what": "rain"}),
        ("event-noted", {"what": "crowd", "pool": "main"}),
        ("event-noted", {"what": "dust", "pool": "teaching"}),
    ):
        identity = tablet.write(kind, body)
        line = {"kind": kind, "id": identity, "at": baths.now_ms, "user": "p-tester"}
        own = {**line, "method": "none", "body": body, "readings": [], "normal": []}
        pool, site = facts_after(pool, own), site_after(site, own)
    after = baths.book.state
    told = facts_of(baths.book, after, "main", baths.now_ms)
    for key in ("events", "duties_done", "read", "read_values", "schedules"):
        assert pool[key] == told[key]
    assert site == site_facts(after, baths.now_ms)
    assert {row["what"] for row in told["events"]} == {"rain", "crowd"}


def test_what_is_carried_gives_the_same_list_as_the_record(baths: Baths) -> None:
    add(baths.book, baths.who("area"), "duty", DRILL)
    baths.round()
    held = carry(baths.book, {"id": "d", "name": "Tablet", "kind": "shared"}, baths.now_ms)
    places = [row["facts"] for row in held["pools"]] + [held["duties"]]
    carried = due_list(places, ["tester"], baths.now_ms)
    told = due_page(baths.book, baths.now_ms, "p-tester")
    for part in ("mine", "others", "later"):
        assert [(row["id"], row["pool"]) for row in carried[part]] == [
            (row["id"], row["pool"]) for row in told[part]
        ]


def test_the_order_in_which_lines_arrive_changes_nothing(baths: Baths) -> None:
    add(baths.book, baths.who("area"), "duty", WEEKLY)
    first, second = (OfflineTablet(baths.book, name).enrol() for name in ("One", "Two"))
    baths.wait(60)
    second.write("event-noted", {"what": "rain", "pool": "main"}, at_ms=baths.now_ms - 60_000)
    said = {"duty": "site:backwash", "answer": "done", "pool": "main"}
    second.write("duty-done", said, at_ms=baths.now_ms - 60_000)
    first.write("event-noted", {"what": "dust", "pool": "main"}, at_ms=baths.now_ms - 120_000)
    first.write("duty-done", said | {"answer": "not-done"}, at_ms=baths.now_ms - 120_000)
    facts = facts_of(baths.book, baths.book.state, "main", baths.now_ms)
    assert [row["what"] for row in facts["events"]] == ["dust", "rain"]
    assert [row["answer"] for row in facts["duties_done"]] == ["not-done", "done"]
    assert "site:backwash" not in [
        row["id"] for row in duties_now(facts, baths.now_ms) if row["state"] != "ahead"
    ]


def test_an_event_of_an_unknown_pool_is_refused(baths: Baths) -> None:
    with pytest.raises(InputError):
        note_event(baths.book, ANYBODY, {"what": "rain", "pool": "lagoon"})


def test_a_pool_that_owes_a_round_for_two_reasons_stands_once_since_the_earlier_with_both(
    baths: Baths,
) -> None:
    baths.wait(600)
    owed = [row for row in rows(baths) if row["state"] == "overdue" and row["reasons"]]
    assert owed
    tests = [row for row in rows(baths) if row["pool"] == "main" and row["reasons"]]
    assert [row["id"] for row in tests] == ["round"]
    main = next(row for row in owed if row["pool"] == "main")
    assert [one["why"] for one in main["reasons"]] == ["no-round-yet", "plan-interval"]
    facts = facts_of(baths.book, baths.book.state, "main", baths.now_ms)
    since = [row["due_ms"] for row in duties_now(facts, baths.now_ms) if row["kind"] == "round"]
    assert instant_ms(main["due"], "") == since[0] < baths.now_ms
