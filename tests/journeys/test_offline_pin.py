"""Who acts while the server is dead: a PIN checked on the device, ten failures, nobody listed."""

from __future__ import annotations

from typing import Any

from playwright.sync_api import Page, expect
from tests.journeys.apart import Apart, facts, lines_on_disk
from tests.journeys.conftest import NewTablet, Served
from tests.journeys.harbour import PINS
from tests.journeys.outboxes import DEVICE, call_out, learned, synced
from tests.journeys.tablet import Tablet

from lanewater.service.actor import SHELL
from lanewater.service.set_up import add

CLOCK_KNOWN_MS = 2000
SIGN_IN = """async ([person, pin]) => {
  const { signInHere } = await import("/static/offline/who.js");
  try {
    const { how } = await signInHere(person, pin);
    return how;
  } catch (error) {
    return error.id;
  }
}"""
WHO = """async () => {
  const { whoIsHere } = await import("/static/offline/who.js");
  const { person, unlisted } = whoIsHere();
  return [person, unlisted];
}"""
SIGN_OUT = "() => import('/static/offline/who.js').then(({ signOutHere }) => signOutHere())"
UNLISTED = "() => import('/static/offline/who.js').then(({ beUnlistedHere }) => beUnlistedHere())"
FAILURES = """async (failures) => {
  const { asked, inStores } = await import("/static/offline/base.js");
  await inStores(["pins"], "readwrite", async ({ pins }) => {
    const row = await asked(pins.get("p-tester"));
    pins.put({ ...row, failures });
  });
}"""
COUNTED = """async () => {
  const { asked, inStores } = await import("/static/offline/base.js");
  const row = await inStores(["pins"], "readonly", ({ pins }) => asked(pins.get("p-tester")));
  return row.failures;
}"""


def until_counted(page: Page, failures: int) -> None:
    """Wait until so many failures are counted for the tester."""
    for _ in range(100):
        if page.evaluate(COUNTED) == failures:
            return
        page.wait_for_timeout(50)
    raise AssertionError(f"not {failures} failures")


def tablet_of(apart: Apart, new_tablet: NewTablet) -> tuple[Tablet, str]:
    """Give a tablet that knows the tester's PIN, signed out, its server dead; and its device."""
    tablet = new_tablet(apart)
    tablet.enrol()
    tablet.sign_in("TT")
    learned(tablet.page)
    device = tablet.page.evaluate(DEVICE)
    tablet.page.evaluate(SIGN_OUT)
    apart.kill()
    return tablet, device


def acting(apart: Apart, device: str) -> list[tuple[str, str, bool]]:
    """Give who is on the record for what a device said, and how that was known."""
    found = facts(apart.lines(), device)
    return [(one["user"], one["auth"]["method"], one["auth"]["verified"]) for one in found]


def test_a_right_pin_signs_in_without_server_and_stands_as_checked_on_the_device(
    site_apart: Apart, new_tablet: NewTablet
) -> None:
    tablet, device = tablet_of(site_apart, new_tablet)
    page = tablet.page
    assert page.evaluate(SIGN_IN, ["p-tester", "000000"]) == "pin-wrong"
    assert page.evaluate(WHO) == ["", False]
    assert page.evaluate(SIGN_IN, ["p-tester", PINS["TT"]]) == "device"
    assert page.evaluate(WHO) == ["p-tester", False]
    call_out(page)
    site_apart.start()
    synced(page)
    assert acting(site_apart, device) == [("p-tester", "pin", False)]


def test_a_person_the_device_does_not_know_and_nobody_on_the_list_may_still_record(
    site_apart: Apart, new_tablet: NewTablet
) -> None:
    tablet, device = tablet_of(site_apart, new_tablet)
    page = tablet.page
    assert page.evaluate(SIGN_IN, ["p-manager", PINS["DD"]]) == "pin-unknown"
    page.evaluate(UNLISTED)
    assert page.evaluate(WHO) == ["", True]
    call_out(page)
    site_apart.start()
    synced(page)
    assert acting(site_apart, device) == [("unlisted", "none", False)]


def test_ten_wrong_pins_lock_the_person_on_this_device_until_the_server_proves_them(
    site_apart: Apart, new_tablet: NewTablet
) -> None:
    tablet, _ = tablet_of(site_apart, new_tablet)
    page = tablet.page
    page.evaluate(FAILURES, 8)
    tries: list[Any] = [page.evaluate(SIGN_IN, ["p-tester", "111111"]) for _ in range(2)]
    assert tries == ["pin-wrong", "pin-locked"]
    assert page.evaluate(SIGN_IN, ["p-tester", PINS["TT"]]) == "pin-locked"
    assert page.evaluate(WHO) == ["", False]
    site_apart.start()
    assert page.evaluate(SIGN_IN, ["p-tester", PINS["TT"]]) == "server"
    until_counted(page, 0)
    page.evaluate(SIGN_OUT)
    site_apart.kill()
    assert page.evaluate(SIGN_IN, ["p-tester", PINS["TT"]]) == "device"


def test_a_try_is_counted_before_it_is_made(site_apart: Apart, new_tablet: NewTablet) -> None:
    tablet, _ = tablet_of(site_apart, new_tablet)
    page = tablet.page
    page.evaluate(FAILURES, 9)
    page.evaluate(
        """async () => {
          crypto.subtle.deriveBits = () => new Promise(() => {});
          const { check } = await import("/static/offline/pin.js");
          check("p-tester", "111111");
        }"""
    )
    until_counted(page, 10)
    page.evaluate("() => { delete crypto.subtle.deriveBits; }")
    assert page.evaluate(SIGN_IN, ["p-tester", PINS["TT"]]) == "pin-locked"


def test_a_pin_that_was_changed_no_longer_proves_and_the_fact_is_kept_as_not_verified(
    site: Served, tablet: Tablet
) -> None:
    tablet.sign_in("TT")
    learned(tablet.page)
    page = tablet.page
    device = page.evaluate(DEVICE)
    person = {"person": "p-tester", "name": "Tove Testerlund", "initials": "TT"}
    add(site.book, SHELL, "person", person | {"roles": ["tester"], "pin": "135791"})
    # The device knows the server's time to within half a round trip, which is long on a busy
    # machine: what it says sooner after the change may count as said before it.
    page.wait_for_timeout(CLOCK_KNOWN_MS)
    call_out(page)
    synced(page)
    rows = [one for one in lines(site) if one["dev"] == device]
    assert [(one["user"], one["auth"]["method"]) for one in rows] == [("p-tester", "none")]


def lines(site: Served) -> list[dict[str, Any]]:
    """Give the record of a site as it lies on disk."""
    return lines_on_disk(site.folder)


def test_a_shared_tablet_that_is_left_alone_locks_itself_without_server(
    site_apart: Apart, new_tablet: NewTablet
) -> None:
    tablet, _ = tablet_of(site_apart, new_tablet)
    page = tablet.page
    assert page.evaluate(SIGN_IN, ["p-tester", PINS["TT"]]) == "device"
    page.evaluate("() => { const now = Date.now; Date.now = () => now() + 5 * 60_000; }")
    expect(page.get_by_role("heading", name="Who are you?")).to_be_visible(timeout=9_000)
    assert page.evaluate(WHO) == ["", False]
