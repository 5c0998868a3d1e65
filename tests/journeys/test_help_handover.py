"""The next shift reads the handover and takes over by name; nobody is nagged."""

from __future__ import annotations

from playwright.sync_api import expect
from tests.journeys.conftest import NewTablet, Served
from tests.journeys.harbour import LOW, TESTER
from tests.journeys.tablet import Tablet

from lanewater.service.actor import ANYBODY
from lanewater.service.opening import everyone_out
from lanewater.service.rounds import record_round


def troubled(site: Served) -> None:
    """A round that fails, and a stop that was called."""
    record_round(site.book, TESTER, {"pool": "main", "readings": LOW})
    everyone_out(site.book, ANYBODY, {"pool": "teaching", "stop": "glass"})


def test_the_next_shift_reads_it_and_takes_over_by_name(site: Served, tablet: Tablet) -> None:
    """What stands open is said in sentences, and who read it stands on record."""
    troubled(site)
    tablet.sign_in("DD")
    note = tablet.page.locator(".handover-note")
    expect(note).to_contain_text("Others worked here since you last did.")
    tablet.tap_link("Read the handover")
    expect(tablet.page.locator("h1")).to_have_text("Handover")
    said = tablet.words
    for words in (
        "House stop: Glass",
        "Tell the duty manager of the last round.",
        "Repeat the test.",
    ):
        assert words in said, said
    tablet.tap_key("I have read this. Dagny Dutyvik takes over")
    expect(tablet.page.locator("main")).to_contain_text("Last taken over by Dagny Dutyvik")
    assert tablet.taps == 2
    tablet.go("/")
    expect(note).to_contain_text("Last taken over by Dagny Dutyvik")
    expect(note).not_to_contain_text("Others worked here")
    tablet.go("/record")
    expect(tablet.page.locator(".lines")).to_contain_text("Handover read and taken over.")


def test_who_is_not_signed_in_may_read_and_not_take_over(site: Served, tablet: Tablet) -> None:
    """Reading is for everybody; a name stands behind taking over."""
    troubled(site)
    tablet.load("/handover")
    expect(tablet.page.locator(".handed").first).to_be_visible()
    assert tablet.page.get_by_role("button", name="takes over").count() == 0
    tablet.tap_link("Sign in to take over")
    tablet.arrive("/sign-in")


def test_who_worked_on_is_left_alone(site: Served, tablet: Tablet) -> None:
    """The tester of the last round is not asked to read what the tester knows."""
    troubled(site)
    tablet.sign_in("TT")
    note = tablet.page.locator(".handover-note")
    expect(note).to_contain_text("open")
    expect(note).not_to_contain_text("Others worked here")


def test_the_handover_fits_a_narrow_phone(site: Served, new_tablet: NewTablet) -> None:
    """Nothing reaches over the edge at 320 px."""
    troubled(site)
    phone = new_tablet(site, width=320, height=640)
    phone.enrol()
    phone.load("/handover")
    expect(phone.page.locator(".handed").first).to_be_visible()
    assert phone.page.evaluate("document.documentElement.scrollWidth <= innerWidth")
