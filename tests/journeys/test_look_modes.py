"""How a device looks: chosen and kept, or as its own settings say; and what axe cannot see."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect
from tests.journeys.conftest import Served
from tests.journeys.tablet import PAGES, Tablet

LOOKS = ("day", "sun", "dark")
GROUND = {"day": "rgb(246, 243, 234)", "sun": "rgb(255, 255, 255)", "dark": "rgb(20, 23, 26)"}
SMALLEST, GLOVED, APART = 44, 68, 16
WIDER = "() => document.documentElement.scrollWidth - document.documentElement.clientWidth"
# Everything that is pressed and can be seen; a link inside a sentence is text.
PRESSED = """[...document.querySelectorAll("a, button, input, select, textarea, summary")]
  .filter((one) => !one.closest("details:not([open]) > :not(summary)") && !one.matches(".skip"))
  .map((one) => one.closest("label.tick") ?? one)
  .filter((one) => one.getBoundingClientRect().width > 0)"""
TOO_SMALL = f"""(least) => {PRESSED}
  .map((one) => [one.getBoundingClientRect(), one])
  .filter(([box]) => box.width < least - 0.5 || box.height < least - 0.5)
  .map(([box, one]) => `${{one.textContent || one.name}} ${{box.width}}x${{box.height}}`)"""
TOO_NEAR = """(apart) => {
  const STAYS = ".bottom, .keypad";
  const keys = [...document.querySelectorAll("main .key")]
    .filter((one) => !one.closest("details:not([open]) > :not(summary)"))
    // What stays in place while the page moves under it covers what it stands over.
    .map((one) => [one.getBoundingClientRect(), one.textContent, one.closest(STAYS) !== null])
    .filter(([box]) => box.width > 0);
  const gap = (from, to, low, high) => Math.max(from[low] - to[high], to[low] - from[high]);
  const found = [];
  for (const [at, [one, name, stays]] of keys.entries()) {
    for (const [other, also, too] of keys.slice(at + 1)) {
      if (stays !== too) continue;
      const aside = gap(one, other, "left", "right");
      const below = gap(one, other, "top", "bottom");
      if (Math.max(aside, below) < apart - 0.5) found.push(`${name} | ${also} ${aside} ${below}`);
    }
  }
  return found;
}"""
GROUND_OF = "() => getComputedStyle(document.documentElement).backgroundColor"
# What is pressed must be seen as something to press where every colour is the device's own.
WITHOUT_BORDER = """() => [...document.querySelectorAll(".key, .who, input, select, textarea")]
  .filter((one) => one.getBoundingClientRect().width > 0)
  .filter((one) => {
    const style = getComputedStyle(one);
    return !["Top", "Right", "Bottom", "Left"].every((side) =>
      Number.parseFloat(style[`border${side}Width`]) >= 1
      && style[`border${side}Style`] !== "none");
  })
  .filter((one) => getComputedStyle(one).appearance === "none"
    || !one.matches("[type=checkbox], [type=radio]"))
  .map((one) => one.textContent || one.name)"""
MOVING = """() => [
  ...document.getAnimations().map((one) => `animation ${one.id}`),
  ...[...document.querySelectorAll("*")].filter((one) => {
    const style = getComputedStyle(one);
    const times = style.transitionDuration.split(", ");
    return style.animationName !== "none" || times.some((time) => parseFloat(time) > 0)
      || style.scrollBehavior === "smooth";
  }).map((one) => one.className || one.nodeName),
]"""


@pytest.fixture(scope="module")
def desk(chromium: Browser, demo_site: Served) -> Iterator[Tablet]:
    """One browser for all that only look; the policy is bypassed to let axe in."""
    context = chromium.new_context(
        base_url=demo_site.address, bypass_csp=True, service_workers="block"
    )
    tablet = Tablet(context.new_page(), demo_site.first_key)
    tablet.enrol()
    tablet.sign_in("OP")
    yield tablet
    context.close()


def put_on(desk: Tablet, look: str, glove: str = "no") -> None:
    """Give the device a look, as its keeper finds it after a start."""
    desk.page.evaluate(
        """([look, glove]) => {
          localStorage.setItem("lanewater.choices", JSON.stringify({ look }));
          localStorage.setItem("glove", glove);
        }""",
        [look, glove],
    )
    desk.load("/")


def settled(desk: Tablet, path: str) -> Page:
    """Open a page and wait until it has what it asked for."""
    desk.go(path)
    desk.page.wait_for_load_state("networkidle")
    return desk.page


def test_the_look_is_chosen_at_the_foot_of_a_page_and_kept_on_the_device(desk: Tablet) -> None:
    put_on(desk, "auto")
    page = desk.page
    page.locator(".looks summary").click()
    for name, look in (("Plant room: dark", "dark"), ("Sunlight: strongest", "sun")):
        page.get_by_role("button", name=name, exact=True).click()
        assert page.evaluate(GROUND_OF) == GROUND[look]
        page.reload()
        expect(page.locator("h1").first).to_be_visible()
        assert page.evaluate(GROUND_OF) == GROUND[look]
        page.locator(".looks summary").click()
    page.get_by_role("button", name="As the device", exact=True).click()
    assert page.evaluate(GROUND_OF) == GROUND["day"]


def test_a_device_that_chose_nothing_looks_as_its_own_settings_say(desk: Tablet) -> None:
    put_on(desk, "auto")
    page = desk.page
    page.emulate_media(color_scheme="dark")
    assert page.evaluate(GROUND_OF) == GROUND["dark"]
    page.emulate_media(color_scheme="light", contrast="more")
    assert page.evaluate(GROUND_OF) == GROUND["sun"]
    put_on(desk, "day")
    page.emulate_media(color_scheme="dark", contrast="more")
    assert page.evaluate(GROUND_OF) == GROUND["day"]
    page.emulate_media(color_scheme="null", contrast="null")


@pytest.mark.parametrize("look", LOOKS)
def test_axe_finds_no_barrier_on_any_page_in_any_look_and_none_is_wider_than_320_px(
    desk: Tablet, look: str
) -> None:
    put_on(desk, look)
    desk.page.set_viewport_size({"width": 320, "height": 700})
    barriers, wide, small = {}, {}, {}
    for path in PAGES:
        page = settled(desk, path)
        found = Axe().run(page)
        if found.violations_count:
            barriers[path] = found.generate_report()
        wide[path] = page.evaluate(WIDER)
        small[path] = page.evaluate(TOO_SMALL, SMALLEST)
    assert barriers == {}
    assert {path: by for path, by in wide.items() if by > 0} == {}
    assert {path: keys for path, keys in small.items() if keys} == {}


def test_with_gloves_every_key_is_18_mm_and_4_mm_from_the_next(desk: Tablet) -> None:
    put_on(desk, "day", glove="yes")
    small, near, wide = {}, {}, {}
    for width in (320, 820):
        desk.page.set_viewport_size({"width": width, "height": 900})
        for path in ("/", "/look", "/test?pool=main", "/out", "/sign-in"):
            page = settled(desk, path)
            small[width, path] = list(
                page.evaluate(
                    TOO_SMALL.replace("document.", "document.querySelector('main').", 1), GLOVED
                )
            )
            near[width, path] = page.evaluate(TOO_NEAR, APART)
            wide[width, path] = page.evaluate(WIDER)
    put_on(desk, "day")
    assert {place: by for place, by in wide.items() if by > 0} == {}
    assert {place: keys for place, keys in small.items() if keys} == {}
    assert {place: keys for place, keys in near.items() if keys} == {}


def test_forced_colours_leave_a_border_around_everything_that_is_pressed(desk: Tablet) -> None:
    put_on(desk, "auto")
    desk.page.emulate_media(forced_colors="active")
    bare = {path: settled(desk, path).evaluate(WITHOUT_BORDER) for path in PAGES}
    desk.page.emulate_media(forced_colors="none")
    assert {path: keys for path, keys in bare.items() if keys} == {}


def test_where_less_motion_is_asked_for_nothing_moves(desk: Tablet) -> None:
    put_on(desk, "auto")
    desk.page.emulate_media(reduced_motion="reduce")
    moving = {path: settled(desk, path).evaluate(MOVING) for path in PAGES}
    desk.page.emulate_media(reduced_motion="null")
    assert {path: what for path, what in moving.items() if what} == {}


def test_a_page_has_one_heading_of_the_first_order_and_each_landmark_once(desk: Tablet) -> None:
    put_on(desk, "auto")
    for path in PAGES:
        page = settled(desk, path)
        for role in ("banner", "main", "contentinfo", "navigation"):
            assert page.get_by_role(role).count() == 1, (path, role)
        assert page.locator("h1").count() == 1, path
        orders = page.evaluate(
            """() => [...document.querySelectorAll("h1, h2, h3, h4")]
              .map((one) => Number(one.tagName[1]))"""
        )
        assert orders[0] == 1, path
        assert all(after - before <= 1 for before, after in itertools.pairwise(orders)), path


def test_a_live_region_speaks_when_something_happens_and_not_at_every_drawing(desk: Tablet) -> None:
    put_on(desk, "auto")
    for path in ("/", "/look", "/test?pool=main", "/out"):
        page = settled(desk, path)
        page.evaluate(
            """() => {
              window.spoken = [];
              const live = "[role=status], [role=alert], [aria-live]";
              new MutationObserver((changes) => {
                for (const { target, addedNodes } of changes) {
                  const near = target.nodeType === 1 ? target : target.parentElement;
                  if (near?.closest(live)) window.spoken.push(near.textContent);
                  for (const one of addedNodes) {
                    const speaks = one.querySelector?.(live) || one.matches?.(live);
                    if (speaks) window.spoken.push(one.textContent);
                  }
                }
              }).observe(document.getElementById("page"), {
                childList: true, characterData: true, subtree: true,
              });
            }"""
        )
        page.evaluate(
            """async () => {
              const { redraw } = await import("/static/ground/store.js");
              for (let count = 0; count < 5; count += 1) {
                redraw();
                await new Promise((done) => setTimeout(done, 30));
              }
            }"""
        )
        assert page.evaluate("() => window.spoken") == [], path


def test_the_keyboard_reaches_every_key_of_a_page_and_shows_where_it_is(desk: Tablet) -> None:
    put_on(desk, "dark")
    page = settled(desk, "/")
    # It is worked out after the rest, and brings a key with it.
    expect(page.locator(".handover-note")).to_be_visible()
    page.evaluate("() => document.activeElement.blur()")
    count = page.evaluate(f"() => {PRESSED}.length")
    reached = set()
    for _ in range(count + 1):
        page.keyboard.press("Tab")
        name, ring = page.evaluate(
            """() => {
              const one = document.activeElement;
              const style = getComputedStyle(one);
              const ring = [style.outlineStyle, style.outlineWidth, style.outlineColor];
              return [`${one.tagName} ${one.textContent}`, ring.join(" ")];
            }"""
        )
        if not name.startswith("BODY"):
            reached.add(name)
            assert ring == "solid 4px rgb(244, 240, 228)", name
    names = page.evaluate(f"() => {PRESSED}.map((one) => `${{one.tagName}} ${{one.textContent}}`)")
    assert set(names) - reached == set()


def test_on_paper_the_page_is_black_on_white_without_its_keys(desk: Tablet) -> None:
    put_on(desk, "dark")
    page = settled(desk, "/record")
    page.emulate_media(media="print")
    assert page.evaluate(GROUND_OF) == "rgb(255, 255, 255)"
    expect(page.get_by_role("navigation", name="Pages")).to_be_hidden()
    expect(page.locator(".looks")).to_be_hidden()
    expect(page.locator("main h1")).to_be_visible()
    page.emulate_media(media="screen")
    put_on(desk, "day")
