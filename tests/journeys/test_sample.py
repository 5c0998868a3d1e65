"""A laboratory result typed in away from the network keeps a pool closed until another one."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from playwright.sync_api import expect
from tests.journeys.apart import Apart
from tests.journeys.away import back, good_round, lane, of_kind, ready
from tests.journeys.conftest import NewTablet, Served
from tests.journeys.tablet import Tablet
from tests.journeys.test_closing import picture


def enter(tablet: Tablet, value: str, days_ago: int) -> None:
    """Enter a laboratory's count of E. coli, in a sample of some days ago."""
    tablet.go("/sample?pool=main")
    day = (datetime.now(UTC) - timedelta(days=days_ago)).date().isoformat()
    tablet.page.locator("[data-key=day] input").fill(day)
    tablet.page.locator("[data-key=time] input").fill("00:01")
    tablet.page.locator("[data-key=e_coli] input").fill(value)
    tablet.page.locator("[data-key=save]").click()


@pytest.mark.parametrize("page", ["sample", "sign"])
def test_without_a_pool_in_its_address_a_page_asks_which(
    site: Served, tablet: Tablet, page: str
) -> None:
    tablet.sign_in("DD")
    tablet.page.goto(f"/{page}")
    tablet.page.locator("[data-key=which] [data-key=main]").click()
    expect(tablet.page.locator("h1").first).to_contain_text("Main")
    assert tablet.errors == []


def test_a_second_failing_sample_keeps_a_pool_closed_whatever_the_rounds_say(
    site_apart: Apart, new_tablet: NewTablet
) -> None:
    tablet = new_tablet(site_apart, worker=True)
    ready(tablet, "DD")
    site_apart.kill()
    good_round(tablet)
    enter(tablet, "12", 20)
    saved = tablet.page.get_by_role("status")
    expect(saved.first).to_contain_text("Of what was tested: Against the rules: does not meet")
    # Which rule says so, and what it asks for: nobody has to look it up in the report.
    rows = tablet.page.locator("[data-key=rows]")
    expect(rows).to_contain_text("E. coli 12. Rule: below 1 (s.5). Does not meet.")
    expect(tablet.page.locator(".actions")).to_contain_text("take a second sample")
    tablet.go("/sample?pool=main")
    # Nobody's clock says when a laboratory's sample was taken: it is said, or nothing is saved.
    at = datetime.now(ZoneInfo("America/Toronto"))
    tablet.page.locator("[data-key=e_coli] input").fill("0")
    expect(tablet.page.locator("[data-key=when]")).to_be_visible()
    expect(tablet.page.locator("[data-key=save]")).to_have_count(0)
    tablet.page.locator("[data-key=day] input").fill(f"{at:%Y-%m-%d}")
    tablet.page.locator("[data-key=time] input").fill(f"{at:%H:%M}")
    expect(tablet.page.locator("[data-key=save]")).to_be_visible()
    expect(tablet.page.locator("[data-key=beside]")).to_contain_text("Free 1.52")
    picture(tablet.page, "sample.png")
    enter(tablet, "3", 3)
    expect(tablet.page.locator(".saved")).to_contain_text("everyone out")
    good_round(tablet)
    tablet.go("/")
    main = lane(tablet, "Main")
    expect(main).to_contain_text("Laboratory: E. coli 3")
    tablet.tap_key("Open Main")
    expect(main).to_contain_text("The laboratory found: E. coli 3.")
    expect(main.locator(".pin")).to_have_count(0)
    lines = back(site_apart, tablet)
    samples = [
        row for row in of_kind(lines, "round-recorded") if row["body"].get("purpose") == "sample"
    ]
    assert [row["body"]["readings"][0]["value"] for row in samples] == ["12", "3"]
    expect(main).to_contain_text("Laboratory: E. coli 3")
    assert tablet.errors == []
