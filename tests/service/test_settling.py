"""Two tablets on one pool: both are kept, closed stands, and a named person settles it."""

from __future__ import annotations

from typing import Any

import pytest
from tests.baths import GOOD, Baths
from tests.offline_tablet import OfflineTablet

from lanewater.service.actor import ANYBODY, SHELL, Actor
from lanewater.service.now import now_page
from lanewater.service.opening import (
    close_pool,
    end_house_stop,
    in_conflict,
    open_pool,
    opening_answer,
    settle_opening,
)
from lanewater.service.permission import NotAllowedError
from lanewater.terms.errors import InputError, RefusedError

READINGS = [{"parameter": key, "value": value} for key, value in GOOD.items()]


def status(baths: Baths) -> str:
    """Give the last word on Main."""
    return baths.book.state.openings["main"].status


def lane(baths: Baths) -> dict[str, Any]:
    """Give Main's lane on the Now page."""
    found = now_page(baths.book, baths.now_ms)["pools"]
    return next(row for row in found if row["pool"] == "main")


def disagree(baths: Baths) -> OfflineTablet:
    """Have the manager open Main while a tablet out of reach had called everyone out."""
    tablet = OfflineTablet(baths.book, "Tablet 2").enrol()
    baths.round()
    open_pool(baths.book, baths.who("manager"), {"pool": "main"})
    called_ms = baths.now_ms
    baths.wait(3)
    tablet.write("everyone-out", {"pool": "main", "stop": "glass"}, at_ms=called_ms)
    return tablet


def settle(baths: Baths, status: str, **changes: Any) -> dict[str, Any]:
    """Settle Main as the manager."""
    entries = in_conflict(baths.book.state, "main")
    given = {"pool": "main", "status": status, "entries": entries, "reason": "I went to look"}
    return settle_opening(baths.book, baths.who("manager"), given | changes)


def end_stop(baths: Baths) -> None:
    """End the house stop at Main."""
    end_house_stop(baths.book, baths.who("manager"), {"pool": "main", "reason": "swept"})


def test_a_stop_that_arrives_late_closes_what_was_opened_unaware(baths: Baths) -> None:
    disagree(baths)
    assert status(baths) == "closed"
    assert [row.id for row in baths.book.state.stops["main"]] == ["glass"]
    assert baths.reopened().state.openings["main"].status == "closed"


def test_the_task_says_who_said_what_when_and_through_which_device(baths: Baths) -> None:
    disagree(baths)
    task = lane(baths)["open_actions"][0]
    assert task["id"] == "devices-disagree"
    assert len(task["entries"]) == 2
    told = {(side["said"], side["stop"], side["by"], side["device"]) for side in task["sides"]}
    assert told == {
        ("open", "", "p-manager", "commands"),
        ("closed", "glass", "p-tester", "Tablet 2"),
    }


def test_nobody_opens_until_it_is_settled(baths: Baths) -> None:
    disagree(baths)
    end_stop(baths)
    assert opening_answer(baths.book, "main", baths.now_ms)["why"] == ["devices-disagree"]
    with pytest.raises(RefusedError, match="devices-disagree"):
        open_pool(baths.book, baths.who("manager"), {"pool": "main", "reason": "r"})
    settle(baths, "open")
    assert status(baths) == "open"
    assert lane(baths)["open_actions"] == []
    assert baths.reopened().state.openings["main"].by == "p-manager"


def test_settling_as_closed_leaves_the_pool_to_be_opened_as_any(baths: Baths) -> None:
    disagree(baths)
    settle(baths, "closed")
    assert lane(baths)["open_actions"][0]["id"] != "devices-disagree"
    assert baths.book.state.openings["main"].reason == "I went to look"
    end_stop(baths)
    assert status(baths) == "closed"
    open_pool(baths.book, baths.who("manager"), {"pool": "main"})
    assert status(baths) == "open"


def test_nothing_is_settled_as_open_while_a_house_stop_stands(baths: Baths) -> None:
    disagree(baths)
    with pytest.raises(RefusedError, match="house-stop:glass"):
        settle(baths, "open")


def test_settling_as_open_on_less_than_meets_is_marked(baths: Baths) -> None:
    disagree(baths)
    end_stop(baths)
    baths.wait(5 * 60)
    assert settle(baths, "open")["marked"] == ["round-out-of-date"]
    assert baths.book.state.openings["main"].marked == ("round-out-of-date",)


