"""Two tablets on one pool, one out of reach: the lane says so, and the duty manager settles it."""

from __future__ import annotations

from playwright.sync_api import expect
from tests.journeys.conftest import Served
from tests.journeys.harbour import GOOD, PINS, TESTER
from tests.journeys.tablet import Tablet
from tests.offline_tablet import OfflineTablet

from lanewater.service.opening import in_conflict
from lanewater.service.rounds import record_round


def type_pin(tablet: Tablet, initials: str) -> None:
    """Type a PIN on the pad of the panel that is open, and do what it is for."""
    for digit in PINS[initials]:
        tablet.page.locator(f".pin .keypad [data-key='{digit}']").click()
    tablet.page.locator("[data-key='pin-done']").click()


def out_of_reach(site: Served) -> OfflineTablet:
    """Give a tablet that has seen everything so far and hears nothing from here on."""
    return OfflineTablet(site.book, "Tablet 2").enrol()


def test_two_tablets_disagree_and_the_duty_manager_settles_it(site: Served, tablet: Tablet) -> None:
    away = out_of_reach(site)
    record_round(site.book, TESTER, {"pool": "main", "readings": GOOD})
    tablet.sign_in("DD")
    tablet.key("Open Main").click()
    type_pin(tablet, "DD")
    lane = tablet.page.locator(".lane").filter(
        has=tablet.page.get_by_role("heading", name="Main", exact=True)
    )
    expect(lane).to_contain_text("OPEN since")
    away.write("everyone-out", {"pool": "main", "stop": "glass"})
    tablet.load("/")
    expect(lane).to_contain_text("EVERYONE OUT since")
    expect(lane).to_contain_text("Two devices disagree: opened at")
    expect(lane).to_contain_text("by Dagny Dutyvik, on Poolside tablet")
    expect(lane).to_contain_text("by Tove Testerlund, on Tablet 2")
    expect(tablet.key("Open Main")).to_have_count(0)

    tablet.key("Settle Main").click()
    tablet.choose("How it stands from now on", "It is open")
    expect(lane).to_contain_text("It cannot be settled as open now:")
    expect(lane.locator(".pin")).to_have_count(0)
    tablet.key("End the house stop of Main").click()
    tablet.key("Cleaned up and tested").click()
    type_pin(tablet, "DD")
    expect(lane).to_contain_text("CLOSED since")

    tablet.key("Settle Main").click()
    tablet.choose("How it stands from now on", "It is open")
    tablet.key("I went to look").click()
    type_pin(tablet, "DD")
    expect(lane).to_contain_text("OPEN since")
    expect(lane).not_to_contain_text("disagree")
    assert in_conflict(site.book.state, "main") == []

    tablet.go("/record")
    expect(tablet.page.locator("main")).to_contain_text("Two devices disagreed. Decided: open.")
    expect(tablet.page.locator("main")).to_contain_text("Reason: I went to look")
    expect(tablet.page.locator(".line-pool-opened")).to_have_count(1)
    expect(tablet.page.locator(".line-everyone-out")).to_have_count(1)


def test_who_may_not_open_reads_the_task_and_has_no_key_for_it(
    site: Served, tablet: Tablet
) -> None:
    away = out_of_reach(site)
    record_round(site.book, TESTER, {"pool": "main", "readings": GOOD})
    tablet.sign_in("DD")
    tablet.key("Open Main").click()
    type_pin(tablet, "DD")
    expect(tablet.page.locator(".lane-open")).to_have_count(1)
    away.write("everyone-out", {"pool": "main", "stop": "glass"})
    tablet.sign_in("TT")
    expect(tablet.page.locator("main")).to_contain_text(
        "It stays closed until somebody who may open decides."
    )
    expect(tablet.key("Settle Main")).to_have_count(0)
