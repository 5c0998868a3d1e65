"""A new starter asks how: step by step for the kit in use, and the round is as it was."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import expect
from tests.journeys.apart import Apart
from tests.journeys.conftest import NewTablet, Served
from tests.journeys.harbour import KIT
from tests.journeys.tablet import Tablet

from lanewater.service.actor import SHELL
from lanewater.service.set_up import add

OTHER_KITS = {
    "comparator": KIT
    | {"kit": "disc", "name": "Disc kit", "kind": "comparator", "total_stand_s": 90},
    "titration": {"kit": "drops", "name": "Drop kit", "kind": "titration"},
    "strips": {"kit": "strips", "name": "Strips", "kind": "strips"},
}


def walk(tablet: Tablet) -> list[str]:
    """Go through every step and give what each says."""
    step = tablet.page.locator(".guide-step")
    said = [step.inner_text()]
    following = tablet.key("Next step")
    while following.is_visible():
        following.click()
        expect(step).not_to_have_text(said[-1])
        said.append(step.inner_text())
        assert tablet.page.locator(".guide-step svg.draw > *").count() > 0
    return said


def narrow(tablet: Tablet) -> bool:
    """Tell whether nothing reaches over the page's edge."""
    return bool(
        tablet.page.evaluate("document.documentElement.scrollWidth <= innerWidth && scrollX === 0")
    )


def test_the_guide_is_there_only_when_asked_and_keeps_the_round(tablet: Tablet) -> None:
    """The draft is the same after it as before, and one tap leads back."""
    tablet.sign_in("TT")
    tablet.look("Main")
    tablet.type("152")
    assert tablet.page.locator(".guide").count() == 0
    tablet.taps = 0
    tablet.tap_key("Show me how")
    expect(tablet.page.locator(".guide-step")).to_contain_text("pH")
    tablet.tap_key("Back to the test")
    assert tablet.taps == 2
    expect(tablet.page.locator(".field-row", has_text="Free chlorine")).to_contain_text("1.52")
    assert tablet.page.locator(".guide").count() == 0


def test_the_photometers_steps_say_the_kits_own_wait(tablet: Tablet) -> None:
    """Point and depth, rinse, blank, tablet, crush, mark, stand, read: all of it, in order."""
    tablet.sign_in("TT")
    tablet.look("Main")
    tablet.tap_key("Show me how")
    expect(tablet.page.locator(".guide")).to_contain_text("This is common practice.")
    said = walk(tablet)
    words = [
        "30 cm",
        "three times",
        "zero",
        "Do not touch it",
        "Crush",
        "Read at once",
        "2:00",
        "Type total",
        "Type pH",
    ]
    found = [next(index for index, text in enumerate(said) if word in text) for word in words]
    assert found == sorted(found)
    assert "mark to the front" in " ".join(said)
    tablet.page.keyboard.press("Escape")
    expect(tablet.page.locator(".guide")).to_have_count(0)


@pytest.mark.parametrize(
    ("kind", "says", "never"),
    [
        ("comparator", ["1:30", "daylight", "blank"], "zero"),
        ("titration", ["one drop fall", "Count on", "No wait is written down"], "crush"),
        ("strips", ["Do not touch the pads", "its card says", "as proof"], "crush"),
    ],
)
def test_each_kind_of_kit_has_its_own_steps(
    site: Served, new_tablet: NewTablet, kind: str, says: list[str], never: str
) -> None:
    """A comparator is not a photometer."""
    kit: dict[str, Any] = OTHER_KITS[kind]
    add(site.book, SHELL, "kit", kit)
    tablet = new_tablet(site, width=360, height=740)
    tablet.enrol()
    tablet.sign_in("TT")
    tablet.look("Main")
    tablet.choose("Which kit?", str(kit["name"]))
    tablet.tap_key("Show me how")
    said = " ".join(walk(tablet))
    assert [word for word in says if word not in said] == []
    assert never not in said.lower()
    assert narrow(tablet)


def test_a_wait_that_nobody_wrote_down_is_not_invented(site: Served, new_tablet: NewTablet) -> None:
    """The kit's card says it; where the site never did, the card is asked."""
    add(site.book, SHELL, "kit", {"kit": "photo-1", "name": "Old meter", "kind": "photometer"})
    tablet = new_tablet(site)
    tablet.enrol()
    tablet.sign_in("TT")
    tablet.look("Main")
    tablet.tap_key("Show me how")
    said = " ".join(walk(tablet))
    assert "Look at your kit's card. It is not written down here." in said
    assert "2:00" not in said


def test_the_second_tablet_starts_the_clock_from_the_guide_too(tablet: Tablet) -> None:
    """The bench's key stands beside the step that it belongs to."""
    tablet.sign_in("TT")
    tablet.look("Main")
    tablet.type("152")
    tablet.tap_key("Show me how")
    tablet.page.get_by_text("All the steps").click()
    tablet.page.locator(".guide-line", has_text="Press the second tablet").click()
    tablet.tap_key("Second tablet in")
    tablet.tap_key("Next step")
    tablet.tap_key("Next step")
    expect(tablet.page.locator(".guide-step")).to_contain_text("of 2:00 left")
    tablet.tap_key("Back to the test")
    expect(tablet.page.locator(".stand")).to_contain_text("of 2:00 left")


def test_the_guide_works_with_the_server_dead(site_apart: Apart, new_tablet: NewTablet) -> None:
    """Steps, drawings and words are on the tablet."""
    tablet = new_tablet(site_apart, worker=True)
    tablet.enrol()
    expect(tablet.page.locator("body[data-shell='whole']")).to_be_attached(timeout=30_000)
    tablet.load("/test?pool=main")
    expect(tablet.page.locator(".keypad")).to_be_visible()
    site_apart.kill()
    tablet.load("/test?pool=main")
    tablet.tap_key("Show me how")
    said = " ".join(walk(tablet))
    assert "30 cm" in said
    assert "2:00" in said
    assert "Type pH" in said
