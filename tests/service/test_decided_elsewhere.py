"""What a tablet out of reach decides stands as a fact, and is believed as far as it may be."""

from __future__ import annotations

from typing import Any

import pytest
from tests.baths import GOOD, MINUTE_MS, PINS, Baths
from tests.service.test_enrolment import enrolled
from tests.sync.device import Device

from lanewater.records.receiving import Sealed
from lanewater.records.signing import make_key
from lanewater.service import sync
from lanewater.service.actor import ANYBODY, SHELL
from lanewater.service.additions import blocks
from lanewater.service.authority import allow_telephone, end_authority, give_authority
from lanewater.service.book import new_id
from lanewater.service.clock import instant_text
from lanewater.service.grants import make_grant
from lanewater.service.now import now_page
from lanewater.service.opening import close_pool, end_house_stop, everyone_out, open_pool
from lanewater.service.replicas import lines_from
from lanewater.service.set_up import add

OPERATOR = {"person": "p-operator", "name": "Olaf", "initials": "OP", "roles": ["plant-operator"]}
COMPETENT = [{"covers": "hand-dosing", "product": "sodium-hypochlorite", "from": "2026-01-01"}]
DAGNY = {"person": "p-manager", "name": "Dagny", "initials": "DD"}


class Tablet(Device):
    """A tablet on which everybody who has a PIN once signed in."""

    grants: list[dict[str, str]]

    def send(self, baths: Baths) -> list[str]:
        """Send what waits; give what came of each."""
        batch, held = [Sealed(*one) for one in self.batch()], self.held
        answer = sync.receive(baths.book, self.device, batch, self.held_text, self.grants)
        self.take_answer(answer, held)
        return [one.get("why", one["outcome"]) for one in answer["outcomes"]]

    def look(self, baths: Baths) -> None:
        """Hear of all that is on record."""
        start, held = self.wanted_from(), self.held
        self.take_lines(start, lines_from(baths.book, start, 500, device=self.device), held)

    def say(self, baths: Baths, who: str, kind: str, body: dict[str, Any], **more: Any) -> str:
        """Decide something here and now, by PIN."""
        return self.write(
            new_id(baths.now_ms), kind, {"pool": "main"} | body, baths.now_ms, user=who, **more
        ).id

    def round(self, baths: Baths, **changes: str) -> str:
        """Make a round by the tester."""
        rows = (GOOD | changes).items()
        readings = [{"parameter": key, "value": text} for key, text in rows]
        body = {"source": "direct", "tester": {"person": "p-tester"}, "readings": readings}
        return self.say(baths, "p-tester", "round-recorded", body)

    def end_stop(self, baths: Baths, who: str = "p-manager") -> str:
        """End the stop for glass."""
        return self.say(baths, who, "house-stop-ended", {"stops": ["glass"]}, reason="swept")


def made(baths: Baths) -> Tablet:
    """Enrol a tablet, sign everybody in on it once, and let it hear everything."""
    key = make_key()
    enrolled(baths, key)
    tablet = Tablet(key, baths.book.site, baths.book.own.log.public_hex)
    with baths.book.writing() as writing:
        given = [make_grant(writing, key.device, who) for who in (*PINS, "p-operator")]
    tablet.grants = [grant for grant in given if grant]
    tablet.look(baths)
    return tablet


@pytest.fixture
def tablet(baths: Baths) -> Tablet:
    """Give a tablet; the operator is competent, and everybody it speaks for has a PIN."""
    add(baths.book, SHELL, "person", OPERATOR | {"pin": "405162", "competences": COMPETENT})
    return made(baths)


def status(baths: Baths) -> str:
    """Give the last word on Main."""
    return baths.book.state.openings["main"].status


def stops(baths: Baths) -> list[str]:
    """Give the house stops at Main."""
    return [stop.id for stop in baths.book.state.stops.get("main", ())]


def actions(baths: Baths) -> list[str]:
    """Give what stands open at Main on the Now page."""
    lane = next(row for row in now_page(baths.book, baths.now_ms)["pools"] if row["pool"] == "main")
    return [row["id"] for row in lane["open_actions"]]


def test_an_opening_by_somebody_who_may_is_one_whose_pin_the_device_checked(
    baths: Baths, tablet: Tablet
) -> None:
    opened = {"round": tablet.round(baths), "overall": "meets"}
    tablet.say(baths, "p-manager", "pool-opened", opened)
    assert tablet.send(baths) == ["recorded", "recorded"]
    told = baths.book.state.openings["main"]
    assert (told.status, told.by, told.on_device, told.without_authority) == (
        "open", "p-manager", True, False,
    )  # fmt: skip
    assert "without-authority" not in actions(baths)
    assert baths.reopened().state.openings["main"] == told


