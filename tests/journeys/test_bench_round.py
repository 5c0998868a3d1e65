"""The round at the bench, tap by tap, as it is written down: every count here is a promise."""

from __future__ import annotations

import re
import time

import pytest
from playwright.sync_api import expect
from tests.journeys.conftest import NewTablet, Served
from tests.journeys.harbour import KIT, PINS
from tests.journeys.tablet import SAVED, Tablet

from lanewater.service.actor import SHELL
from lanewater.service.set_up import add

TAP_S = 0.5
PAUSE_S = 1.35
PAUSES = 4
MOST_ROUND_S = 15.0


def bench_field(tablet: Tablet, name: str) -> str:
    """Give what stands in a field."""
    return tablet.page.get_by_role("button", name=name).inner_text()


def readings_of_last(site: Served, pool: str = "main") -> dict[str, str]:
    """Give the readings of a pool's last round on record."""
    found = site.book.state.last_round(pool)
    assert found is not None
    return {f"{row.parameter}@{row.point}": row.value for row in found.readings}


def test_the_standard_round_takes_sixteen_taps_and_its_own_time_stays_under_the_pace_of_a_hand(
    site: Served, tablet: Tablet
) -> None:
    tablet.sign_in("TT")
    tablet.go("/look")
    tablet.taps = 0
    began = time.monotonic()
    tablet.look_here("Main", "284")
    assert tablet.taps == 5
    tablet.test("152", "743", "168")
    assert tablet.taps == 15
    tablet.save("Main")
    machine_s = time.monotonic() - began
    assert tablet.taps == 16
    # A hand needs half a second a tap and looks up four times; the page never makes it wait longer.
    hand_s = 16 * TAP_S + PAUSES * PAUSE_S
    assert hand_s <= MOST_ROUND_S
    assert machine_s <= MOST_ROUND_S


def test_the_standard_round_at_the_pace_of_a_hand_is_saved_within_fifteen_seconds(
    site: Served, tablet: Tablet
) -> None:
    tablet.sign_in("TT")
    tablet.go("/look")
    lane = tablet.page.get_by_role("listitem").filter(
        has=tablet.page.get_by_role("heading", name="Main", exact=True)
    )
    pad = tablet.page.locator
    steps = [
        lane.get_by_role("button", name="Bottom and drain cover seen", exact=True),
        *[pad(f".keypad [data-key='{digit}']") for digit in "284"],
        tablet.page.get_by_role("link", name="Test Main", exact=True),
        *[pad(f".keypad [data-key='{digit}']") for digit in "152"],
        tablet.key("Second tablet in"),
        *[pad(f".keypad [data-key='{digit}']") for digit in "743"],
        *[pad(f".keypad [data-key='{digit}']") for digit in "168"],
        tablet.key("Save Main"),
    ]
    assert len(steps) == 16
    pauses = {4, 5, 9, 15}
    began = time.monotonic()
    for index, step in enumerate(steps):
        due = began + index * TAP_S + PAUSE_S * len([one for one in pauses if one <= index])
        time.sleep(max(0.0, due - time.monotonic()))
        step.click()
    expect(tablet.page.get_by_text(SAVED).first).to_be_visible()
    assert time.monotonic() - began <= MOST_ROUND_S
    tablet.synced()
    assert readings_of_last(site)["total_chlorine@"] == "1.68"


def test_the_one_pool_that_was_begun_is_not_asked_for_again(tablet: Tablet) -> None:
    tablet.sign_in("TT")
    tablet.go("/test")
    expect(tablet.page.get_by_role("heading", name="Test: which pool?")).to_be_visible()
    tablet.look("Main")
    tablet.go("/")
    tablet.page.get_by_role("navigation", name="Pages").get_by_role("link", name="Test").click()
    expect(tablet.page.locator("h1.pool-name")).to_have_text("Main")
    tablet.tap_link("Another pool")
    expect(tablet.page.get_by_role("heading", name="Test: which pool?")).to_be_visible()


def test_the_kit_last_used_at_a_pool_stands_and_no_reading_of_it_is_copied(
    site: Served, tablet: Tablet
) -> None:
    add(site.book, SHELL, "kit", KIT | {"kit": "photo-2", "name": "Photometer 2"})
    tablet.sign_in("TT")
    tablet.look("Main")
    tablet.choose("Which kit?", "Photometer 2")
    tablet.test("152", "743", "168")
    tablet.save("Main")
    tablet.look("Main")
    tablet.test("150", "744", "166")
    tablet.save("Main")
    assert tablet.taps == 16
    tablet.synced()
    found = site.book.state.last_round("main")
    assert found is not None
    kits = {row.kit for row in found.readings if row.parameter != "clarity" and row.kit}
    assert kits == {"photo-2"}
    tablet.go("/test?pool=main")
    for name in ("Free chlorine", "pH", "Total chlorine"):
        assert not re.search(r"\d\.\d", bench_field(tablet, name).split("at least")[0])
    tablet.look("Terrace")
    expect(tablet.page.get_by_role("group", name="Which kit?")).to_be_visible()


