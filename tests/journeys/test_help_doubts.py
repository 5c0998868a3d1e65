"""A doubtful number opens help: the next physical step first and largest, and nothing is lost."""

from __future__ import annotations

import pytest
from playwright.sync_api import Locator, expect
from tests.journeys.conftest import NewTablet, Served
from tests.journeys.harbour import GOOD, TESTER
from tests.journeys.tablet import Tablet

from lanewater.service.rounds import record_round


def help_of(tablet: Tablet, name: str) -> Locator:
    """Give the help with one finding."""
    return tablet.page.locator(f".doubts li[data-key^='{name} ']")


def height_of_letters(part: Locator) -> float:
    """Give the size of a part's letters in pixels."""
    return float(part.evaluate("(part) => parseFloat(getComputedStyle(part).fontSize)"))


def test_possible_bleaching_asks_for_a_diluted_repeat_first(site: Served, tablet: Tablet) -> None:
    """None after 1.52: nothing is added, 1 part is made up to 10, and both numbers stay."""
    record_round(site.book, TESTER, {"pool": "main", "readings": GOOD})
    tablet.sign_in("TT")
    tablet.look("Main")
    tablet.test("005", "743", "005")
    found = help_of(tablet, "possible-bleaching")
    expect(found.locator(".help-step")).to_contain_text("Add nothing. Fresh water")
    expect(found).to_contain_text("Did it flash with colour and go clear?")
    # Tested again as it was it would bleach again: the surprise is not offered beside it.
    assert help_of(tablet, "surprising").count() == 0
    step, why = found.locator(".help-step"), found.locator("p.small")
    assert height_of_letters(step) > height_of_letters(why)
    first = found.locator("p").all_inner_texts()
    assert first.index(step.inner_text()) < first.index(why.inner_text())
    tablet.tap(found.get_by_role("button", name="1 part made up to 10 (×10)"))
    expect(tablet.page.locator(".tries s").first).to_have_text("Free 0.05")
    expect(tablet.page.locator(".field-row", has_text="Free chlorine")).to_contain_text(
        "1 part pool water made up to 10 (×10)"
    )
    tablet.type("120")
    tablet.type("125")
    tablet.save("Main")
    tablet.synced()
    last = site.book.state.last_round("main")
    assert last is not None
    assert {(row.parameter, row.value, row.dilution) for row in last.readings} >= {
        ("free_chlorine", "1.20", 10),
        ("total_chlorine", "1.25", 10),
    }
    assert [row["value"] for row in last.changed_after_result] == ["0.05", "0.05"]


def test_a_tenfold_slip_only_opens_its_field(tablet: Tablet) -> None:
    """The number is looked at again; nothing is thrown away before another is typed."""
    tablet.sign_in("TT")
    tablet.look("Main")
    tablet.type("15.2")
    tablet.tap_key("Next")
    tablet.type("743")
    tablet.type("16.8")
    tablet.tap_key("Next")
    found = tablet.page.locator(".doubts li[data-key='tenfold-slip free_chlorine']")
    expect(found.locator(".help-step")).to_contain_text("Look at the meter again.")
    tablet.tap(found.get_by_role("button", name="Type again: Free"))
    active = tablet.page.locator(".field[aria-pressed=true]")
    expect(active).to_contain_text("Free chlorine")
    expect(active).to_contain_text("15.2")
    tablet.type("152")
    expect(tablet.page.locator(".field s").first).to_have_text("15.2")


@pytest.mark.parametrize("offline", [False, True])
def test_swapping_a_fail_into_a_pass_stays_not_judged(
    site: Served, tablet: Tablet, offline: bool
) -> None:
    """By its key or by hand, with a network or with none: only testing again makes it pass."""
    tablet.sign_in("TT")
    tablet.look("Main")
    expect(tablet.page.locator(".keypad")).to_be_visible()
    if offline:
        tablet.page.context.set_offline(True)
    tablet.test("240", "743", "190")
    tablet.tap_key("I typed them in the wrong boxes")
    expect(tablet.page.get_by_text("Swapping would turn a fail into a pass.")).to_be_visible()
    expect(tablet.page.locator(".against")).to_have_text("Not judged. Not a pass.")
    # By hand, field by field.
    tablet.page.get_by_role("button", name="Free chlorine").click()
    tablet.type("190")
    tablet.page.get_by_role("button", name="Total chlorine").click()
    tablet.type("240")
    expect(tablet.page.locator(".combined")).to_contain_text("0.50")
    expect(tablet.page.locator(".against")).to_have_text("Not judged. Not a pass.")
    if offline:
        return
    tablet.save("Main")
    tablet.synced()
    last = site.book.state.last_round("main")
    assert last is not None
    assert site.book.state.verdicts[last.id].overall == "not-judged"


def test_a_repeat_is_linked_to_the_round_that_asked_for_it(site: Served, tablet: Tablet) -> None:
    """The first stands struck above the bench, and the pair stands together on the record."""
    low = GOOD | {"free_chlorine": "0.66", "total_chlorine": "0.80"}
    first = record_round(site.book, TESTER, {"pool": "main", "readings": low})["round"]
    tablet.sign_in("TT")
    tablet.look("Main")
    expect(tablet.page.locator("[data-key='repeats']")).to_contain_text("Tests again the round of")
    expect(tablet.page.locator("[data-key='repeats'] s").first).to_be_visible()
    tablet.test("152", "743", "168")
    tablet.save("Main")
    tablet.synced()
    last = site.book.state.last_round("main")
    assert last is not None
    assert last.repeats == first
    tablet.go("/record")
    lines = tablet.page.locator(".line-round-recorded")
    expect(lines.first).to_contain_text("Tests again the round of")
    expect(lines.first).to_contain_text("Free 0.66")
    expect(lines.nth(1)).to_contain_text("Tested again at")
    expect(lines.nth(1)).to_contain_text("Free 1.52")
    # A round that nobody asked for is no repeat.
    tablet.look("Teaching")
    expect(tablet.page.locator("[data-key='repeats']")).to_have_count(0)


def test_the_help_fits_a_narrow_phone(site: Served, new_tablet: NewTablet) -> None:
    """Drawing, step and key stand below each other at 320 px."""
    record_round(site.book, TESTER, {"pool": "main", "readings": GOOD})
    phone = new_tablet(site, width=320, height=640)
    phone.enrol()
    phone.sign_in("TT")
    phone.look("Main")
    phone.test("005", "743", "005")
    expect(help_of(phone, "possible-bleaching")).to_be_visible()
    assert phone.page.evaluate("document.documentElement.scrollWidth <= innerWidth")
