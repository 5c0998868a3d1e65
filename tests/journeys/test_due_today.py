"""What is due today: set up on the Site page, answered in two taps alone, on record once."""

from __future__ import annotations

from playwright.sync_api import Locator, expect
from tests.journeys.apart import Apart
from tests.journeys.away import back, good_round, of_kind, ready
from tests.journeys.conftest import NewTablet
from tests.journeys.tablet import Tablet


def row(tablet: Tablet, words: str, part: str = "mine") -> Locator:
    """Find a row of the list by its words."""
    return tablet.page.locator(f"[data-key='{part}'] .due-row").filter(has_text=words)


def duty_set_up(tablet: Tablet) -> None:
    """Set a weekly duty up on the Site page."""
    tablet.go("/site")
    part = tablet.page.locator("[data-key='duty']")
    tablet.tap(part.get_by_role("button", name="Add a duty"))
    part.get_by_label("What is to be done").fill("Filter one backwash")
    part.get_by_label("Kind").select_option("backwash")
    part.get_by_label("Pool").select_option("main")
    part.get_by_label("Every so many weeks").fill("1")
    part.get_by_label("Who is asked").select_option("tester")
    part.get_by_role("button", name="Keep").click()
    expect(part).to_contain_text("Filter one backwash · Backwash · Main · every week · tester")


def closed_day_set(tablet: Tablet) -> None:
    """Set one closed day of the whole site."""
    closed = tablet.page.locator("[data-key='closed-days']")
    tablet.tap(closed.get_by_role("button", name="Set closed days"))
    tablet.tap(closed.get_by_role("button", name="Add a day"))
    closed.get_by_label("Day").fill("2030-12-25")
    closed.get_by_role("button", name="Keep").click()
    expect(closed).to_contain_text("The whole site · 25 Dec 2030")


def test_a_duty_set_up_on_the_site_page_is_done_in_two_taps_alone_and_stands_once_on_the_record(
    site_apart: Apart, new_tablet: NewTablet
) -> None:
    tablet = new_tablet(site_apart, worker=True)
    ready(tablet, "AA")
    duty_set_up(tablet)
    closed_day_set(tablet)

    tablet.lock()
    tablet.sign_in("TT")
    tablet.go("/")
    tablet.tap_link("All that is due today")
    tablet.arrive("/due")
    expect(row(tablet, "Filter one backwash")).to_contain_text("Now, by")
    expect(row(tablet, "Test the water.").first).to_be_visible()

    site_apart.kill()
    taps = tablet.taps
    tablet.tap(row(tablet, "Filter one backwash").get_by_role("button", name="Done, or not needed"))
    tablet.tap(row(tablet, "Filter one backwash").get_by_role("button", name="Done", exact=True))
    assert tablet.taps == taps + 2
    expect(tablet.page.get_by_role("status").first).to_contain_text("Filter one backwash: Done")
    expect(row(tablet, "Filter one backwash")).to_have_count(0)
    tablet.tap_key("Rain")
    tablet.tap(tablet.page.get_by_role("group", name="Rain: where?").get_by_text("Main"))
    assert tablet.taps == taps + 4
    expect(tablet.page.get_by_role("status").first).to_contain_text("Kept: Rain")
    tablet.load("/due")
    expect(row(tablet, "Filter one backwash")).to_have_count(0)
    expect(row(tablet, "Filter one backwash", "due.later")).to_have_count(1)
    good_round(tablet)
    tablet.go("/due")
    expect(row(tablet, "Main. Test the water.").filter(has_text="Overdue")).to_have_count(0)

    lines = back(site_apart, tablet)
    (done,) = of_kind(lines, "duty-done")
    assert (done["body"], done["user"]) == (
        {"duty": "site:filter-one-backwash", "answer": "done", "pool": "main"},
        "p-tester",
    )
    (event,) = of_kind(lines, "event-noted")
    assert event["body"] == {"what": "rain", "pool": "main"}
    (shut,) = of_kind(lines, "closed-days-set")
    assert shut["body"] == {"days": [{"day": "2030-12-25"}]}
    expect(row(tablet, "Filter one backwash")).to_have_count(0)
    tablet.go("/record")
    expect(tablet.page.locator(".line-duty-done")).to_contain_text("filter-one-backwash: Done.")
    expect(tablet.page.locator(".line-event-noted")).to_contain_text("Rain.")