def test_a_temperature_typed_without_done_is_on_the_record(site: Served, tablet: Tablet) -> None:
    tablet.sign_in("TT")
    tablet.look("Main", "28")
    tablet.test("152", "743", "168")
    expect(tablet.page.get_by_text("5 of 5 in")).to_be_visible()
    tablet.save("Main")
    tablet.synced()
    assert readings_of_last(site)["temperature_c@"] == "28"


def test_a_digit_tapped_before_the_bench_is_there_stands_nowhere(tablet: Tablet) -> None:
    tablet.sign_in("TT")
    tablet.go("/look")
    tablet.tap(tablet.page.locator("main [data-key=visible]").first)
    tablet.type("28")
    tablet.page.evaluate("""() => {
      document.querySelector("main a[href='/test?pool=main']").click();
      document.querySelector(".keypad [data-key='1']").click();
    }""")
    expect(tablet.page.locator("h1.pool-name")).to_have_text("Main")
    expect(tablet.page.locator(".test")).to_contain_text("Temperature 28 °C")
    assert "28.1" not in tablet.words


@pytest.mark.parametrize(("key", "source"), [("Enter late", "late"), ("From paper", "paper")])
def test_a_late_round_and_one_from_paper_take_two_taps_more(
    site: Served, tablet: Tablet, key: str, source: str
) -> None:
    tablet.sign_in("TT")
    tablet.look("Main")
    tablet.tap_key(key)
    tablet.tap(tablet.page.locator(".times .key").nth(2))
    tablet.test("152", "743", "168")
    tablet.save("Main")
    assert tablet.taps == 18
    tablet.synced()
    found = site.book.state.last_round("main")
    assert found is not None
    assert found.source == source
    late_s = site.book.clock() / 1000 - found.at_ms / 1000
    assert 3600 - 60 <= late_s <= 5400 + 60


def test_a_partial_round_is_saved_and_said_what_is_missing(site: Served, tablet: Tablet) -> None:
    tablet.sign_in("TT")
    tablet.look("Main")
    tablet.type("152")
    expect(tablet.page.locator("[data-key=missing]")).to_have_text(
        "Not in yet: pH and Total. It can be saved as it is, and is not judged."
    )
    tablet.save("Main")
    expect(tablet.page.locator(".against")).to_have_text("Not judged. Not a pass.")
    tablet.synced()
    assert "ph@" not in readings_of_last(site)


def test_another_point_is_one_tap_and_repeats_only_the_tests(site: Served, tablet: Tablet) -> None:
    tablet.sign_in("TT")
    tablet.look("Main")
    tablet.test("152", "743", "168")
    tablet.tap_key("+ deep end")
    tablet.test("150", "745", "166")
    expect(tablet.page.get_by_text("Against the rules: meets.")).to_be_visible()
    tablet.save("Main")
    assert tablet.taps == 16 + 1 + 10
    tablet.synced()
    found = readings_of_last(site)
    assert (found["free_chlorine@"], found["free_chlorine@deep end"]) == ("1.52", "1.50")


def test_one_round_follows_another_without_going_back(tablet: Tablet) -> None:
    tablet.sign_in("TT")
    tablet.look("Teaching")
    tablet.look("Main")
    tablet.test("152", "743", "168")
    tablet.save("Main")
    following = tablet.page.locator(".next-lane")
    expect(following).to_have_text("Next: Teaching")
    expect(tablet.page.locator(".pool-name")).to_have_count(0)
    tablet.tap(following)
    expect(tablet.page.locator("h1.pool-name")).to_have_text("Teaching")
    tablet.test("152", "743", "168")
    tablet.save("Teaching")


