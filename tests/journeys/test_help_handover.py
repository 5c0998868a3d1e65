"""The next shift reads the handover and takes over by name; nobody is nagged."""

from __future__ import annotations

from playwright.sync_api import expect
from tests.journeys.apart import Apart
from tests.journeys.conftest import NewTablet, Served
from tests.journeys.harbour import GOOD, LOW, TESTER
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
    tablet.synced()
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


def test_where_nothing_is_left_nothing_is_said_to_be_open(site: Served, tablet: Tablet) -> None:
    """Beside pools that are OPEN, "0 things are open" would be read as the opposite."""
    for pool in ("main", "teaching", "terrace"):
        record_round(site.book, TESTER, {"pool": pool, "readings": GOOD})
    tablet.sign_in("DD")
    expect(tablet.page.locator(".handover-note")).to_be_visible()
    expect(tablet.page.locator("main")).not_to_contain_text("things are open")
    tablet.go("/handover")
    expect(tablet.page.locator(".handed").first).to_be_visible()
    expect(tablet.page.locator("main")).not_to_contain_text("things are open")


def test_the_handover_fits_a_narrow_phone(site: Served, new_tablet: NewTablet) -> None:
    """Nothing reaches over the edge at 320 px."""
    troubled(site)
    phone = new_tablet(site, width=320, height=640)
    phone.enrol()
    phone.load("/handover")
    expect(phone.page.locator(".handed").first).to_be_visible()
    assert phone.page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_with_the_server_dead_it_is_read_and_taken_over_all_the_same(
    site_apart: Apart, new_tablet: NewTablet
) -> None:
    """The tablet writes the handover from what it carries, and the line comes on record later."""
    tablet = new_tablet(site_apart, worker=True)
    tablet.enrol()
    tablet.sign_in("DD")
    expect(tablet.page.locator("body[data-shell='whole']")).to_be_attached(timeout=30_000)
    tablet.go("/handover")
    expect(tablet.page.locator(".handed").first).to_be_visible()
    site_apart.kill()
    tablet.load("/handover")
    expect(tablet.page.locator("body[data-offline='yes']")).to_be_attached(timeout=30_000)
    expect(tablet.page.locator(".handed").first).to_be_visible()
    assert "due" in tablet.words
    tablet.tap_key("I have read this. Dagny Dutyvik takes over")
    expect(tablet.page.locator("main")).to_contain_text("Last taken over by Dagny Dutyvik")
    expect(tablet.page.locator("body[data-unsent='1']")).to_be_attached()
    tablet.load("/handover")
    expect(tablet.page.locator("main")).to_contain_text("Last taken over by Dagny Dutyvik")
    expect(tablet.page.locator("main")).to_contain_text("not on the site's record yet")
    site_apart.start()
    tablet.page.evaluate("import('/static/offline/sync.js').then(({ hurry }) => hurry())")
    expect(tablet.page.locator("body[data-unsent='0']")).to_be_attached(timeout=30_000)
    found = [line for line in site_apart.lines() if line["type"] == "handover-acknowledged"]
    assert [(line["user"], line["auth"]["method"]) for line in found] == [("p-manager", "pin")]
