"""Closed by an authority's order and lifted, and who decides what: with no network in the middle."""

from __future__ import annotations

import os
from pathlib import Path

from playwright.sync_api import expect
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

from lanewater.service.actor import SHELL
from lanewater.service.matrix import set_matrix


def picture(page: object, name: str) -> None:
    """Keep a picture where somebody asked for pictures."""
    folder = os.environ.get("LANEWATER_PICTURES")
    if folder:
        page.screenshot(path=str(Path(folder) / name), full_page=True)  # type: ignore[attr-defined]


def test_a_pool_closed_by_order_away_is_opened_by_nobody_before_the_order_is_lifted(
    site_apart: Apart, new_tablet: NewTablet
) -> None:
    tablet = new_tablet(site_apart, worker=True)
    ready(tablet, "DD")
    site_apart.kill()
    good_round(tablet)
    tablet.go("/")
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
    expect(main).to_contain_text("Closed by order of Harbour health office, Ida Inspekt (HO-17)")
    expect(lane(tablet, "Teaching")).to_contain_text("Closed by order of")

    # A second round that meets changes nothing of it, on the tablet either.
    good_round(tablet)
    tablet.go("/")
    tablet.tap_key("Open Main")
    expect(main).to_contain_text("An authority ordered it closed, and has not lifted that.")
    expect(main.locator(".pin")).to_have_count(0)
    tablet.tap_key("Open Main")

    # Two taps from the lane to the printer, in four languages, and no name on it.
    main.locator("[data-key=sign]").click()
    sign = tablet.page.locator(".poster")
    expect(sign).to_contain_text("CLOSED")
    expect(sign).to_contain_text("CERRADO")
    expect(sign).to_contain_text("FERMÉ")
    expect(sign).to_contain_text("GESPERRT")
    expect(sign).to_contain_text("The water is being treated and tested.")
    for name in ("Dagny", "Dutyvik", "Ida", "HO-17"):
        expect(sign).not_to_contain_text(name)
    picture(tablet.page, "sign.png")
    # On paper there is the sign, and nothing else of the page.
    tablet.page.emulate_media(media="print")
    picture(tablet.page, "print.png")
    expect(tablet.page.locator("header.frame")).to_be_hidden()
    expect(tablet.page.locator("[data-key=print]")).to_be_hidden()
    expect(sign).to_be_visible()
    tablet.page.emulate_media(media="screen")
    tablet.page.locator("[data-key=posted]").click()

    lines = back(site_apart, tablet)
    closings = of_kind(lines, "pool-closed")
    assert {line["body"]["pool"] for line in closings} == {"main", "teaching"}
    assert all(line["body"]["by_order"] for line in closings)
    stand_once(lines, "notice-posted")
    assert of_kind(lines, "notice-posted")[0]["body"]["languages"] == ["en", "es", "fr", "de"]

    # Away once more: the order is lifted, and then the pool is opened, each with a PIN.
    site_apart.kill()
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
    expect(lane(tablet, "Teaching")).to_contain_text("Not before it is lifted.")
    lines = back(site_apart, tablet)
    stand_once(lines, "closure-lifted", "pool-opened")
    assert of_kind(lines, "closure-lifted")[0]["user"] == "p-manager"
    assert of_kind(lines, "pool-opened")[0]["body"]["criteria"] == ["chapter-two-met"]
    assert tablet.errors == []


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
    expect(lane(tablet, "Teaching").locator("[data-key=close]")).to_have_count(0, timeout=20_000)
    site_apart.kill()
    tablet.load("/")
    expect(lane(tablet, "Teaching").locator("[data-key=close]")).to_have_count(0)
    # Nobody takes this from anybody.
    expect(tablet.page.get_by_role("link", name="Everyone out")).to_be_visible()
    assert tablet.errors == []
