"""The stamp leaves by a photograph or a copy, and an older one is held against the record."""

from __future__ import annotations

import re

from playwright.sync_api import expect
from tests.journeys.conftest import Served
from tests.journeys.harbour import GOOD, TESTER
from tests.journeys.tablet import Tablet

from lanewater.service.rounds import record_round
from lanewater.service.stamp_out import squares
from lanewater.service.stamping import stamp


def test_a_stamp_is_shown_and_an_older_one_compared(site: Served, tablet: Tablet) -> None:
    older = stamp(site.book)
    record_round(site.book, TESTER, {"pool": "main", "readings": GOOD})
    tablet.sign_in("TT")
    tablet.go("/record")
    page = tablet.page
    page.get_by_text("Stamp of the record").click()
    expect(page.locator(".stamp-text")).to_have_text(stamp(site.book), use_inner_text=True)
    field, compare = page.get_by_label("An older stamp, as text"), "Compare with the record"
    field.fill(older)
    tablet.tap_key(compare)
    expect(page.get_by_text(re.compile(r"^The record goes on from it"))).to_be_visible()
    lines = older.split("\n")
    field.fill("\n".join([lines[0], str(int(lines[1]) + 400), *lines[2:]]))
    tablet.tap_key(compare)
    expect(page.get_by_text(re.compile(r"^Rolled back: the stamp covers"))).to_be_visible()
    field.fill("hello")
    tablet.tap_key(compare)
    expect(page.get_by_role("alert")).to_be_visible()


def test_the_code_on_the_page_is_that_of_the_stamp(site: Served, tablet: Tablet) -> None:
    tablet.sign_in("TT")
    tablet.go("/record")
    tablet.page.get_by_text("Stamp of the record").click()
    drawn = tablet.page.locator(".stamp-ink").get_attribute("d") or ""
    dark = {(int(x) - 4, int(y) - 4) for x, y in re.findall(r"M(\d+) (\d+)h1v1h-1z", drawn)}
    rows = squares(stamp(site.book))
    assert dark == {(x, y) for y, row in enumerate(rows) for x, one in enumerate(row) if one == "1"}


def test_who_is_not_signed_in_sees_no_stamp(tablet: Tablet) -> None:
    tablet.go("/record")
    expect(tablet.page.get_by_role("heading", name="Record")).to_be_visible()
    expect(tablet.page.get_by_text("Stamp of the record")).to_have_count(0)
