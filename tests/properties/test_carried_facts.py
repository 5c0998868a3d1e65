"""A tablet counts its own lines as the server will: the same facts, however it was used."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.baths import MINUTE_MS, Baths
from tests.properties.carried_story import POOLS, ROUNDS, Story, based_on

from lanewater.kernel.deciding.duelist import due_list
from lanewater.kernel.deciding.incidentkinds import INCIDENTS
from lanewater.kernel.deciding.incidents import incident_now
from lanewater.kernel.deciding.mayopen import opening_now
from lanewater.kernel.deciding.poolnow import pool_now
from lanewater.records.entries import Entry
from lanewater.service.actor import SHELL
from lanewater.service.set_up import add

SEVERAL = settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
Draw = Callable[..., Any]
POOL = st.sampled_from(POOLS)
CLOSED_DAY = {"days": [{"day": "2026-07-01", "name": "Canada Day"}]}
STOPS = ("glass", "bottom-not-seen", "lightning", "circulation-stopped")


def readings(kind: str, points: list[str]) -> list[dict[str, Any]]:
    """Give a round's readings, at each of some points."""
    return [
        {"parameter": key, "value": value} | ({"point": point} if point else {})
        for point in points
        for key, value in ROUNDS[kind].items()
    ]


def do_a_round(story: Story, draw: Draw) -> None:
    """Have a round tested, at one point or two, now or entered late."""
    late = draw(st.sampled_from([0, 0, 0, 90, 700]))
    body: dict[str, Any] = {
        "pool": draw(POOL),
        "source": "late" if late else "direct",
        "tester": {"person": "p-tester"},
        "readings": readings(
            draw(st.sampled_from(sorted(ROUNDS))),
            draw(st.sampled_from([[""], [""], ["shallow", "deep"]])),
        ),
    }
    if draw(st.integers(0, 5)) == 0:
        body["purpose"] = "sample"
    if draw(st.integers(0, 3)) == 0:
        body["changed_after_result"] = [{"parameter": "ph", "value": "6.40"}]
    story.told.append(story.say("round-recorded", body, at_ms=story.now_ms - late * MINUTE_MS))


def correct(story: Story, draw: Draw) -> None:
    """Have a reading of a pool's last round corrected."""
    pool = draw(POOL)
    last = story.facts[pool]["last"]
    if last is None or not any(row["parameter"] == "ph" for row in last["readings"]):
        return
    row = next(row for row in last["readings"] if row["parameter"] == "ph")
    value = draw(st.sampled_from(["7.41", "6.50", "7.95"]))
    if row["point"] or row["value"] == value:
        return
    body = {
        "pool": pool,
        "round": last["id"],
        "parameter": "ph",
        "was": row["value"],
        "value": value,
        "dilution": 1,
    }
    story.say("reading-corrected", body, reason="typed wrongly")


def call_out(story: Story, draw: Draw) -> None:
    """Have everyone called out."""
    body = {"pool": draw(POOL), "stop": draw(st.sampled_from(STOPS)), "words": "look"}
    story.told.append(story.say("everyone-out", body))


def end_stops(story: Story, draw: Draw) -> None:
    """Have house stops ended that stand."""
    pool = draw(POOL)
    stands = [stop["id"] for stop in story.facts[pool]["stops"]]
    if stands:
        ended = draw(st.lists(st.sampled_from(stands), min_size=1, unique=True))
        body = {"pool": pool, "stops": ended}
        story.say("house-stop-ended", body, user="p-manager", reason="looked again")


def say_how(story: Story, draw: Draw) -> None:
    """Have a pool opened, closed or shut."""
    pool = draw(POOL)
    kind = draw(st.sampled_from(["open", "open", "closed", "shut"]))
    if kind != "open":
        body = {"pool": pool, "kind": kind}
        if kind == "closed" and draw(st.booleans()):
            body |= {"by_order": True, "authority": "Health office", "clause": "s. 17"}
        elif kind == "closed" and story.told and draw(st.booleans()):
            body |= {"round": draw(st.sampled_from(story.told)), "scope": "pool"}
        story.told.append(story.say("pool-closed", body, user="p-manager", reason="why not"))
        return
    body = {"pool": pool}
    if draw(st.booleans()):
        body |= {"marked": ["no-round"]}
    story.say("pool-opened", body, user="p-manager", reason="it is well")


def tell(story: Story, draw: Draw) -> None:
    """Have somebody told of a round or a stop."""
    if story.told:
        about = draw(st.sampled_from(story.told))
        story.say("told", {"pool": draw(POOL), "about": about, "whom": "p-manager"})


