"""Closed by an authority's order and lifted, and who decides what: no network in the middle."""

from __future__ import annotations

import os
from io import BytesIO
from pathlib import Path

from playwright.sync_api import Locator, expect
from pypdf import PdfReader
from tests.journeys.apart import Apart
from tests.journeys.away import (
    at_the_book,
    back,
    good_round,
    lane,
    of_kind,
    ready,
    stand_once,
    type_pin,
)
from tests.journeys.conftest import NewTablet
from tests.journeys.tablet import Tablet

from lanewater.service.actor import SHELL
from lanewater.service.matrix import set_matrix


def picture(page: object, name: str) -> None:
    """Keep a picture where somebody asked for pictures."""
    folder = os.environ.get("LANEWATER_PICTURES")
    if folder:
        page.screenshot(path=str(Path(folder) / name), full_page=True)  # type: ignore[attr-defined]  # a page, or a frame of one


def keep_print(printed: bytes) -> None:
    """Keep what came out of the printer where somebody asked for pictures."""
    folder = os.environ.get("LANEWATER_PICTURES")
    if folder:
        (Path(folder) / "print.pdf").write_bytes(printed)


def close_by_order(tablet: Tablet) -> Locator:
    """Close Main and what shares its filter, by an authority's order; give its lane."""
    main = lane(tablet, "Main")
    tablet.tap_key("Close Main")
    main.locator("[data-key=closed]").click()
    expect(main.locator("[data-key=close-now]")).to_have_count(0)
    main.locator("[data-key=rules]").click()
    main.locator("[data-key=order]").click()
    main.locator("[data-key=authority] input").fill("Harbour health office, Ida Inspekt")
    main.locator("[data-key=reference] input").fill("HO-17")
    main.locator("[data-key=circuit]").click()
    picture(tablet.page, "closing.png")
    main.locator("[data-key=close-now]").click()
    return main


def hold_sign(tablet: Tablet) -> None:
    """Hold the sign to its four languages, to no name, and to one sheet of paper."""
    sign = tablet.page.locator(".poster")
    for words in ("CLOSED", "CERRADO", "FERMÉ", "GESPERRT"):
        expect(sign).to_contain_text(words)
    expect(sign).to_contain_text("The water is being treated and tested.")
    for name in ("Dagny", "Dutyvik", "Ida", "HO-17"):
        expect(sign).not_to_contain_text(name)
    picture(tablet.page, "sign.png")
    # On paper there is the sign, and nothing else of the page.
    printed = tablet.page.pdf(prefer_css_page_size=True, print_background=True)
    (sheet,) = PdfReader(BytesIO(printed)).pages
    assert float(sheet.mediabox.width) > float(sheet.mediabox.height)
    assert "GESPERRT" in sheet.extract_text()
    assert "No answer from the server" not in sheet.extract_text()
    keep_print(printed)


def test_a_pool_closed_by_order_away_is_opened_by_nobody_before_the_order_is_lifted(
    site_apart: Apart, new_tablet: NewTablet
) -> None:
    tablet = new_tablet(site_apart, worker=True)
    ready(tablet, "DD")
    site_apart.kill()
    good_round(tablet)
    tablet.go("/")
    main = close_by_order(tablet)
    expect(main).to_contain_text("Closed by order of Harbour health office, Ida Inspekt (HO-17)")
    expect(lane(tablet, "Teaching")).to_contain_text("Closed by order of")

    # A second round that meets changes nothing of it, on the tablet either.
    good_round(tablet)
    tablet.go("/")
    tablet.tap_key("Open Main")
    expect(main).to_contain_text("An authority ordered it closed, and has not lifted that.")
    expect(main.locator(".pin")).to_have_count(0)
    tablet.tap_key("Open Main")

    # Two taps from the lane to the printer.
    main.locator("[data-key=sign]").click()
    hold_sign(tablet)
    tablet.page.locator("[data-key=posted]").click()

    lines = back(site_apart, tablet)
    closings = of_kind(lines, "pool-closed")
    assert {line["body"]["pool"] for line in closings} == {"main", "teaching"}
    assert all(line["body"]["by_order"] for line in closings)
    stand_once(lines, "notice-posted")
    assert of_kind(lines, "notice-posted")[0]["body"]["languages"] == ["en", "es", "fr", "de"]

    # Away once more: the order is lifted, and then the pool is opened, each with a PIN.
    site_apart.kill()
    lift_and_open(tablet, main)
    expect(lane(tablet, "Teaching")).to_contain_text("Not before it is lifted.")
    lines = back(site_apart, tablet)
    stand_once(lines, "closure-lifted", "pool-opened")
    assert of_kind(lines, "closure-lifted")[0]["user"] == "p-manager"
    assert of_kind(lines, "pool-opened")[0]["body"]["criteria"] == ["chapter-two-met"]
    assert tablet.errors == []


