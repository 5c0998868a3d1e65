"""The handover as the record writes it: nothing open is missing, and taking over is a line."""

from __future__ import annotations

import json
import random
from typing import Any

import pytest
from tests.baths import LOW, PEOPLE, Baths

from lanewater.service.actor import ANYBODY, SHELL, Actor
from lanewater.service.additions import answer_addition, start_addition
from lanewater.service.clock import instant_text
from lanewater.service.handover import acknowledge, handover_page
from lanewater.service.now import now_page
from lanewater.service.opening import close_pool, everyone_out, open_pool, told
from lanewater.service.permission import NotAllowedError
from lanewater.service.set_up import add
from lanewater.terms.errors import InputError, LanewaterError


def answer_last(baths: Baths, said: str) -> None:
    """Answer what is being added."""
    waiting = [row.id for row in baths.book.state.additions.values() if not row.answer]
    if waiting:
        answer_addition(baths.book, baths.who("operator"), {"addition": waiting[0], "answer": said})


def tell_last(baths: Baths) -> None:
    """Tell the manager of the last round."""
    last = baths.book.state.last_round("main")
    if last is not None:
        told(baths.book, ANYBODY, {"pool": "main", "about": last.id, "whom": "p-manager"})


STEPS = (
    lambda baths: baths.round(),
    lambda baths: baths.round(**LOW),
    lambda baths: baths.round("teaching", free_chlorine="0.00"),
    lambda baths: baths.round("plunge", ph="8.10"),
    lambda baths: baths.retest("main"),
    lambda baths: everyone_out(baths.book, ANYBODY, {"pool": "main", "stop": "glass"}),
    lambda baths: open_pool(baths.book, baths.who("manager"), {"pool": "main"}),
    lambda baths: close_pool(
        baths.book, baths.who("manager"), {"pool": "main", "kind": "closed", "reason": "Tiles"}
    ),
    lambda baths: start_addition(
        baths.book, baths.who("operator"), {"pool": "main", "product": "hypo"}
    ),
    lambda baths: answer_last(baths, "added"),
    lambda baths: answer_last(baths, "unknown"),
    tell_last,
    lambda baths: baths.wait(20),
    lambda baths: baths.wait(300),
)


def page(baths: Baths, person: str = "") -> dict[str, Any]:
    """Give the handover."""
    return dict(json.loads(json.dumps(handover_page(baths.book, baths.now_ms, person))))


def items(baths: Baths) -> set[tuple[str, str]]:
    """Give what it says is open."""
    return {(item["id"], item["about"]) for pool in page(baths)["pools"] for item in pool["items"]}


@pytest.mark.parametrize("seed", range(4))
def test_whatever_happens_nothing_open_is_missing(baths: Baths, seed: int) -> None:
    """After each of many steps, all that waits on any lane stands in the handover."""
    draw = random.Random(seed)  # noqa: S311 - repeatable steps
    met: set[str] = set()
    for _ in range(30):
        try:
            draw.choice(STEPS)(baths)
        except LanewaterError:
            continue
        found = items(baths)
        for row in now_page(baths.book, baths.now_ms)["pools"]:
            wanted = {(action["id"], action["about"]) for action in row["open_actions"]}
            wanted |= {("house-stop", stop["entry"]) for stop in row["stops"]}
            wanted |= {("closed", row["pool"])} if row["status"] == "closed" else set()
            wanted |= {("overdue", row["pool"])} if row["due"]["late"] else set()
            assert wanted - found == set()
            met |= {name for name, _about in wanted}
    assert {"overdue", "house-stop", "tell"} <= met


def test_who_takes_over_stands_on_record_and_is_asked_no_more(baths: Baths) -> None:
    """The manager comes after the tester, reads, takes over, and is left alone."""
    baths.round(**LOW)
    assert page(baths, "p-manager")["asked"]
    assert not page(baths, "p-tester")["asked"]
    assert not page(baths)["asked"]
    read = page(baths, "p-manager")
    given = {"made": read["made"], "open": read["marks"], "more": read["more"]}
    entry = acknowledge(baths.book, baths.who("manager"), given)["entry"]
    assert not page(baths, "p-manager")["asked"]
    assert page(baths)["taken"] == {"by": "p-manager", "at": instant_text(baths.now_ms)}
    assert page(baths)["open"] == read["open"]
    assert baths.reopened().state.handovers[-1].entry == entry


def test_nobody_takes_over_without_a_name(baths: Baths) -> None:
    """Neither somebody who is not on the list, nor a name without its PIN, nor ahead of time."""
    given = {"made": instant_text(baths.now_ms), "open": []}
    for actor in (ANYBODY, Actor("p-tester"), SHELL):
        with pytest.raises(NotAllowedError):
            acknowledge(baths.book, actor, given)
    late = given | {"made": instant_text(baths.now_ms + 3_600_000)}
    with pytest.raises(InputError, match="made"):
        acknowledge(baths.book, baths.who("tester"), late)


def test_a_site_of_one_person_is_never_asked(baths: Baths) -> None:
    """There is nobody to hand over to."""
    baths.round()
    assert page(baths, "p-manager")["asked"]
    for who in ("tester", "operator", "area"):
        person, name, initials, roles = PEOPLE[who]
        gone = {"person": person, "name": name, "initials": initials, "roles": roles}
        add(baths.book, SHELL, "person", gone | {"gone": True})
    assert not page(baths, "p-manager")["asked"]


def test_falling_chlorine_is_handed_over(baths: Baths) -> None:
    """Four rounds that fall by more than test error are said, with the last number."""
    for free in ("1.95", "1.70", "1.45", "1.20"):
        baths.round(free_chlorine=free, total_chlorine=f"{float(free) + 0.1:.2f}")
        baths.wait(420)
    pools = {row["pool"]: row for row in page(baths)["pools"]}
    found = {row["parameter"]: row for row in pools["main"]["trends"]}
    assert (found["free_chlorine"]["way"], found["free_chlorine"]["last"]) == ("down", "1.20")
    assert pools["plunge"]["trends"] == []
