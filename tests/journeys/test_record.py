"""The record, and correcting it."""

from __future__ import annotations

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from playwright.sync_api import expect
from tests.journeys.conftest import Served
from tests.journeys.harbour import GOOD, TESTER, today
from tests.journeys.tablet import Tablet

from lanewater.service.rounds import record_round


def test_a_reading_is_corrected_in_five_taps_and_both_numbers_stay(
    site: Served, tablet: Tablet
) -> None:
    made = record_round(site.book, TESTER, {"pool": "main", "readings": GOOD | {"ph": "4.43"}})
    tablet.sign_in("TT")
    tablet.go("/record")
    line = tablet.page.locator(".line-round-recorded").first
    tablet.tap(line.get_by_role("button", name="pH 4.43"))
    tablet.type("743")
    tablet.tap_key("Mistyped")
    expect(line.locator("s")).to_have_text("pH 4.43")
    expect(line.get_by_text("pH 7.43")).to_be_visible()
    expect(line).to_contain_text("corrected by Tove Testerlund: Mistyped")
    assert tablet.taps == 5
    tablet.synced()
    found = site.book.state.round_by_id(made["round"])
    assert found is not None
    assert [(row.was, row.value) for row in found.corrections] == [("4.43", "7.43")]
    assert found.readings[2].value == "4.43"


def test_a_late_round_says_when_it_was_entered(tablet: Tablet) -> None:
    tablet.sign_in("TT")
    tablet.go("/record")
    taken = datetime.now(ZoneInfo("America/Toronto")) - timedelta(minutes=300)
    if taken.date() != datetime.now(ZoneInfo("America/Toronto")).date():
        tablet.tap_key("Day before")
    late = tablet.page.locator(".line-round-recorded").filter(has_text="entered late, at")
    expect(late).to_have_count(1)


def test_the_record_is_filtered_by_pool_and_day(site: Served, tablet: Tablet) -> None:
    record_round(site.book, TESTER, {"pool": "teaching", "readings": GOOD})
    tablet.sign_in("TT")
    tablet.go("/record")
    rounds = tablet.page.locator(".line-round-recorded")
    expect(rounds.filter(has_text="Teaching.")).to_have_count(1)
    tablet.page.get_by_label("Pool").select_option(label="Teaching")
    expect(rounds).to_have_count(1)
    tablet.tap_key("Day after")
    expect(tablet.page.get_by_text("Nothing on record for this day.")).to_be_visible()


def test_a_round_from_paper_carries_its_own_time_and_mark(site: Served, tablet: Tablet) -> None:
    tablet.sign_in("TT")
    tablet.look("Terrace")
    tablet.tap_key("From paper")
    expect(tablet.key("Save Terrace")).to_be_disabled()
    tablet.page.get_by_text("Another time").click()
    tablet.page.get_by_label("Day it was taken").fill(today(-2))
    tablet.page.get_by_label("Day it was taken").blur()
    tablet.page.get_by_label("Time it was taken").fill("00:01")
    tablet.page.get_by_label("Time it was taken").blur()
    tablet.test("152", "743", "168")
    tablet.save("Terrace")
    found = site.book.state.last_round("terrace")
    assert found is not None
    assert found.source == "paper"
    assert found.at_ms < found.recorded_ms - 24 * 3_600_000
