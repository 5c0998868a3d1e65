"""Every page for everybody: small and large, by keyboard, in forced colours, without a barrier."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect
from tests.journeys.conftest import Served
from tests.journeys.harbour import LOW, PINS, TESTER
from tests.journeys.tablet import SAVED, Tablet

from lanewater.service.rounds import record_round

PAGES = (
    "/",
    "/look",
    "/test",
    "/test?pool=main",
    "/water",
    "/water?pool=main",
    "/record",
    "/site",
    "/sign-in",
    "/out",
)
WIDTHS = (320, 360, 768, 1280)
SMALLEST = 44

# Anything that is pressed and can be seen; a link inside a sentence is text.
TOO_SMALL = """(smallest) => [...document.querySelectorAll("a, button, input, select, summary")]
  .filter((one) => !one.closest("details:not([open]) > :not(summary)") && !one.matches(".skip"))
  .map((one) => [one.closest("label.tick") ?? one, one])
  .map(([box, one]) => [box.getBoundingClientRect(), one])
  .filter(([box]) => box.width > 0 && (box.width < smallest || box.height < smallest))
  .map(([box, one]) => `${one.textContent || one.name} ${box.width}x${box.height}`)"""
WIDER = "() => document.documentElement.scrollWidth - document.documentElement.clientWidth"


@pytest.fixture(scope="module")
def desk(chromium: Browser, demo_site: Served) -> Iterator[Tablet]:
    """One browser for all that only look; the policy is bypassed to let axe in."""
    context = chromium.new_context(base_url=demo_site.address, bypass_csp=True)
    tablet = Tablet(context.new_page(), demo_site.first_key)
    tablet.enrol()
    tablet.sign_in("AA")
    yield tablet
    context.close()


def settled(desk: Tablet, path: str) -> Page:
    """Open a page and wait until it has what it asked for."""
    desk.go(path)
    desk.page.wait_for_load_state("networkidle")
    return desk.page


def assert_no_barrier(page: Page) -> None:
    """Let axe look at a page as it is now."""
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()


@pytest.mark.parametrize("path", PAGES)
def test_a_page_has_no_barrier_scrolls_one_way_has_large_keys_and_says_demo(
    desk: Tablet, path: str
) -> None:
    page = settled(desk, path)
    expect(page.get_by_text("DEMO, not your pool")).to_be_visible()
    assert_no_barrier(page)
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 800})
        assert page.evaluate(WIDER) <= 0, width
        assert page.evaluate(TOO_SMALL, SMALLEST) == [], width


def test_axe_finds_no_barrier_in_a_failing_round_a_form_and_a_stop(desk: Tablet) -> None:
    desk.page.set_viewport_size({"width": 360, "height": 800})
    settled(desk, "/site")
    desk.page.get_by_role("button", name="Add a pool").click()
    desk.page.get_by_role("button", name="Add a target").click()
    assert_no_barrier(desk.page)
    assert desk.page.evaluate(WIDER) <= 0
    desk.look("Main", "824")
    desk.test("062", "743", "078")
    expect(desk.page.get_by_text("Keep everyone out.")).to_be_visible()
    assert_no_barrier(desk.page)
    desk.save("Main")
    assert_no_barrier(desk.page)
    assert desk.page.evaluate(WIDER) <= 0
    settled(desk, "/out")
    desk.tap_key("Everyone out: Terrace")
    expect(desk.page.get_by_role("status")).to_contain_text("Saved")
    assert_no_barrier(desk.page)
    settled(desk, "/")
    assert_no_barrier(desk.page)
    settled(desk, "/record")
    assert_no_barrier(desk.page)


def test_fahrenheit_is_typed_and_shown_and_judged_as_celsius(
    desk: Tablet, demo_site: Served
) -> None:
    desk.look("Teaching", "824")
    desk.test("152", "743", "168")
    assert "Fahrenheit" not in desk.words
    expect(desk.page.get_by_text("82.4 °F", exact=False).first).to_be_visible()
    desk.save("Teaching")
    found = demo_site.book.state.last_round("teaching")
    assert found is not None
    heat = next(row for row in found.readings if row.parameter == "temperature_c")
    assert (heat.value, heat.unit) == ("82.4", "F")
    assert "hot-pool" not in str(demo_site.book.state.verdicts[found.id].body)


def test_forced_colours_keep_every_key_and_the_state_in_sight(
    chromium: Browser, demo_site: Served, desk: Tablet
) -> None:
    context = chromium.new_context(
        base_url=demo_site.address,
        forced_colors="active",
        storage_state=desk.page.context.storage_state(),
    )
    page = context.new_page()
    page.goto("/")
    expect(page.locator(".lane").first).to_be_visible()
    borders = page.evaluate(
        """() => [...document.querySelectorAll(".key, .lane")].map((one) => {
          const style = getComputedStyle(one);
          const image = style.borderImageSource !== "none";
          return image || Number.parseFloat(style.borderBlockStartWidth) >= 1;
        })"""
    )
    assert borders
    assert all(borders)
    strokes = page.evaluate(
        """() => new Set([...document.querySelectorAll(".shape")].map((one) =>
          getComputedStyle(one).stroke)).size"""
    )
    assert strokes == 1
    context.close()


def test_a_whole_round_by_keyboard_alone(desk: Tablet, demo_site: Served) -> None:
    page = desk.page
    settled(desk, "/look")
    reach(page, "Bottom and drain cover seen")
    page.keyboard.press("Enter")
    reach(page, "Temperature")
    page.keyboard.type("83.1")
    page.keyboard.press("Enter")
    reach(page, "Test Main")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="Main", exact=True)).to_be_visible()
    reach(page, "Free chlorine")
    page.keyboard.type("152743168")
    expect(page.get_by_text("Against the rules: meets.")).to_be_visible()
    reach(page, "Save Main")
    page.keyboard.press("Enter")
    expect(page.get_by_text(SAVED).first).to_be_visible()
    desk.synced()
    found = demo_site.book.state.last_round("main")
    assert found is not None
    values = {row.parameter: row.value for row in found.readings}
    assert values["temperature_c"] == "83.1"
    assert values["total_chlorine"] == "1.68"


def reach(page: Page, name: str) -> None:
    """Press Tab until the focus is on what begins with a name, and see the focus."""
    for _ in range(80):
        page.keyboard.press("Tab")
        focus = page.evaluate(
            """() => {
              const one = document.activeElement;
              const text = one.getAttribute("aria-label") ?? one.textContent;
              const ring = getComputedStyle(one).outlineStyle;
              return one === document.body ? ["", "none"] : [text.trim(), ring];
            }"""
        )
        if focus[0].startswith(name):
            assert focus[1] != "none"
            return
    raise AssertionError(f"the keyboard never reaches {name}")


def test_pins_are_typed_by_keyboard_too(desk: Tablet) -> None:
    settled(desk, "/sign-in")
    reach(desk.page, "TT, ")
    desk.page.keyboard.press("Enter")
    reach(desk.page, "PIN, 0 digits")
    desk.page.keyboard.type(PINS["TT"])
    desk.page.keyboard.press("Enter")
    expect(desk.page.get_by_role("link", name="TT: switch person")).to_be_visible()
    desk.sign_in("AA")


def test_an_address_that_is_not_private_says_so_before_anything_is_typed(
    chromium: Browser, demo_site: Served
) -> None:
    context = chromium.new_context(base_url=demo_site.address)
    page = context.new_page()
    page.add_init_script("Object.defineProperty(window, 'isSecureContext', {value: false})")
    page.goto("/")
    warning = page.get_by_role("alert")
    expect(warning).to_contain_text("This address is not private")
    size = warning.locator("span").evaluate("(one) => parseFloat(getComputedStyle(one).fontSize)")
    assert size >= 22
    context.close()


def test_a_browser_that_keeps_nothing_says_so(chromium: Browser, demo_site: Served) -> None:
    context = chromium.new_context(base_url=demo_site.address)
    page = context.new_page()
    page.add_init_script("IDBFactory.prototype.open = () => { throw new Error('blocked') }")
    page.goto("/")
    expect(page.get_by_role("alert").first).to_contain_text("This browser keeps nothing")
    context.close()


def test_an_amount_is_shown_in_the_measures_the_site_pours_with(
    desk: Tablet, demo_site: Served
) -> None:
    for pool in ("main", "teaching"):
        record_round(demo_site.book, TESTER, {"pool": pool, "readings": LOW})
    desk.page.set_viewport_size({"width": 1280, "height": 900})
    desk.sign_in("OP")
    desk.look("Main", "824")
    desk.test("062", "743", "078")
    desk.save("Main")
    for question, told in (
        ("Is everybody out of the water?", "Yes, out"),
        ("Is the pump running?", "Yes, running"),
        ("Has anyone added anything since the reading?", "No, nothing"),
        ("Have you looked at the feeder, its tank and the controller?", "Yes, all three"),
        ("Which water does it go into?", "The whole filter, through the plant"),
    ):
        desk.choose(question, told)
    expect(desk.page.get_by_text("In US measures:", exact=False)).to_be_visible()
    assert re.search(r"In US measures: [\d.]+ US (fl oz|gal)\.", desk.words)
    desk.tap_key("Adding it now")
    expect(desk.page.get_by_label("how many US", exact=False)).to_be_visible()
    desk.tap_key("Not added")
    desk.sign_in("AA")
