"""Everyone out, and who opens again."""

from __future__ import annotations

import re

from playwright.sync_api import expect
from tests.journeys.conftest import Apart, NewTablet, Served
from tests.journeys.harbour import GOOD, PINS, TESTER
from tests.journeys.tablet import Tablet

from lanewater.service.opening import everyone_out
from lanewater.service.rounds import record_round


def test_bottom_not_seen_from_the_locked_screen_calls_everyone_out(
    site: Served, tablet: Tablet
) -> None:
    tablet.lock()
    tablet.page.get_by_role("link", name="Look", exact=True).click()
    tablet.tap_key("Not seen", within="#look-main")
    expect(tablet.page.get_by_role("heading", level=1)).to_have_text(
        re.compile("Everyone out of Main, ")
    )
    assert "House stop, not a legal verdict." in tablet.words
    expect(tablet.page.get_by_role("status")).to_contain_text("Saved ")
    assert tablet.taps == 1
    expect(tablet.page.get_by_text("Teaching is on the same filter: look now.")).to_be_visible()
    tablet.synced()
    stops = site.book.state.stops["main"]
    assert [(stop.id, stop.by) for stop in stops] == [("bottom-not-seen", "unlisted")]
    tablet.tap(tablet.key("Told Dagny Dutyvik, duty manager"))
    expect(tablet.page.get_by_text("Told, ")).to_be_visible()
    tablet.go("/")
    expect(tablet.page.locator(".lane-everyone-out")).to_contain_text("EVERYONE OUT since")


def test_everyone_out_is_two_taps_from_every_page_and_the_locked_screen(
    site: Served, tablet: Tablet
) -> None:
    for path in ("/", "/look", "/test?pool=main", "/record", "/site", "/sign-in"):
        tablet.lock()
        tablet.go(path)
        tablet.tap(tablet.page.get_by_role("link", name="Everyone out", exact=True))
        tablet.tap_key("Everyone out: Terrace")
        expect(tablet.page.get_by_role("status")).to_contain_text("Saved ")
        assert tablet.taps == 2
        tablet.synced()
    assert len(site.book.state.stops["terrace"]) == 1


def test_everyone_out_without_an_answer_is_kept_here_and_said_so(
    site_apart: Apart, new_tablet: NewTablet
) -> None:
    tablet = new_tablet(site_apart)
    tablet.enrol()
    tablet.go("/out")
    site_apart.kill()
    tablet.tap_key("Everyone out: Main")
    expect(tablet.page.get_by_role("status")).to_contain_text("Saved ")
    expect(tablet.page.locator("[data-key=on-record]")).to_contain_text("Not sent yet")
    expect(tablet.page.locator("[data-key=unsent]")).to_contain_text("1")
    expect(tablet.page.locator("body[data-unsent='1']")).to_be_attached()
    expect(tablet.page.get_by_text("Teaching is on the same filter: look now.")).to_be_visible()


def test_everyone_out_that_was_kept_is_sent_by_itself_and_once(
    site: Served, tablet: Tablet
) -> None:
    tablet.lock()
    tablet.page.route("**/api/**", lambda route: route.abort())
    tablet.go("/out")
    tablet.tap_key("Everyone out: Main")
    expect(tablet.page.locator("[data-key=on-record]")).to_contain_text("Not sent yet")
    tablet.go("/")
    expect(tablet.page.locator("[data-key=unsent]")).to_contain_text("1")
    expect(tablet.page.locator(".lane-everyone-out")).to_contain_text("EVERYONE OUT since")
    tablet.page.unroute("**/api/**")
    tablet.page.evaluate("dispatchEvent(new Event('online'))")
    tablet.synced()
    tablet.page.evaluate("dispatchEvent(new Event('online'))")
    tablet.go("/record")
    expect(tablet.page.locator(".line-everyone-out")).to_have_count(1)
    assert [stop.id for stop in site.book.state.stops["main"]] == ["other"]


def test_a_tester_cannot_end_a_house_stop_and_a_manager_can_with_a_reason(
    site: Served, tablet: Tablet
) -> None:
    everyone_out(site.book, TESTER, {"pool": "main", "stop": "glass"})
    tablet.sign_in("TT")
    expect(tablet.page.locator(".lane-everyone-out")).to_be_visible()
    assert "End the house stop" not in tablet.words
    tablet.sign_in("DD")
    tablet.tap_key("End the house stop of Main")
    panel = tablet.page.get_by_role("region", name="End the house stop of Main")
    panel.get_by_role("button", name="Cleaned up and tested").click()
    tablet.type(PINS["DD"])
    panel.get_by_role("button", name="End the house stop of Main").click()
    expect(tablet.page.locator(".lane-everyone-out")).to_have_count(0)
    assert site.book.state.stops["main"] == ()


def test_a_good_round_is_opened_by_the_manager_with_a_pin_and_closed_with_a_reason(
    site: Served, tablet: Tablet
) -> None:
    record_round(site.book, TESTER, {"pool": "main", "readings": GOOD})
    tablet.sign_in("DD")
    tablet.tap_key("Open Main")
    tablet.type("111222")
    panel = tablet.page.get_by_role("region", name="Open Main")
    panel.get_by_role("button", name="Open Main").click()
    expect(panel.get_by_role("alert")).to_contain_text("PIN does not fit")
    tablet.type(PINS["DD"])
    panel.get_by_role("button", name="Open Main").click()
    lane = tablet.page.locator(".lane-open")
    expect(lane).to_contain_text("OPEN since")
    expect(lane).to_contain_text("Dagny Dutyvik")
    tablet.tap_key("Close Main")
    panel = tablet.page.get_by_role("region", name="Close Main")
    panel.get_by_role("button", name="Closed: for a reason").click()
    panel.get_by_role("button", name="Plant", exact=True).click()
    panel.get_by_role("button", name="Close Main").click()
    expect(tablet.page.locator(".lane-closed")).to_contain_text("Dagny Dutyvik: Plant.")


def test_a_round_that_is_not_judged_opens_only_with_a_reason_and_is_marked(
    site: Served, tablet: Tablet
) -> None:
    record_round(site.book, TESTER, {"pool": "main", "readings": {"free_chlorine": "1.52"}})
    tablet.sign_in("DD")
    expect(tablet.page.get_by_text("Not judged. Not a pass.").first).to_be_visible()
    tablet.tap_key("Open Main")
    panel = tablet.page.get_by_role("region", name="Open Main")
    expect(panel).to_contain_text("The last round is not judged. Not a pass.")
    panel.get_by_role("button", name="I have seen it and decide so").click()
    tablet.type(PINS["DD"])
    panel.get_by_role("button", name="Open Main").click()
    expect(tablet.page.locator(".lane-open")).to_be_visible()
    assert "not-judged" in site.book.state.openings["main"].marked
