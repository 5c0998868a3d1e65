"""What cannot be kept is never shown as saved, and what the record contradicts is said in words."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

from playwright.sync_api import Page, expect
from tests.journeys.apart import Apart, Line, OwnChromium, facts, lines_on_disk
from tests.journeys.conftest import NewTablet, Served
from tests.journeys.outboxes import (
    HURRY,
    RECORD,
    call_out,
    enrol,
    opened,
    stands_once,
    synced,
    waiting,
)
from tests.journeys.tablet import Tablet

from lanewater.service.access import make_first_key
from lanewater.service.actor import SHELL
from lanewater.service.enrolment import revoke_device

BLOCKED = """Object.defineProperty(window, "indexedDB", { value: {
  open() {
    const asked = {};
    const error = new DOMException("", "SecurityError");
    setTimeout(() => { Object.assign(asked, { error }); asked.onerror?.(); });
    return asked;
  },
} });"""


def tried(page: Page, stop: str = "glass") -> dict[str, Any]:
    """Try to say everyone out through the outbox, and give what came of it."""
    answer: dict[str, Any] = page.evaluate(
        RECORD, ["everyone-out", {"pool": "main", "stop": stop}, {}]
    )
    return answer


ROOM = 4_000_000
FILL = """async () => {
  const { inStores } = await import("/static/offline/base.js");
  const waste = (size) => crypto.getRandomValues(new Uint8Array(size));
  let size = 60_000;
  let number = 0;
  while (size > 100) {
    const why = await inStores(["state"], "readwrite", ({ state }) => {
      state.put(waste(size), `waste-${(number += 1)}`);
    }).then(() => "", (error) => error.why);
    if (why) size = Math.floor(size / 4);
  }
}"""


def on_a_full_disk(site: Served, new_tablet: NewTablet) -> Tablet:
    """Give an enrolled tablet whose site may keep so much on the disk, all of it used."""
    tablet = new_tablet(site)
    session = tablet.page.context.new_cdp_session(tablet.page)
    quota = {"origin": site.address, "quotaSize": ROOM}
    session.send("Storage.overrideQuotaForOrigin", quota)
    tablet.enrol()
    tablet.page.evaluate(FILL)
    return tablet


def test_a_full_disk_is_said_and_nothing_is_shown_as_saved(
    site: Served, new_tablet: NewTablet
) -> None:
    tablet = on_a_full_disk(site, new_tablet)
    tablet.page.route("**/api/**", lambda route: route.abort())
    assert tried(tablet.page) == {"why": "full"}
    assert waiting(tablet.page) == []
    tablet.go("/out")
    tablet.tap_key("Everyone out: Main")
    expect(tablet.page.get_by_text("The disk of this device is full.").first).to_be_visible()
    assert "Saved " not in tablet.words
    assert "Kept on this device" not in tablet.words


def test_a_full_disk_does_not_stop_everyone_out_where_the_server_answers(
    site: Served, new_tablet: NewTablet
) -> None:
    tablet = on_a_full_disk(site, new_tablet)
    tablet.go("/out")
    tablet.tap_key("Everyone out: Main")
    expect(tablet.page.get_by_role("status")).to_contain_text("Saved ")
    assert [stop.id for stop in site.book.state.stops["main"]] == ["other"]


def test_a_browser_that_keeps_nothing_works_with_the_server_and_says_so(
    site: Served, new_tablet: NewTablet
) -> None:
    tablet = new_tablet(site)
    tablet.page.add_init_script(BLOCKED)
    tablet.enrol()
    expect(tablet.page.get_by_role("alert").first).to_be_visible()
    assert tried(tablet.page) == {"why": "no-key"}
    tablet.go("/out")
    tablet.tap_key("Everyone out: Main")
    expect(tablet.page.get_by_role("status")).to_contain_text("Saved ")
    assert len(site.book.state.stops["main"]) == 1


def test_a_tablet_put_back_to_an_older_copy_finds_itself_on_the_record_and_goes_on(
    site_apart: Apart, line: Line, own_chromium: OwnChromium, tmp_path: Path
) -> None:
    page = own_chromium.start()
    device = enrol(page, line.address, site_apart.first_key)
    saved = [call_out(page, stop="glass")]
    synced(page)
    own_chromium.close()
    own_chromium.copied(tmp_path / "older")
    page = own_chromium.start()
    opened(page, f"{line.address}/out")
    saved += [call_out(page, stop=stop) for stop in ("blood", "stool")]
    synced(page)
    own_chromium.kill()
    older = OwnChromium(own_chromium.chromium, tmp_path / "older")
    try:
        page = older.start()
        opened(page, f"{line.address}/out")
        saved.append(call_out(page, stop="vomit"))
        synced(page)
        saved.append(call_out(page, stop="spill"))
        synced(page)
    finally:
        older.kill()
    stands_once(site_apart, device, saved)


def test_a_device_that_was_ended_says_so_and_keeps_what_it_has(
    site: Served, tablet: Tablet
) -> None:
    device = enrol_device(tablet)
    tablet.sign_in("AA")
    tablet.page.evaluate(
        """(device) => fetch("/api/v1/devices/remove", { method: "POST",
          headers: { "Content-Type": "application/json" }, body: JSON.stringify({ device }) })""",
        device,
    )
    kept = call_out(tablet.page)
    expect(tablet.page.get_by_text("This device was ended on the Site page.")).to_be_visible()
    assert waiting(tablet.page) == [kept]
    assert facts(lines_on_disk(site.folder), device) == []


ENROL = """async (key) => {
  const { enrol } = await import("/static/ground/session.js");
  return enrol(key, "Poolside tablet", "shared").then(() => "", (error) => error.id);
}"""


def test_a_first_key_that_opens_nothing_does_not_cost_a_device_its_own(
    site: Served, tablet: Tablet
) -> None:
    device = enrol_device(tablet)
    assert tablet.page.evaluate(ENROL, "aaaaa-bbbbb") == "refused"
    saved = call_out(tablet.page)
    synced(tablet.page)
    assert [line["id"] for line in facts(lines_on_disk(site.folder), device)] == [saved]


def test_an_ended_device_is_enrolled_as_another_and_what_it_never_sent_stays_in_sight(
    site: Served, tablet: Tablet
) -> None:
    page = tablet.page
    device = enrol_device(tablet)
    revoke_device(site.book, SHELL, device)
    lost = call_out(page)
    expect(page.get_by_text("This device was ended on the Site page.")).to_be_visible()
    page.evaluate(ENROL, make_first_key(site.book))
    page.evaluate(ENROL, make_first_key(site.book))
    other = enrol_device(tablet)
    assert other != device
    saved = call_out(page, stop="blood")
    expect(page.locator("body[data-unsent='1']")).to_be_attached()
    assert waiting(page) == [lost]
    assert [line["id"] for line in facts(lines_on_disk(site.folder), other)] == [saved]


def enrol_device(tablet: Tablet) -> str:
    """Give the id of an enrolled tablet."""
    found: str = tablet.page.evaluate(
        "() => import('/static/offline/device.js').then(({ ownDevice }) => ownDevice().device)"
    )
    return found


def test_what_cannot_be_is_put_aside_in_sight_and_holds_nothing_up(
    site: Served, tablet: Tablet
) -> None:
    device = enrol_device(tablet)
    page = tablet.page
    reading = {"parameter": "ph", "value": "-7.4"}
    body = {
        "pool": "main",
        "source": "direct",
        "tester": {"unlisted": True},
        "readings": [reading],
    }
    bad = page.evaluate(RECORD, ["round-recorded", body, {}])["id"]
    good = call_out(page)
    expect(page.get_by_text("The record does not take 1 of what was saved here.")).to_be_visible()
    expect(page.get_by_text("something in it cannot be. Enter it again.")).to_be_visible()
    expect(page.locator("body[data-unsent='1']")).to_be_attached()
    assert waiting(page) == [bad]
    assert [line["id"] for line in facts(lines_on_disk(site.folder), device)] == [good]


def test_a_record_put_back_to_an_older_copy_gets_everything_again_once_a_person_goes_on(
    site_apart: Apart, line: Line, own_chromium: OwnChromium, tmp_path: Path
) -> None:
    page = own_chromium.start()
    device = enrol(page, line.address, site_apart.first_key)
    saved = [call_out(page, stop="glass")]
    synced(page)
    site_apart.kill()
    shutil.copytree(site_apart.folder, tmp_path / "night")
    site_apart.start()
    saved += [call_out(page, stop=stop) for stop in ("blood", "stool")]
    synced(page)
    page.evaluate(
        "() => import('/static/ground/witness.js').then(({ witness }) => witness({ now: true }))"
    )
    site_apart.kill()
    for name in ("lanewater.db", "lanewater.db-wal", "lanewater.db-shm"):
        (site_apart.folder / name).unlink(missing_ok=True)
        if (tmp_path / "night" / name).exists():
            shutil.copy(tmp_path / "night" / name, site_apart.folder / name)
    site_apart.start()
    saved.append(call_out(page, stop="vomit"))
    page.evaluate(HURRY)
    expect(page.get_by_text("The server does not take what was saved here.")).to_be_visible()
    assert waiting(page) == saved[3:]
    site_apart.kill()
    site_apart.go_on("The disk broke; this is last night's copy")
    site_apart.start()
    synced(page)
    assert {one["id"] for one in facts(site_apart.lines(), device)} == set(saved)
    assert [one["dseq"] for one in facts(site_apart.lines(), device)] == [1, 2, 3, 4]
