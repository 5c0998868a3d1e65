"""A round that is not saved yet is on disk with every key, and no key waits for the disk."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect
from tests.journeys.apart import Apart, Line, OwnChromium
from tests.journeys.outboxes import broken, enrol, opened
from tests.journeys.tablet import Tablet

KEEP_MANY = """async (many) => {
  const { keepDraft } = await import("/static/offline/drafts.js");
  const { draftOf } = await import("/static/round/draft.js");
  let puts = 0;
  const put = IDBObjectStore.prototype.put;
  IDBObjectStore.prototype.put = function (...given) { puts += 1; return put.apply(this, given); };
  const longest = [];
  const kept = [];
  for (let key = 1; key <= many; key += 1) {
    const begun = performance.now();
    kept.push(keepDraft("main", { ...draftOf("main"), key }));
    longest.push(performance.now() - begun);
    if (key % 10 === 0) await new Promise((resolve) => setTimeout(resolve));
  }
  await Promise.all(kept);
  IDBObjectStore.prototype.put = put;
  return { puts, longest: Math.max(...longest) };
}"""
ON_DISK = """async () => {
  const { asked, inStores } = await import("/static/offline/base.js");
  const text = await inStores(["drafts"], "readonly", ({ drafts }) => asked(drafts.get("main")));
  return text === undefined ? null : JSON.parse(text);
}"""
TYPED = """async () => {
  const { draftOf } = await import("/static/round/draft.js");
  return Object.values(draftOf("main").fields).map(({ keys }) => keys);
}"""
TYPED_ON_DISK = """async () => {
  const { asked, inStores } = await import("/static/offline/base.js");
  const text = await inStores(["drafts"], "readonly", ({ drafts }) => asked(drafts.get("main")));
  return Object.values(JSON.parse(text ?? '{"fields": {}}').fields).map(({ keys }) => keys);
}"""
# So long a disk may take on a busy machine; nothing that is only in memory ever gets there.
TRIES, EACH_MS = 40, 50
MEMORY_ONLY = (
    "/static/offline/drafts.js",
    "  return inTurn(pool, text);\n}\n\n/** Forget",
    "  return Promise.resolve();\n}\n\n/** Forget",
)


def test_hundreds_of_keys_are_kept_in_order_without_a_key_waiting_for_the_disk(
    tablet: Tablet,
) -> None:
    found = tablet.page.evaluate(KEEP_MANY, 400)
    assert tablet.page.evaluate(ON_DISK)["key"] == 400
    assert found["puts"] < 400
    assert found["longest"] < 50


def test_what_was_typed_is_there_after_a_reload(tablet: Tablet) -> None:
    tablet.look("Main")
    tablet.type("152")
    expect(tablet.page.get_by_text("1.52").first).to_be_visible()
    tablet.page.reload()
    tablet.go("/test?pool=main")
    expect(tablet.page.get_by_text("1.52").first).to_be_visible()


def on_disk(page: Page, keys: str) -> None:
    """Wait until what was typed is on disk, as far as it ever is."""
    for _ in range(TRIES):
        if keys in page.evaluate(TYPED_ON_DISK):
            return
        page.wait_for_timeout(EACH_MS)


def after_a_kill(line: Line, chromium: OwnChromium, page: Page) -> list[str]:
    """Type into a round, kill the browser with the last key, and give what is there afterwards."""
    tablet = Tablet(page, "")
    tablet.look("Main")
    tablet.type("15")
    on_disk(page, "15")
    chromium.kill()
    page = chromium.start()
    opened(page, f"{line.address}/out")
    found: list[str] = page.evaluate(TYPED)
    return found


def test_what_was_typed_is_there_after_the_browser_was_killed(
    site_apart: Apart, line: Line, own_chromium: OwnChromium
) -> None:
    page = own_chromium.start()
    enrol(page, line.address, site_apart.first_key)
    assert "15" in after_a_kill(line, own_chromium, page)


def test_drafts_that_are_only_in_memory_are_caught(
    site_apart: Apart, line: Line, own_chromium: OwnChromium
) -> None:
    page = own_chromium.start()
    broken(page, *MEMORY_ONLY)
    enrol(page, line.address, site_apart.first_key)
    with pytest.raises(AssertionError):
        assert "15" in after_a_kill(line, own_chromium, page)