@pytest.mark.parametrize(
    ("kind", "body"),
    [
        ("pool-opened", {}),
        ("pool-closed", {"kind": "shut"}),
        ("opening-settled", {"status": "closed", "entries": ["a", "b"]}),
        ("house-stop-ended", {"stops": ["glass"]}),
        ("addition-started", {"product": "hypo"}),
        (
            "advice-given",
            {"round": "x", "product": "hypo", "amount": "1", "unit": "L", "wait_minutes": 0},
        ),
    ],
)
def test_what_nobody_gave_a_tester_the_authority_for_is_on_record_and_shown(
    baths: Baths, tablet: Tablet, kind: str, body: dict[str, Any]
) -> None:
    made = tablet.say(baths, "p-tester", kind, body, reason="Nobody was there")
    assert tablet.send(baths) == ["recorded"]
    (found,) = baths.book.state.unauthorised
    assert (found.entry, found.kind, found.pool, found.by) == (made, kind, "main", "p-tester")
    assert "without-authority" in actions(baths)
    assert baths.reopened().state.unauthorised == (found,)


def test_authority_that_went_while_the_tablet_was_away_is_noted(
    baths: Baths, tablet: Tablet
) -> None:
    tablet.say(baths, "p-manager", "pool-opened", {})
    add(baths.book, SHELL, "person", DAGNY | {"roles": ["tester"]})
    tablet.send(baths)
    assert (status(baths), baths.book.state.openings["main"].without_authority) == ("open", True)


@pytest.mark.parametrize("first", ["tablet", "office"])
def test_closed_beats_open_until_somebody_settles_whichever_arrives_first(
    baths: Baths, tablet: Tablet, first: str
) -> None:
    baths.round()
    open_pool(baths.book, baths.who("manager"), {"pool": "main"})
    tablet.look(baths)
    other = made(baths)
    tablet.say(baths, "p-manager", "pool-closed", {"kind": "closed"}, reason="cloudy")
    baths.wait(5)
    other.say(baths, "p-manager", "pool-closed", {"kind": "shut"})
    other.say(baths, "p-manager", "pool-opened", {})
    for one in (tablet, other) if first == "tablet" else (other, tablet):
        one.send(baths)
    assert (status(baths), actions(baths)[0]) == ("closed", "devices-disagree")
    other.look(baths)
    entries = [side.entry for row in baths.book.state.disputes["main"] for side in (
        row.opened, row.closed,
    )]  # fmt: skip
    body = {"status": "open", "entries": entries}
    other.say(baths, "p-manager", "opening-settled", body, reason="I went to look")
    assert other.send(baths) == ["recorded"]
    assert (status(baths), baths.book.state.disputes["main"]) == ("open", ())


def test_a_settling_by_somebody_without_the_authority_settles_nothing(
    baths: Baths, tablet: Tablet
) -> None:
    tablet.say(baths, "p-manager", "pool-closed", {"kind": "closed"}, reason="cloudy")
    baths.round()
    open_pool(baths.book, baths.who("manager"), {"pool": "main"})
    tablet.send(baths)
    tablet.look(baths)
    (row,) = baths.book.state.disputes["main"]
    body = {"status": "open", "entries": [row.opened.entry, row.closed.entry]}
    tablet.say(baths, "p-tester", "opening-settled", body, reason="I went to look")
    tablet.send(baths)
    assert (status(baths), len(baths.book.state.disputes["main"])) == ("closed", 1)


@pytest.mark.parametrize("first", ["end", "call"])
def test_a_stop_that_was_called_elsewhere_meanwhile_is_not_ended_with_the_one_before(
    baths: Baths, tablet: Tablet, first: str
) -> None:
    everyone_out(baths.book, ANYBODY, {"pool": "main", "stop": "glass"})
    tablet.look(baths)
    other = made(baths)
    tablet.end_stop(baths)
    baths.wait(3)
    again = other.say(baths, "p-tester", "everyone-out", {"stop": "glass"})
    for one in (tablet, other) if first == "end" else (other, tablet):
        one.send(baths)
    assert stops(baths) == ["glass"]
    assert baths.book.state.stops["main"][0].entry == again
    assert baths.reopened().state.stops["main"][0].entry == again
    end_house_stop(baths.book, baths.who("manager"), {"pool": "main", "reason": "swept"})
    assert stops(baths) == []


def test_a_stop_of_a_round_that_the_tablet_did_not_know_of_goes_on(
    baths: Baths, tablet: Tablet
) -> None:
    tablet.say(baths, "p-tester", "everyone-out", {"stop": "bottom-not-seen"})
    baths.round(clarity="not-visible")
    body = {"stops": ["bottom-not-seen"]}
    tablet.say(baths, "p-manager", "house-stop-ended", body, reason="seen again")
    tablet.send(baths)
    assert stops(baths) == ["bottom-not-seen"]