def test_a_sample_between_two_colours_is_kept_with_both(site: Served, tablet: Tablet) -> None:
    comparator = {"kit": "disc", "name": "Disc comparator", "kind": "comparator"}
    ranges = [
        {"parameter": "free_chlorine", "low": "0.5", "high": "4.0", "step": "0.5"},
        {"parameter": "total_chlorine", "low": "0.5", "high": "4.0", "step": "0.5"},
        {"parameter": "ph", "low": "6.8", "high": "8.4", "step": "0.2"},
    ]
    add(site.book, SHELL, "kit", comparator | {"ranges": ranges})
    tablet.sign_in("TT")
    tablet.look("Main")
    tablet.choose("Which kit?", "Disc comparator")
    tablet.tap_key("Between two colours")
    tablet.type("15")
    expect(tablet.page.get_by_role("button", name="Free chlorine")).to_contain_text(
        "between 1.5 and 2.0"
    )
    tablet.type("74")
    tablet.type("20")
    tablet.save("Main")
    tablet.synced()
    found = site.book.state.last_round("main")
    assert found is not None
    free = next(row for row in found.readings if row.parameter == "free_chlorine")
    assert (free.value, free.between) == ("1.75", ("1.5", "2.0"))


def test_a_point_and_a_comma_from_a_keyboard_are_the_same(tablet: Tablet) -> None:
    tablet.sign_in("TT")
    tablet.look("Main")
    for typed, name in (("1,52", "Free chlorine"), ("7.43", "pH"), ("1,68", "Total chlorine")):
        tablet.page.get_by_role("button", name=name).focus()
        tablet.page.keyboard.type(typed)
        expect(tablet.page.get_by_role("button", name=name)).to_contain_text(
            typed.replace(",", ".")
        )
    expect(tablet.page.get_by_text("Against the rules: meets.")).to_be_visible()


def test_no_field_of_the_bench_calls_up_a_system_keyboard(tablet: Tablet) -> None:
    tablet.sign_in("TT")
    tablet.look("Main")
    inside = tablet.page.locator(".bench input:visible, .pad input, .bench [contenteditable]")
    assert inside.count() == 0


def test_switching_person_at_the_bench_takes_initials_and_pin_and_the_lane_goes_on(
    tablet: Tablet,
) -> None:
    tablet.sign_in("TT")
    tablet.look("Main")
    tablet.type("152")
    tablet.taps = 0
    page = tablet.page
    tablet.tap(page.get_by_role("link", name="TT: switch person"))
    tablet.tap(page.get_by_role("button", name="DD, "))
    tablet.type(PINS["DD"])
    tablet.tap_key("Sign in DD")
    expect(page.locator("h1.pool-name")).to_have_text("Main")
    assert tablet.taps == 3 + len(PINS["DD"])
    expect(page.get_by_role("link", name="DD: switch person")).to_be_visible()
    expect(page.get_by_role("button", name="Free chlorine")).to_contain_text("1.52")


@pytest.mark.parametrize("path", ["/", "/look", "/test", "/water", "/record", "/site", "/sign-in"])
def test_everyone_out_is_two_taps_from_any_page(site: Served, tablet: Tablet, path: str) -> None:
    if path != "/sign-in":
        tablet.sign_in("TT")
        tablet.go(path)
    else:
        tablet.lock()
    tablet.tap(tablet.page.get_by_role("link", name="Everyone out", exact=True))
    # A lane on Now bears the pool's key too: the key of this page is meant.
    tablet.tap(tablet.page.get_by_role("button", name="Everyone out: Main", exact=True))
    assert tablet.taps == 2
    expect(tablet.page.locator("main .saved")).to_contain_text(re.compile(r"\d\d:\d\d"))
    tablet.synced()
    assert site.book.state.stops["main"]


def test_a_correction_is_six_taps_from_anywhere_and_both_numbers_stay(
    site: Served, tablet: Tablet
) -> None:
    tablet.sign_in("TT")
    tablet.look("Main")
    tablet.test("152", "443", "168")
    tablet.save("Main")
    tablet.taps = 0
    tablet.tap(
        tablet.page.get_by_role("navigation", name="Pages").get_by_role("link", name="Record")
    )
    line = tablet.page.locator(".line-round-recorded").first
    tablet.tap(line.get_by_role("button", name="pH 4.43"))
    tablet.type("743")
    tablet.tap_key("Mistyped")
    expect(line).to_contain_text("Mistyped")
    assert tablet.taps == 6
    tablet.synced()
    found = site.book.state.last_round("main")
    assert found is not None
    assert [(row.was, row.value) for row in found.corrections] == [("4.43", "7.43")]


def test_a_phone_goes_through_the_same_sixteen_taps(site: Served, new_tablet: NewTablet) -> None:
    phone = new_tablet(site, 360, 740)
    phone.enrol()
    phone.sign_in("TT")
    phone.look("Main")
    phone.test("152", "743", "168")
    phone.save("Main")
    assert phone.taps == 16
