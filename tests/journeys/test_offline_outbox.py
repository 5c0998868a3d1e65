"""What is saved at a tablet is on the record once, whatever happens on the way there."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect
from tests.journeys.apart import Apart, Line, OwnChromium, facts
from tests.journeys.harbour import FACTS
from tests.journeys.outboxes import (
    HURRY,
    broken,
    call_out,
    enrol,
    opened,
    stands_once,
    synced,
    waiting,
)


def test_answers_that_are_lost_after_the_server_wrote_leave_each_entry_once(
    site_apart: Apart, line: Line, own_chromium: OwnChromium
) -> None:
    page = own_chromium.start()
    device = enrol(page, line.address, site_apart.first_key)
    site_apart.kill()
    saved = [call_out(page, stop=stop) for stop in ("glass", "blood", "stool")]
    assert waiting(page) == saved
    line.dropped = 2
    site_apart.start()
    synced(page)
    assert line.lost == 2
    stands_once(site_apart, device, saved)


def test_a_day_without_server_reloads_and_a_killed_browser_loses_nothing_and_doubles_nothing(
    site_apart: Apart, line: Line, own_chromium: OwnChromium
) -> None:
    page = own_chromium.start()
    device = enrol(page, line.address, site_apart.first_key)
    expect(page.locator("body[data-shell='whole']")).to_be_attached(timeout=30_000)
    own_chromium.close()
    site_apart.kill()
    page = own_chromium.start()
    opened(page, f"{line.address}/out")
    expect(page.locator("body[data-offline='yes']")).to_be_attached()
    saved = [call_out(page, stop=stop) for stop in ("glass", "blood")]
    page.reload()
    expect(page.locator("body[data-unsent='2']")).to_be_attached()
    saved.append(call_out(page, stop="stool"))
    own_chromium.kill()
    page = own_chromium.start()
    opened(page, f"{line.address}/out")
    assert waiting(page) == saved
    expect(page.get_by_text("3 not on the record yet")).to_be_visible()
    assert own_chromium.context is not None
    second = own_chromium.context.new_page()
    opened(second, f"{line.address}/out")
    line.dropped = 2
    site_apart.start()
    saved.append(call_out(page, stop="vomit"))
    saved.append(call_out(second, stop="spill"))
    synced(second)
    expect(page.locator("body[data-unsent='0']")).to_be_attached()
    assert line.lost == 2
    stands_once(site_apart, device, saved)


def test_two_tabs_that_race_write_one_sequence(
    site_apart: Apart, line: Line, own_chromium: OwnChromium
) -> None:
    first = own_chromium.start()
    device = enrol(first, line.address, site_apart.first_key)
    assert own_chromium.context is not None
    second = own_chromium.context.new_page()
    opened(second, f"{line.address}/out")
    line.dropped = 2
    many = """async ([kind, body]) => {
      const { record } = await import("/static/offline/outbox.js");
      const said = Array.from({ length: 12 }, () => record(kind, body));
      window.said = Promise.all(said).then((all) => all.map(({ id }) => id));
    }"""
    for page, stop in ((first, "glass"), (second, "blood")):
        page.evaluate(many, ["everyone-out", {"pool": "main", "stop": stop}])
    said = [tab.evaluate("() => window.said") for tab in (first, second)]
    synced(first)
    synced(second)
    found = facts(site_apart.lines(), device)
    assert sorted(one["id"] for one in found) == sorted(said[0] + said[1])
    assert [one["dseq"] for one in found] == list(range(1, 25))


def test_one_round_saved_from_two_tabs_stands_once(
    site_apart: Apart, line: Line, own_chromium: OwnChromium
) -> None:
    first = own_chromium.start()
    device = enrol(first, line.address, site_apart.first_key)
    assert own_chromium.context is not None
    second = own_chromium.context.new_page()
    opened(second, f"{line.address}/out")
    identity = first.evaluate("() => import('/static/ground/id.js').then(({ uuid7 }) => uuid7())")
    same = [call_out(page, id=identity) for page in (first, second, first)]
    assert same == [identity] * 3
    other = call_out(second, stop="blood", id=identity)
    assert other != identity
    synced(second)
    stands_once(site_apart, device, [identity, other])


def hard_day(page: Page, apart: Apart, line: Line) -> list[str]:
    """Save three things while the server is dead; it comes back twice, and refuses one for now."""
    apart.kill()
    saved = [call_out(page, pool, "glass") for pool in ("main", "lido", "teaching")]
    line.dropped = 1
    apart.start()
    page.evaluate(HURRY)
    for _ in range(80):
        if len(line.sent) >= 2:
            break
        page.wait_for_timeout(50)
    page.wait_for_timeout(300)
    apart.kill()
    apart.set_up("pool", {"pool": "lido", "name": "Lido", "facts": FACTS})
    apart.start()
    page.evaluate(HURRY)
    return saved


def arrived(page: Page, apart: Apart, device: str, saved: list[str]) -> None:
    """Hold the tablet and the record to each other."""
    expect(page.locator("body[data-unsent='0']")).to_be_attached(timeout=8_000)
    stands_once(apart, device, saved)


def test_what_the_server_refuses_for_now_waits_and_is_sent_again(
    site_apart: Apart, line: Line, own_chromium: OwnChromium
) -> None:
    page = own_chromium.start()
    device = enrol(page, line.address, site_apart.first_key)
    arrived(page, site_apart, device, hard_day(page, site_apart, line))


FAULTS: dict[str, tuple[str, str, str]] = {
    "drops everything on any answer": (
        "/static/offline/push.js",
        "  let way = await alone(() => follow(answer.head));",
        """  await inStores(["facts"], "readwrite", ({ facts }) => void facts.clear());
  let way = await alone(() => follow(answer.head));""",
    ),
    "lets go of what is refused": (
        "/static/offline/push.js",
        "    await asked(facts.put(next));",
        "    await asked(facts.delete(next.id));",
    ),
    "never sends the oldest": (
        "/static/offline/push.js",
        "    rows.sort(",
        "    rows.splice(0, 1);\n    rows.sort(",
    ),
}


@pytest.mark.parametrize("fault", FAULTS)
def test_an_outbox_that_loses_is_caught(
    fault: str, site_apart: Apart, line: Line, own_chromium: OwnChromium
) -> None:
    page = own_chromium.start()
    broken(page, *FAULTS[fault])
    device = enrol(page, line.address, site_apart.first_key)
    saved = hard_day(page, site_apart, line)
    with pytest.raises(AssertionError):
        arrived(page, site_apart, device, saved)


def test_a_browser_that_lost_its_cookie_is_enrolled_again_as_the_same_device(
    site_apart: Apart, line: Line, own_chromium: OwnChromium
) -> None:
    page = own_chromium.start()
    device = enrol(page, line.address, site_apart.first_key)
    page.context.clear_cookies()
    saved = [call_out(page)]
    expect(page.get_by_text("The server does not know this browser any more.")).to_be_visible()
    again = enrol(page, line.address, site_apart.new_first_key())
    assert again == device
    synced(page)
    stands_once(site_apart, device, saved)