def test_a_stop_is_ended_by_who_called_it_and_may_end_it_and_by_nobody_else(
    baths: Baths, tablet: Tablet
) -> None:
    tablet.say(baths, "p-tester", "everyone-out", {"stop": "glass"})
    tablet.end_stop(baths, "p-tester")
    tablet.send(baths)
    assert stops(baths) == ["glass"]
    tablet.end_stop(baths)
    tablet.send(baths)
    assert stops(baths) == []


def test_an_opening_that_did_not_know_of_a_stop_leaves_everyone_out(
    baths: Baths, tablet: Tablet
) -> None:
    everyone_out(baths.book, ANYBODY, {"pool": "main", "stop": "glass"})
    tablet.say(baths, "p-manager", "pool-opened", {})
    tablet.send(baths)
    assert (status(baths), stops(baths)) == ("closed", ["glass"])
    assert len(baths.book.state.disputes["main"]) == 1


def test_what_was_begun_to_be_added_out_of_reach_blocks_every_further_dose(
    baths: Baths, tablet: Tablet
) -> None:
    body = {"product": "hypo", "amount": "1.5", "unit": "L", "circuit": "hall"}
    begun = tablet.say(baths, "p-operator", "addition-started", body)
    other = made(baths)
    other.say(baths, "p-operator", "addition-started", body)
    tablet.send(baths)
    for pool in ("main", "teaching"):
        assert [row["id"] for row in blocks(baths.book.state, pool, baths.now_ms)] == [
            "dose-running"
        ]
    other.send(baths)
    found = blocks(baths.book.state, "main", baths.now_ms)
    assert [row["id"] for row in found] == ["dose-running", "dose-running"]
    assert not any(row.without_authority for row in baths.book.state.additions.values())
    tablet.say(baths, "p-operator", "addition-answered", {"addition": begun, "answer": "added"})
    tablet.send(baths)
    found = blocks(baths.book.state, "main", baths.now_ms)
    assert sorted(row["id"] for row in found) == ["dose-running", "wait"]


def test_an_amount_shown_out_of_reach_asks_to_be_answered(baths: Baths, tablet: Tablet) -> None:
    body = {"round": tablet.round(baths), "product": "hypo", "amount": "1.5", "unit": "L"}
    tablet.say(baths, "p-operator", "advice-given", body | {"wait_minutes": 30})
    assert tablet.send(baths) == ["recorded", "recorded"]
    found = blocks(baths.book.state, "main", baths.now_ms)
    assert [row["id"] for row in found] == ["advice-unanswered"]


@pytest.mark.parametrize(
    ("who", "product", "without"),
    [("p-operator", "hypo", False), ("p-operator", "acid", True), ("p-manager", "hypo", True)],
)
def test_competence_for_the_very_product_is_asked_for(
    baths: Baths, tablet: Tablet, who: str, product: str, without: bool
) -> None:
    acid = {"product": "acid", "name": "Acid", "substance": "hydrochloric-acid"}
    add(baths.book, SHELL, "product", acid | {"method": "by-hand"})
    begun = tablet.say(baths, who, "addition-started", {"product": product})
    tablet.send(baths)
    assert baths.book.state.additions[begun].without_authority is without


@pytest.mark.parametrize(
    ("allowed", "word_of", "changes", "without"),
    [
        (True, "p-manager", {}, False),
        (False, "p-manager", {}, True),
        (True, "p-operator", {}, True),
        (True, "p-manager", {"clarity": "not-visible"}, True),
        (True, "p-manager", {"free_chlorine": "0.1"}, True),
    ],
)
def test_a_word_by_telephone_gives_authority_where_the_site_says_so_and_the_round_meets(
    baths: Baths, tablet: Tablet, allowed: bool, word_of: str, changes: dict[str, str],
    without: bool,
) -> None:  # fmt: skip
    allow_telephone(baths.book, SHELL, {"allowed": allowed})
    body = {"word_of": word_of, "round": tablet.round(baths, **changes), "overall": "meets"}
    opened = tablet.say(baths, "p-tester", "pool-opened", body)
    assert tablet.send(baths) == ["recorded", "recorded"]
    assert bool(baths.book.state.unauthorised) is without
    assert ("confirm-opening" in actions(baths)) or changes.get("clarity") == "not-visible"
    tablet.say(baths, "p-manager", "opening-confirmed", {"opening": opened})
    came = tablet.send(baths)
    if word_of == "p-manager":
        assert came == ["recorded"]
        assert "confirm-opening" not in actions(baths)
    else:
        assert came == ["does-not-fit"]