def lift(story: Story, draw: Draw) -> None:
    """Have a closure lifted, by somebody who may or who may not."""
    pool = draw(POOL)
    closed = [row["entry"] for row in story.facts[pool]["closures"]]
    if closed:
        body = {"pool": pool, "closure": draw(st.sampled_from(closed)), "authority": "Officer"}
        story.say("closure-lifted", body, user="p-manager")


def say_of_it(story: Story, draw: Draw) -> None:
    """Have the authority told, a sign put up or a deadline met."""
    if not story.told:
        return
    body: dict[str, Any] = {"pool": draw(POOL), "about": draw(st.sampled_from(story.told))}
    kind = draw(st.sampled_from(["authority-notified", "notice-posted", "deadline-met"]))
    body |= {
        "authority-notified": {"authority": "Health office"},
        "notice-posted": {"languages": ["en", "fr"]},
        "deadline-met": {"deadline": "notify"},
    }[kind]
    story.say(kind, body)


def show_amount(story: Story, draw: Draw) -> None:
    """Have an amount shown."""
    pool = draw(POOL)
    body = {"pool": pool, "product": "hypo", "amount": "500", "unit": "mL"} | of_circuit(pool)
    story.advices.append((story.say("advice-given", body, user="p-operator"), pool))


def of_circuit(pool: str) -> dict[str, str]:
    """Give the circuit that an amount for a pool goes to."""
    return {} if pool == "plunge" else {"circuit": "hall"}


def begin(story: Story, draw: Draw) -> None:
    """Have something added, as advised or not."""
    pool = draw(POOL)
    body: dict[str, Any] = {"pool": pool, "product": "hypo"}
    if story.advices and draw(st.booleans()):
        advice, pool = draw(st.sampled_from(story.advices))
        body |= {"advice": advice, "pool": pool}
    if draw(st.booleans()):
        body["wait_minutes"] = draw(st.sampled_from([10, 45, 300]))
    body |= of_circuit(pool)
    story.started.append((story.say("addition-started", body, user="p-operator"), pool))


def answer(story: Story, draw: Draw) -> None:
    """Have it said what came of an amount, a beginning, or of nothing known."""
    said = draw(st.sampled_from(["added", "added", "not-added", "unknown"]))
    body: dict[str, Any] = {"answer": said, "pool": draw(POOL), "product": "hypo"}
    way = draw(st.sampled_from(["addition", "advice", "neither"]))
    rows = {"addition": story.started, "advice": story.advices, "neither": []}[way]
    if rows:
        identity, pool = draw(st.sampled_from(rows))
        body |= {way: identity, "pool": pool}
    body |= of_circuit(body["pool"])
    if draw(st.booleans()):
        body["wait_minutes"] = 60
    story.say("addition-answered", body)


def open_incidents(story: Story) -> list[dict[str, Any]]:
    """Give the incidents that are open anywhere, each once."""
    rows = {row["incident"]: row for pool in POOLS for row in story.facts[pool]["incidents"]}
    return list(rows.values())


def go_wrong(story: Story, draw: Draw) -> None:
    """Have an incident begin, on the pools of its filter or on all."""
    pool = draw(POOL)
    kind = draw(st.sampled_from(sorted(INCIDENTS)))
    mates = [pool] if pool == "plunge" else ["main", "teaching"]
    pools = {"pool": [pool], "circuit": mates, "site": list(POOLS)}[INCIDENTS[kind]["scope"]]
    body = {"incident": f"inc-{story.dseq}", "kind": kind, "pool": pool, "pools": pools}
    more = {"words": "seen"} if draw(st.booleans()) else {}
    story.told.append(story.say("incident-started", body | more))


def see_to_it(story: Story, draw: Draw) -> None:
    """Have something done about an open incident, or have it ended."""
    rows = open_incidents(story)
    if not rows:
        return
    row = draw(st.sampled_from(rows))
    about = {"incident": row["incident"], "pool": row["pool"]}
    what = draw(st.sampled_from(["step", "step", "route", "note", "end"]))
    if what == "step":
        step = draw(st.sampled_from(INCIDENTS[row["kind"]]["steps"]))
        answer = draw(st.sampled_from(["done", "done", "not-needed", "not-done"]))
        said = {"step": step, "answer": answer, "words": "looked at it"}
        story.say("incident-step-done", about | said)
    elif what == "route":
        said = {"procedure": "loose-stool", "route": "equal-product"}
        story.say("incident-route-chosen", about | said, user="p-manager")
    elif what == "note":
        story.say("incident-noted", about | {"what": "again"})
    else:
        said = {"outcome": "false-alarm", "criteria": []}
        story.say("incident-ended", about | said, user="p-manager", reason="a leaf")


def wait(story: Story, draw: Draw) -> None:
    """Let time pass."""
    story.now_ms += draw(st.sampled_from([1, 20, 40, 300, 900])) * MINUTE_MS + 137