@pytest.mark.parametrize(
    "actor",
    [
        ANYBODY,
        SHELL,
        Actor("p-manager", "shell"),
        Actor("p-manager", "none"),
        Actor("unlisted", "key", through="tab-1"),
        Actor("p-tester", "pin", verified=True),
        Actor("p-operator", "pin", verified=True),
    ],
)
def test_nobody_settles_who_may_not_open(baths: Baths, actor: Actor) -> None:
    disagree(baths)
    entries = in_conflict(baths.book.state, "main")
    given = {"pool": "main", "status": "closed", "entries": entries, "reason": "r"}
    with pytest.raises(NotAllowedError, match="duty manager"):
        settle_opening(baths.book, actor, given)
    assert in_conflict(baths.book.state, "main") == entries


def test_settling_takes_a_reason_and_every_line_in_conflict(baths: Baths) -> None:
    tablet = disagree(baths)
    shown = in_conflict(baths.book.state, "main")
    with pytest.raises(InputError, match="reason"):
        settle(baths, "closed", reason=None)
    with pytest.raises(RefusedError, match="look again"):
        settle(baths, "closed", entries=[shown[0], tablet.key.device])
    another = OfflineTablet(baths.book, "Tablet 3").enrol()
    another.seen_size = 1
    another.write("everyone-out", {"pool": "main", "stop": "blood"})
    with pytest.raises(RefusedError, match="look again"):
        settle(baths, "closed", entries=shown)
    assert settle(baths, "closed")["entry"]


def test_where_nothing_is_in_conflict_nothing_is_settled(baths: Baths) -> None:
    baths.round()
    given = {"pool": "main", "status": "open", "entries": ["a", "b"], "reason": "r"}
    with pytest.raises(RefusedError, match="nothing is in conflict"):
        settle_opening(baths.book, baths.who("manager"), given)


def test_a_stop_by_somebody_who_knew_of_the_opening_is_no_conflict(baths: Baths) -> None:
    tablet = OfflineTablet(baths.book, "Tablet 2").enrol()
    baths.round()
    open_pool(baths.book, baths.who("manager"), {"pool": "main"})
    tablet.hear().write("everyone-out", {"pool": "main", "stop": "glass"})
    assert in_conflict(baths.book.state, "main") == []
    end_stop(baths)
    assert opening_answer(baths.book, "main", baths.now_ms)["may"] == "open"


def test_two_closings_are_both_shown_and_no_conflict(baths: Baths) -> None:
    tablet = OfflineTablet(baths.book, "Tablet 2").enrol()
    close_pool(baths.book, baths.who("manager"), {"pool": "main", "kind": "shut"})
    baths.wait(1)
    tablet.write("pool-closed", {"pool": "main", "kind": "closed"})
    found = lane(baths)
    assert found["status"] == "closed"
    assert [side["said"] for side in found["also_closed"]] == ["shut"]
    assert not any(row["id"] == "devices-disagree" for row in found["open_actions"])


def test_a_stop_in_a_round_written_unaware_closes_and_is_settled_too(baths: Baths) -> None:
    tablet = OfflineTablet(baths.book, "Tablet 2").enrol()
    taken_ms = baths.now_ms
    baths.wait(20)
    baths.round()
    open_pool(baths.book, baths.who("manager"), {"pool": "main"})
    baths.wait(5)
    readings = [
        row | ({"value": "not-visible"} if row["parameter"] == "clarity" else {})
        for row in READINGS
    ]
    body = {
        "pool": "main",
        "source": "direct",
        "tester": {"person": "p-tester"},
        "readings": readings,
    }
    tablet.write("round-recorded", body, at_ms=taken_ms)
    assert [row.id for row in baths.book.state.stops["main"]] == ["bottom-not-seen"]
    assert status(baths) == "closed"
    side = next(row for row in lane(baths)["open_actions"][0]["sides"] if row["stop"])
    assert (side["stop"], side["by"], side["device"]) == (
        "bottom-not-seen",
        "p-tester",
        "Tablet 2",
    )


def test_a_round_that_a_later_one_repeats_stops_nothing_when_it_arrives(baths: Baths) -> None:
    tablet = OfflineTablet(baths.book, "Tablet 2").enrol()
    taken_ms = baths.now_ms
    baths.wait(20)
    baths.round()
    readings = [
        row | ({"value": "0.00"} if row["parameter"].endswith("chlorine") else {})
        for row in READINGS
    ]
    body = {
        "pool": "main",
        "source": "direct",
        "tester": {"person": "p-tester"},
        "readings": readings,
    }
    tablet.write("round-recorded", body, at_ms=taken_ms)
    assert baths.book.state.stops.get("main", ()) == ()
