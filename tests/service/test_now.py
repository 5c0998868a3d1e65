"""The Now page says what is, by whom, as heard when, and what waits."""

from __future__ import annotations

import json
from typing import Any

import pytest
from tests.baths import LOW, Baths

from lanewater.service.actor import ANYBODY, SHELL
from lanewater.service.now import now_page
from lanewater.service.opening import everyone_out, open_pool, told
from lanewater.service.rounds import record_round
from lanewater.service.set_up import add
from lanewater.terms.errors import MissingError


def lane(baths: Baths, pool: str = "main") -> dict[str, Any]:
    """Give one pool's lane."""
    page = now_page(baths.book, baths.now_ms)
    json.dumps(page)
    return next(row for row in page["pools"] if row["pool"] == pool)


def test_before_anything_is_said_a_pool_is_unknown_or_shut(baths: Baths) -> None:
    assert lane(baths)["status"] == "shut"
    assert lane(baths, "plunge")["status"] == "unknown"
    baths.wait(60)
    assert lane(baths)["status"] == "unknown"
    assert lane(baths)["stale"]


def test_an_open_pool_says_by_whom_and_what_was_heard(baths: Baths) -> None:
    baths.round()
    open_pool(baths.book, baths.who("manager"), {"pool": "main"})
    found = lane(baths)
    assert (found["status"], found["by"]) == ("open", "p-manager")
    assert found["heard"]["at"] == found["since"]
    assert found["verdict"]["overall"] == "meets"
    assert not found["stale"]
    assert found["same_filter"] == ["teaching"]
    assert found["open_actions"] == []
    baths.wait(241)
    assert lane(baths)["stale"]


def test_a_fail_waits_to_be_told(baths: Baths) -> None:
    first = baths.round(**LOW)["round"]
    repeat = {"id": "repeat", "about": first, "why": "fails", "do": "Repeat the test"}
    assert lane(baths)["open_actions"] == [{"id": "tell", "about": first}, repeat]
    told(baths.book, ANYBODY, {"pool": "main", "about": first, "whom": "p-manager"})
    assert lane(baths)["open_actions"] == [repeat]
    assert (lane(baths)["lead"], lane(baths)["lead_why"]) == ("repeat", ["fails"])


@pytest.mark.parametrize("free", ["0.20", "6.20"])
def test_an_open_pool_whose_last_round_says_close_leads_with_everyone_out(
    baths: Baths, free: str
) -> None:
    baths.round()
    open_pool(baths.book, baths.who("manager"), {"pool": "main"})
    assert (lane(baths)["lead"], lane(baths)["lead_why"]) == ("", [])
    baths.wait(30)
    overall = baths.round(free_chlorine=free, total_chlorine=free)["verdict"]["overall"]
    assert overall in ("close", "evacuate")
    found = lane(baths)
    assert (found["status"], found["stops"]) == ("open", [])
    assert (found["lead"], found["lead_why"]) == ("everyone-out", [f"rules-say-{overall}"])


def test_a_bottom_seen_before_it_was_not_is_not_told_as_seen(baths: Baths) -> None:
    baths.round()
    baths.wait(30)
    clarity = [row for row in lane(baths)["round"]["readings"] if row["parameter"] == "clarity"]
    assert [(row["value"], row["at"]) for row in clarity] == [
        ("visible", "2026-07-01T09:51:00.000Z")
    ]
    everyone_out(baths.book, ANYBODY, {"pool": "main", "stop": "bottom-not-seen"})
    parameters = {row["parameter"] for row in lane(baths)["round"]["readings"]}
    assert "clarity" not in parameters
    assert "ph" in parameters
    baths.wait(5)
    baths.round()
    assert "clarity" in {row["parameter"] for row in lane(baths)["round"]["readings"]}


def test_a_lane_says_by_whom_how_long_ago_and_whether_verified(baths: Baths) -> None:
    record_round(baths.book, ANYBODY, {"pool": "main", "readings": LOW})
    baths.wait(42)
    found = lane(baths)["round"]
    assert (found["by"], found["verified"], found["age_minutes"]) == ("unlisted", False, 42)


def test_duty_managers_are_told_first_and_nobody_tells_oneself(baths: Baths) -> None:
    contact = {"name": "Night desk", "phone": "555-0199", "kind": "manager"}
    add(baths.book, SHELL, "contact", contact)
    page = now_page(baths.book, baths.now_ms)
    assert [row["name"] for row in page["tell"]] == ["Dagny Dutyvik", "Night desk", "Arne Areaberg"]
    page = now_page(baths.book, baths.now_ms, "p-manager")
    assert [row["name"] for row in page["tell"]] == ["Night desk", "Arne Areaberg"]


def test_a_stop_stands_on_the_lane_until_it_is_ended(baths: Baths) -> None:
    entry = everyone_out(baths.book, ANYBODY, {"pool": "main", "stop": "glass"})["entry"]
    found = lane(baths)
    assert (found["status"], found["reason"]) == ("everyone-out", "glass")
    assert {row["id"] for row in found["open_actions"]} == {"tell", "house-stop"}
    assert found["stops"][0]["entry"] == entry
    assert found["opening"]["may"] == "never"


def test_the_page_names_people_once_and_says_whether_it_records(baths: Baths) -> None:
    page = now_page(baths.book, baths.now_ms)
    assert page["people"]["p-manager"] == {"name": "Dagny Dutyvik", "initials": "DD"}
    assert (page["recording"], page["trouble"]) == (True, "")
    assert page["contacts"][0]["phone"] == "112"


def test_the_page_comes_though_the_rules_are_not_to_be_had(baths: Baths) -> None:
    def gone(_identity: str) -> dict[str, Any]:
        raise MissingError("rules: the folder is gone")

    baths.book.load = gone
    baths.book.texts.folder = baths.folder / "nothing-kept"
    baths.round("plunge")
    found = lane(baths, "plunge")
    assert found["verdict"]["overall"] == "not-judged"
    assert found["due"]["detail"].startswith("rules: the accepted text ")