DEEDS = (
    do_a_round,
    do_a_round,
    do_a_round,
    correct,
    call_out,
    end_stops,
    say_how,
    say_how,
    lift,
    say_of_it,
    tell,
    show_amount,
    begin,
    answer,
    go_wrong,
    see_to_it,
    see_to_it,
    wait,
    wait,
)


@pytest.fixture
def base(baths: Baths) -> list[tuple[Entry, str]]:
    """Give the record that the tablet carries."""
    return based_on(baths)


@pytest.fixture
def closed_base(baths: Baths) -> tuple[Baths, list[tuple[Entry, str]]]:
    """Give the record that the tablet carries on a day that was set as closed."""
    add(baths.book, SHELL, "closed-days", CLOSED_DAY)
    return baths, based_on(baths)


@SEVERAL
@given(data=st.data())
def test_carried_facts_with_own_lines_are_the_servers_facts_after_them(
    baths: Baths, base: list[tuple[Entry, str]], data: st.DataObject
) -> None:
    story = Story(baths, base)
    for deed in data.draw(st.lists(st.sampled_from(DEEDS), min_size=3, max_size=14)):
        deed(story, data.draw)
        story.now_ms += MINUTE_MS
    server, tablet = story.compared()
    for pool in POOLS:
        assert tablet[pool] == server[pool]
        assert pool_now(tablet[pool], story.now_ms) == pool_now(server[pool], story.now_ms)
        assert opening_now(tablet[pool], story.now_ms) == opening_now(server[pool], story.now_ms)
        for mine, theirs in zip(tablet[pool]["incidents"], server[pool]["incidents"], strict=True):
            pack = story.pack(pool)
            assert incident_now(mine, pack, story.now_ms) == incident_now(
                theirs, pack, story.now_ms
            )


@pytest.mark.parametrize("first", ["diarrhoea", "circulation-failure"])
def test_what_stands_still_is_the_same_on_both_sides_in_whatever_order(
    baths: Baths, base: list[tuple[Entry, str]], first: str
) -> None:
    story = Story(baths, base)
    kinds = ["diarrhoea", "circulation-failure"]
    for kind in kinds if first == kinds[0] else kinds[::-1]:
        body = {"incident": kind, "kind": kind, "pool": "main", "pools": ["main", "teaching"]}
        story.say("incident-started", body, at_ms=story.now_ms - MINUTE_MS)
        story.now_ms += MINUTE_MS
    about = {"incident": "circulation-failure", "pool": "main"}
    for step in INCIDENTS["circulation-failure"]["steps"][:4]:
        story.say("incident-step-done", about | {"step": step, "answer": "done"})
        story.now_ms += MINUTE_MS
    story.say("incident-noted", about | {"what": "again"})
    ended = about | {"outcome": "false-alarm", "criteria": []}
    story.say("incident-ended", ended, user="p-manager", reason="a leaf")
    server, tablet = story.compared()
    for pool in POOLS:
        assert tablet[pool] == server[pool]
    (row,) = tablet["main"]["incidents"]
    (still,) = row["standstills"]
    assert (still["incident"], len(still["steps"]), len(still["notes"])) == (kinds[1], 4, 1)
    assert set(still["ended"]) == {"at"}


@settings(SEVERAL, max_examples=25)
@given(data=st.data())
def test_a_tablet_that_opens_on_a_closed_day_asks_for_its_tests_at_once_as_the_server_will(
    closed_base: tuple[Baths, list[tuple[Entry, str]]], data: st.DataObject
) -> None:
    story = Story(*closed_base)
    deeds = (say_how, say_how, say_how, do_a_round, call_out, end_stops, go_wrong, wait)
    for deed in data.draw(st.lists(st.sampled_from(deeds), min_size=1, max_size=8)):
        deed(story, data.draw)
        story.now_ms += MINUTE_MS
    server, tablet = story.compared()
    for pool in POOLS:
        assert tablet[pool]["closed_days"] == server[pool]["closed_days"]
        mine, theirs = (due_list([facts[pool]], [], story.now_ms) for facts in (tablet, server))
        assert mine == theirs


def test_only_the_pool_that_was_opened_has_lost_its_closed_day(
    closed_base: tuple[Baths, list[tuple[Entry, str]]],
) -> None:
    story = Story(*closed_base)
    assert all(story.facts[pool]["closed_days"] for pool in POOLS)
    story.say("pool-opened", {"pool": "main"}, user="p-manager")
    left = {pool: bool(story.facts[pool]["closed_days"]) for pool in POOLS}
    assert left == {"main": False, "teaching": True, "plunge": True}
    assert due_list([story.facts["main"]], [], story.now_ms)["mine"]
