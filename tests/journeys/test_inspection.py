"""An inspector with thirty minutes, a phone and a link: no account, one period, and all of it."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect
from tests.journeys.conftest import Served
from tests.journeys.harbour import GOOD, LOW, MINUTE_MS, TESTER
from tests.journeys.tablet import Tablet
from tests.journeys.test_pages import SMALLEST, TOO_SMALL, WIDER
from tests.offline_tablet import OfflineTablet

from lanewater.service.actor import SHELL
from lanewater.service.clock import DAY_MS, instant_text
from lanewater.service.inspection import end_link, make_link
from lanewater.service.opening import everyone_out
from lanewater.service.rounds import correct_reading, record_round

WIDTHS = (360, 768, 1280)


def a_day_of(site: Served) -> None:
    """Record a failure, a correction, a late round, a back-dated one and a stop."""
    book = site.book
    record_round(book, TESTER, {"pool": "main", "readings": LOW})
    first = record_round(book, TESTER, {"pool": "teaching", "readings": GOOD | {"ph": "4.43"}})
    change = {"round": first["round"], "parameter": "ph", "value": "7.43", "reason": "Mistyped"}
    correct_reading(book, TESTER, change)
    late = instant_text(book.clock() - 130 * MINUTE_MS)
    record_round(book, TESTER, {"pool": "terrace", "readings": GOOD, "at": late})
    tablet = OfflineTablet(book, "Tablet 2").enrol()
    body = {
        "pool": "terrace",
        "source": "direct",
        "tester": {"person": "p-tester"},
        "readings": [{"parameter": "ph", "value": "7.40", "unit": ""}],
    }
    tablet.hear().write("round-recorded", body, at_ms=book.clock() - 5 * DAY_MS // 24)
    everyone_out(book, TESTER, {"pool": "terrace", "stop": "lightning"})


def link_to(site: Served) -> dict[str, str]:
    """Make a link to the last week."""
    now = site.book.clock()
    period = {"from": instant_text(now - 7 * DAY_MS), "to": instant_text(now + DAY_MS)}
    return make_link(site.book, SHELL, period | {"hours": 24})


@pytest.fixture
def asked() -> list[str]:
    """Every address that the inspector's browser asked for."""
    return []


@pytest.fixture
def inspector(chromium: Browser, site: Served, asked: list[str]) -> Iterator[Page]:
    """A browser that is not enrolled; the policy is bypassed to let axe in."""
    context = chromium.new_context(
        base_url=site.address, bypass_csp=True, viewport={"width": 360, "height": 800}
    )
    page = context.new_page()
    page.on("request", lambda request: asked.append(request.url))
    yield page
    context.close()


def test_an_inspector_reads_failures_gaps_and_corrections_on_any_screen(
    site: Served, inspector: Page, asked: list[str]
) -> None:
    a_day_of(site)
    token = link_to(site)["token"]
    inspector.goto(f"/#/inspection/{token}")
    expect(inspector.locator("h1")).to_contain_text("Record of Harbour Baths")
    main = inspector.locator("main")
    failures = inspector.get_by_role("region", name="Not met or not judged, and what was done")
    expect(failures).to_contain_text("Main. does not meet")
    expect(failures).to_contain_text("What was done, as on record")
    expect(
        inspector.get_by_role("region", name="Tests that were due and not done")
    ).to_contain_text("was due")
    teaching = inspector.get_by_role("region", name="Teaching: every line").first
    expect(teaching.locator("s").first).to_have_text("4.43")
    expect(teaching).to_contain_text("7.43")
    terrace = inspector.get_by_role("region", name="Terrace: every line").first
    expect(terrace).to_contain_text("late")
    expect(terrace).to_contain_text("BACK-DATED")
    expect(terrace).to_contain_text("everyone out: lightning")
    assert not re.search(r"\b(safe|verdict)\b", main.inner_text(), re.IGNORECASE)
    assert Axe().run(inspector).violations_count == 0, Axe().run(inspector).generate_report()
    for width in WIDTHS:
        inspector.set_viewport_size({"width": width, "height": 900})
        assert inspector.evaluate(WIDER) <= 0, width
        assert inspector.evaluate(TOO_SMALL, SMALLEST) == [], width
        picture(inspector, f"inspection-{width}")
    assert not [address for address in asked if token in address.partition("#")[0]]


def picture(page: Page, name: str) -> None:
    """Keep a picture where somebody asked for pictures."""
    folder = os.environ.get("LANEWATER_PICTURES")
    if folder:
        page.screenshot(path=Path(folder) / f"{name}.png", full_page=True)


def test_the_days_and_the_pool_are_chosen_and_the_sheet_is_kept(
    site: Served, inspector: Page, asked: list[str], tmp_path: Path
) -> None:
    a_day_of(site)
    token = link_to(site)["token"]
    inspector.goto(f"/#/inspection/{token}")
    inspector.get_by_label("Pool").select_option(label="Teaching")
    inspector.get_by_role("button", name="Show", exact=True).click()
    expect(inspector.get_by_role("heading", name="Main: every line")).to_have_count(0)
    expect(inspector.get_by_role("heading", name="Teaching: every line")).to_be_visible()
    with inspector.expect_download() as waited:
        inspector.get_by_role("button", name=re.compile("^Download these days")).click()
    kept = tmp_path / "sheet.pdf"
    waited.value.save_as(kept)
    assert kept.read_bytes().startswith(b"%PDF-")
    assert not [address for address in asked if token in address.partition("#")[0]]


def test_an_ended_link_says_so_and_shows_nothing(site: Served, inspector: Page) -> None:
    made = link_to(site)
    inspector.goto(f"/#/inspection/{made['token']}")
    expect(inspector.locator("h1")).to_contain_text("Record of Harbour Baths")
    end_link(site.book, SHELL, made["link"])
    inspector.reload()
    expect(inspector.get_by_role("alert")).to_contain_text("opens nothing, or no more")
    expect(inspector.locator("main")).not_to_contain_text("Harbour")
    assert Axe().run(inspector).violations_count == 0


def test_an_area_manager_makes_a_link_on_the_record_page_and_ends_it(
    site: Served, tablet: Tablet, inspector: Page
) -> None:
    tablet.sign_in("AA")
    tablet.go("/record")
    tablet.page.get_by_text("For an inspector: a link").click()
    tablet.choose("How long it opens", "A day")
    tablet.tap_key("Make a link")
    address = tablet.page.locator(".link-text").inner_text()
    assert address.startswith(f"{site.address}/#/inspection/")
    inspector.goto(address)
    expect(inspector.locator("h1")).to_contain_text("Record of Harbour Baths")
    expect(inspector.get_by_role("navigation")).to_have_count(0)
    tablet.page.get_by_role("button", name=re.compile("^End the link")).click()
    expect(tablet.page.get_by_text("opens nothing any more")).to_be_visible()
    inspector.reload()
    expect(inspector.get_by_role("alert")).to_be_visible()


def test_nobody_else_is_offered_to_make_a_link(tablet: Tablet) -> None:
    tablet.sign_in("DD")
    tablet.go("/record")
    expect(tablet.page.get_by_text("For an inspector: a link")).to_have_count(0)
