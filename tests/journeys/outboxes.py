"""Outboxes as a test handles them: what is said through one, and the record held to it."""

from __future__ import annotations

from typing import Any

from playwright.sync_api import Page, Route, expect
from tests.journeys.apart import Apart, facts

RECORD = """async ([kind, body, more]) => {
  const { record } = await import("/static/offline/outbox.js");
  try {
    return { id: (await record(kind, body, more ?? {})).id };
  } catch (error) {
    return { why: error.why ?? String(error) };
  }
}"""
OPEN_TABLET = """async () => {
  const { unsent } = await import("/static/offline/outbox.js");
  return (await unsent()).map(({ id, state, why }) => [id, state, why]);
}"""
HURRY = "() => import('/static/offline/sync.js').then(({ hurry }) => hurry())"
DEVICE = "() => import('/static/offline/device.js').then(({ ownDevice }) => ownDevice().device)"
KEPT = """async () => {
  const { asked, inStores } = await import("/static/offline/base.js");
  return inStores(["pins"], "readonly", async ({ pins }) => (await asked(pins.getAll())).length);
}"""


def learned(page: Page) -> None:
    """Wait until the device can check the PIN by itself."""
    for _ in range(100):
        if page.evaluate(KEPT):
            return
        page.wait_for_timeout(50)
    raise AssertionError("no PIN was learned")


def call_out(
    page: Page,
    pool: str = "main",
    stop: str = "glass",
    body: dict[str, Any] | None = None,
    **more: Any,
) -> str:
    """Say everyone out through the outbox, and give the entry's id once it is saved."""
    said = {"pool": pool, "stop": stop} | (body or {})
    answer = page.evaluate(RECORD, ["everyone-out", said, more])
    assert "id" in answer, answer
    found: str = answer["id"]
    return found


def waiting(page: Page) -> list[str]:
    """Give the ids of what is not on the record."""
    return [row[0] for row in page.evaluate(OPEN_TABLET)]


def synced(page: Page) -> None:
    """Wait until everything is on the record."""
    page.evaluate(HURRY)
    expect(page.locator("body[data-unsent='0']")).to_be_attached(timeout=20_000)


def enrol(page: Page, address: str, first_key: str) -> str:
    """Enrol a browser by its first key and give its device's id."""
    page.goto(f"{address}/#key={first_key}")
    page.get_by_label("What do you call this device?").fill("Poolside tablet")
    page.get_by_label("Shared at the poolside").check()
    page.get_by_role("button", name="Enrol").click()
    expect(page.get_by_role("navigation", name="Pages")).to_be_visible()
    found: str = page.evaluate(DEVICE)
    return found


def stands_once(apart: Apart, device: str, saved: list[str]) -> None:
    """Hold the record on disk to what was shown as saved: each once, in order, without a gap."""
    found = facts(apart.lines(), device)
    assert [line["id"] for line in found] == saved
    assert [line["dseq"] for line in found] == list(range(1, len(saved) + 1))


def opened(page: Page, address: str) -> None:
    """Open a page and wait until it has read back what it keeps."""
    page.goto(address)
    expect(page.locator("body[data-unsent]")).to_be_attached()


def broken(page: Page, path: str, was: str, becomes: str) -> None:
    """Put a fault into one of the page's own modules."""

    def planted(route: Route) -> None:
        answer = route.fetch()
        text = answer.text()
        assert was in text
        route.fulfill(response=answer, body=text.replace(was, becomes))

    page.route(f"**{path}", planted)