def test_an_opening_on_a_word_without_its_round_has_no_authority(
    baths: Baths, tablet: Tablet
) -> None:
    allow_telephone(baths.book, SHELL, {"allowed": True})
    other = baths.round("teaching")["round"]
    for body in ({}, {"round": other}, {"round": "x"}):
        tablet.say(baths, "p-tester", "pool-opened", {"word_of": "p-manager"} | body)
    assert tablet.send(baths) == ["recorded"] * 3
    assert len(baths.book.state.unauthorised) == 3


@pytest.mark.parametrize("ended", ["", "before", "after"])
def test_standing_authority_holds_until_it_was_ended_and_no_longer(
    baths: Baths, tablet: Tablet, ended: str
) -> None:
    now, until = instant_text(baths.now_ms), instant_text(baths.now_ms + 600 * MINUTE_MS)
    given = {"person": "p-tester", "pools": ["main"], "from": now, "until": until}
    made = give_authority(baths.book, baths.who("manager"), given)
    baths.wait(1)
    if ended == "before":
        end_authority(baths.book, SHELL, {"authority": made["authority"]})
    body = {"standing": made["entry"], "round": tablet.round(baths), "overall": "meets"}
    tablet.say(baths, "p-tester", "pool-opened", body)
    baths.wait(1)
    if ended == "after":
        end_authority(baths.book, SHELL, {"authority": made["authority"]})
    tablet.send(baths)
    assert baths.book.state.openings["main"].without_authority is (ended == "before")


@pytest.mark.parametrize(
    ("kind", "body", "why", "about"),
    [
        ("pool-opened", {"word_of": "p-manager"}, "does-not-fit", "body.word_of"),
        ("pool-opened", {"word_of": "p-area", "standing": "x"}, "does-not-fit", "body.standing"),
        ("pool-opened", {"word_of": "p-nobody"}, "not-yet", "body.word_of"),
        ("house-stop-ended", {"stops": ["glass"]}, "does-not-fit", "reason"),
        ("opening-settled", {"status": "open", "entries": ["a"]}, "does-not-fit", "reason"),
        ("addition-started", {"product": "nothing"}, "not-yet", "body.product"),
        ("addition-started", {"product": "hypo", "amount": "1"}, "does-not-fit", "body.unit"),
        ("pool-closed", {"pool": "nowhere", "kind": "shut"}, "not-yet", "body.pool"),
    ],
)
def test_what_cannot_be_is_refused_by_its_place(
    baths: Baths, tablet: Tablet, kind: str, body: dict[str, Any], why: str, about: str
) -> None:
    tablet.say(baths, "p-manager", kind, body)
    batch = [Sealed(*one) for one in tablet.batch()]
    (came,) = sync.receive(baths.book, tablet.device, batch, "", tablet.grants)["outcomes"]
    assert (came["why"], came["about"]) == (why, about)


def test_a_handover_is_of_no_pool_and_is_held(baths: Baths, tablet: Tablet) -> None:
    body = {"made": instant_text(baths.now_ms), "open": ["main|tell|x"]}
    at_ms = baths.now_ms
    tablet.write(new_id(at_ms), "handover-acknowledged", body, at_ms, user="p-tester")
    assert tablet.send(baths) == ["recorded"]
    (found,) = baths.book.state.handovers
    assert (found.by, found.made_ms, found.through) == ("p-tester", at_ms, tablet.device)
    assert baths.reopened().state.handovers == (found,)


def test_a_decision_whose_grant_does_not_hold_is_set_aside_and_what_follows_goes_on(
    baths: Baths, tablet: Tablet
) -> None:
    grants, tablet.grants = tablet.grants, []
    opened = tablet.say(baths, "p-manager", "pool-opened", {})
    tablet.round(baths)
    assert tablet.send(baths) == ["claims-proof", "claims-proof"]
    assert tablet.aside == {opened: "claims-proof"}
    tablet.grants = grants
    assert tablet.send(baths) == ["recorded"]
    assert "main" not in baths.book.state.openings


def test_a_pool_that_was_closed_by_the_office_is_not_closed_again_by_what_it_knew(
    baths: Baths, tablet: Tablet
) -> None:
    close_pool(baths.book, baths.who("manager"), {"pool": "main", "kind": "shut"})
    tablet.look(baths)
    opened = {"round": tablet.round(baths), "overall": "meets"}
    tablet.say(baths, "p-manager", "pool-opened", opened)
    tablet.send(baths)
    assert (status(baths), baths.book.state.disputes.get("main", ())) == ("open", ())
