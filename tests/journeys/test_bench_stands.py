"""The stands that run while something else is done, and keys for gloves."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect
from tests.journeys.conftest import NewTablet, Served
from tests.journeys.tablet import Tablet

# 18 mm and 4 mm, at 96 CSS pixels an inch; a hair less is the browser's own rounding.
GLOVE_PX = 68 - 0.5
GAP_PX = 16 - 0.5
# Only what lies open to the finger: not what the keypad stands over.
BOXES = """() => [...document.querySelectorAll("main button, main a.key, main summary, .stands a")]
  .filter((one) => one.checkVisibility() && !one.closest("details:not([open]) > :not(summary)"))
  .map((one) => [one, one.getBoundingClientRect()])
  .filter(([one, { left, right, top, bottom }]) =>
    [[left + 6, top + 6], [right - 6, top + 6], [left + 6, bottom - 6], [right - 6, bottom - 6]]
      .every(([x, y]) => one.contains(document.elementFromPoint(x, y))))
  .map(([one, { x, y, width, height }]) =>
    ({ name: one.textContent.trim() || one.ariaLabel, x, y, width, height }))"""
RINGS = """() => {
  window.rung = [];
  navigator.vibrate = (pattern) => { rung.push(["shake", pattern.length]); return true };
  const started = OscillatorNode.prototype.start;
  OscillatorNode.prototype.start = function (...given) {
    rung.push(["tone", this.frequency.value]);
    return started.apply(this, given);
  };
}"""


def begun(tablet: Tablet) -> None:
    """Have the second tablet go in at Main."""
    tablet.sign_in("TT")
    tablet.look("Main")
    tablet.type("152")
    tablet.tap_key("Second tablet in")


def strip(page: Page) -> str:
    """Give what the strip of stands says."""
    return page.get_by_role("navigation", name="Second tablets that stand").inner_text()


def test_a_stand_runs_on_every_page_and_leads_back_to_its_pool(tablet: Tablet) -> None:
    tablet.page.clock.install()
    begun(tablet)
    for path in ("/", "/look", "/water", "/record", "/sign-in"):
        tablet.page.clock.run_for(5_000)
        tablet.go(path)
        assert strip(tablet.page).startswith("Main: 1:")
    before = strip(tablet.page)
    tablet.page.clock.run_for(3_000)
    expect(tablet.page.locator(".stands")).not_to_have_text(before)
    tablet.page.locator(".stands a").click()
    expect(tablet.page.locator("h1.pool-name")).to_have_text("Main")


def test_two_pools_stand_at_once(tablet: Tablet) -> None:
    tablet.page.clock.install()
    begun(tablet)
    tablet.page.clock.run_for(5_000)
    tablet.look("Teaching")
    tablet.type("152")
    tablet.tap_key("Second tablet in")
    expect(tablet.page.locator(".stands a")).to_have_count(2)
    assert "Main: 1:" in strip(tablet.page)
    assert "Teaching: " in strip(tablet.page)


def test_a_stand_goes_on_through_a_reload_and_ends_with_its_reading(tablet: Tablet) -> None:
    begun(tablet)
    tablet.page.reload()
    expect(tablet.page.locator(".stands a")).to_contain_text("Main: 1:")
    tablet.type("743")
    tablet.type("168")
    expect(tablet.page.locator(".stands")).to_have_count(0)


def test_a_stand_that_is_over_sounds_and_shakes_once_and_says_what_to_do(tablet: Tablet) -> None:
    tablet.page.clock.install()
    begun(tablet)
    tablet.page.evaluate(RINGS)
    tablet.page.clock.run_for(110_000)
    assert tablet.page.evaluate("() => rung") == []
    tablet.page.clock.run_for(12_000)
    expect(tablet.page.locator(".stands a")).to_have_text("Main: read total now")
    rung = tablet.page.evaluate("() => rung.map(([what]) => what)")
    assert rung == ["shake", "tone", "tone", "tone"]


def test_total_read_early_is_a_finding_and_no_block(site: Served, tablet: Tablet) -> None:
    begun(tablet)
    tablet.type("743")
    tablet.type("168")
    expect(tablet.page.get_by_text("before its stand was over")).to_be_visible()
    tablet.save("Main")
    tablet.synced()
    found = site.book.state.last_round("main")
    assert found is not None
    assert "before its stand was over" in found.note


@pytest.mark.parametrize("width", [360, 820, 1366])
def test_glove_mode_makes_every_key_at_the_bench_eighteen_millimetres_four_apart(
    site: Served, new_tablet: NewTablet, width: int
) -> None:
    # As high as the longest page, so that every key is measured at once.
    tablet = new_tablet(site, width, 2400)
    tablet.enrol()
    tablet.sign_in("TT")
    tablet.page.locator(".looks summary").click()
    tablet.page.get_by_role("button", name="Large keys, for gloves").click()
    tablet.page.reload()
    expect(tablet.page.locator("html[data-glove=yes]")).to_be_attached()
    tablet.go("/look")
    tablet.page.locator("[data-key=visible]").first.click()
    hold_to_glove(tablet.page)
    tablet.go("/test?pool=main")
    tablet.type("15")
    hold_to_glove(tablet.page)
    tablet.tap_key("Diluted")
    hold_to_glove(tablet.page)
    tablet.go("/sign-in")
    tablet.page.get_by_role("button", name="DD, ").click()
    hold_to_glove(tablet.page)


def hold_to_glove(page: Page) -> None:
    """Hold every key in sight to its size, and to its distance from all others."""
    boxes = page.evaluate(BOXES)
    assert len(boxes) >= 8
    small = [b["name"] for b in boxes if min(b["width"], b["height"]) < GLOVE_PX]
    assert small == []
    boxes.sort(key=lambda b: (b["y"], b["x"]))
    near = [
        (one["name"], other["name"], gap_of(one, other))
        for index, one in enumerate(boxes)
        for other in boxes[index + 1 :]
        if gap_of(one, other) < GAP_PX
    ]
    assert near == []


def gap_of(one: dict[str, float], other: dict[str, float]) -> float:
    """Give how far apart two boxes are, along the axis that parts them. [CSS px]"""
    across = max(other["x"] - one["x"] - one["width"], one["x"] - other["x"] - other["width"])
    down = max(other["y"] - one["y"] - one["height"], one["y"] - other["y"] - other["height"])
    return max(across, down)
