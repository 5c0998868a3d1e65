"""A morning at a tablet whose server is dead: sign in, test, save, lose the browser, go on."""

from __future__ import annotations

from playwright.sync_api import expect
from tests.journeys.apart import Apart, Line, OwnChromium, facts
from tests.journeys.outboxes import enrol, learned, opened, synced
from tests.journeys.tablet import Tablet


def test_two_testers_save_rounds_without_server_and_the_record_has_both_once_with_who_they_were(
    site_apart: Apart, line: Line, own_chromium: OwnChromium
) -> None:
    page = own_chromium.start()
    device = enrol(page, line.address, site_apart.first_key)
    Tablet(page, "").sign_in("TT")
    learned(page)
    expect(page.locator("body[data-shell='whole']")).to_be_attached(timeout=30_000)
    own_chromium.close()
    site_apart.kill()

    page = own_chromium.start()
    opened(page, f"{line.address}/sign-in")
    tablet = Tablet(page, "")
    tablet.sign_in("TT")
    tablet.look("Main")
    tablet.test("152", "743", "168")
    tablet.save("Main", sent=False)
    own_chromium.kill()

    page = own_chromium.start()
    opened(page, f"{line.address}/sign-in")
    expect(page.get_by_text("1 not on the record yet")).to_be_visible(timeout=10_000)
    tablet = Tablet(page, "")
    tablet.tap_key("Not on the list")
    tablet.arrive("/look")
    tablet.look("Teaching")
    tablet.test("145", "740", "160")
    tablet.save("Teaching, not verified", sent=False)

    line.dropped = 1
    site_apart.start()
    synced(page)
    rounds = [one for one in facts(site_apart.lines(), device) if one["type"] == "round-recorded"]
    assert [(one["body"]["pool"], one["user"], one["auth"]["method"]) for one in rounds] == [
        ("main", "p-tester", "pin"),
        ("teaching", "unlisted", "none"),
    ]
    judged = [one["body"] for one in site_apart.lines() if one["type"] == "round-judged"][-2:]
    assert [one["overall"] for one in judged] == ["meets", "meets"]
    assert not any("differs_from" in one for one in judged)