def lift_and_open(tablet: Tablet, main: Locator) -> None:
    """Keep that the order was lifted, test once more, and open Main."""
    tablet.go("/")
    main.locator("[data-key=lift]").click()
    main.locator(".closure [data-key=authority] input").fill("Ida Inspekt, by letter")
    type_pin(tablet, "DD")
    expect(main).to_contain_text("Order lifted")
    expect(main).to_contain_text("CLOSED since")
    good_round(tablet)
    tablet.go("/")
    tablet.tap_key("Open Main")
    # Quebec's own row: that its chapter II is met again is for a person to say.
    expect(main.locator(".pin")).to_have_count(0)
    main.locator("[data-key=criteria] [data-key=chapter-two-met] input").check()
    picture(tablet.page, "open.png")
    type_pin(tablet, "DD")
    expect(tablet.page.locator(".lane-open")).to_contain_text("Dagny Dutyvik")


def test_what_the_site_takes_from_a_role_is_taken_on_a_tablet_with_no_network(
    site_apart: Apart, new_tablet: NewTablet
) -> None:
    tablet = new_tablet(site_apart, worker=True)
    ready(tablet, "AA")
    tablet.go("/site")
    fold = tablet.page.locator("[data-key=matrix]")
    fold.locator("summary").click()
    expect(fold).to_contain_text("Call everyone out: everybody, always")
    expect(fold.locator("li[data-key=everyone-out] button")).to_have_count(0)
    picture(tablet.page, "matrix.png")
    row = fold.locator("li[data-key=close]")
    row.get_by_role("button", name="Change: Close").click()
    row.locator("[data-key=tester] [data-key=yes]").click()
    expect(row).to_contain_text("Close: tester, duty manager, plant operator and area manager")
    tablet.sign_in("TT")
    site_apart.kill()
    tablet.go("/")
    tablet.tap_key("Close Main")
    main = lane(tablet, "Main")
    main.locator("[data-key=closed]").click()
    main.locator("[data-key=plant]").click()
    main.locator("[data-key=close-now]").click()
    expect(main).to_contain_text("CLOSED since")
    lines = back(site_apart, tablet)
    (closed,) = of_kind(lines, "pool-closed")
    assert (closed["user"], closed["body"]["pool"]) == ("p-tester", "main")

    with at_the_book(site_apart) as book:
        assert not book.state.openings["main"].without_authority
        rows = [{"decision": "close", "role": "tester", "answer": "no"}]
        set_matrix(book, SHELL, {"rows": rows})
    tablet.synced()
    tablet.go("/")
    # A tablet that noticed no gap asks each half minute what its person may.
    expect(lane(tablet, "Teaching").locator("[data-key=close]")).to_have_count(0, timeout=45_000)
    site_apart.kill()
    tablet.load("/")
    expect(lane(tablet, "Teaching").locator("[data-key=close]")).to_have_count(0)
    # Nobody takes this from anybody.
    expect(tablet.page.get_by_role("link", name="Everyone out")).to_be_visible()
    assert tablet.errors == []
