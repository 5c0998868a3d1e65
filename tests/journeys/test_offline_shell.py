"""The pages kept on a tablet: whole or not at all, a newer version when nothing is in hand."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from tests.journeys.apart import Apart, OwnChromium
from tests.journeys.conftest import Made, NewTablet, Served, served
from tests.journeys.tablet import Tablet

from lanewater.interfaces.web.files import FOLDER, Pages

FOOT = "Lanewater records, judges by the rules you chose"
NEW_FOOT = "The newer Lanewater records, judges by the rules you chose"
KEPT = """async () => {
  const names = (await caches.keys()).filter((name) => name.startsWith("lanewater-"));
  const kept = [];
  for (const name of names) {
    for (const { url } of await (await caches.open(name)).keys()) kept.push(new URL(url).pathname);
  }
  return kept;
}"""
UPDATE = """async () => {
  const registration = await navigator.serviceWorker.getRegistration();
  const failed = new Promise((resolve) => registration.addEventListener("updatefound", () => {
    const fresh = registration.installing;
    fresh.addEventListener("statechange", () => {
      if (["redundant", "activated"].includes(fresh.state)) resolve(fresh.state);
    });
  }));
  await registration.update();
  return failed;
}"""
FULL = """IDBObjectStore.prototype.put = () => {
  throw new DOMException("", "QuotaExceededError");
};"""
LOOK = "() => document.dispatchEvent(new Event('visibilitychange'))"


class Shipped:
    """A site whose pages' files can be changed under it, as an update does."""

    def __init__(self, served_site: Served, folder: Path) -> None:
        self.site = served_site
        self.folder = folder

    def ship(self, foot: str = NEW_FOOT) -> None:
        """Put a newer version in place."""
        words = self.folder / "words" / "en.json"
        words.write_text(words.read_text(encoding="utf-8").replace(FOOT, foot), encoding="utf-8")


@pytest.fixture
def shipped(harbour_made: Made, tmp_path: Path) -> Iterator[Shipped]:
    """The harbour baths, served from a folder of pages of its own."""
    folder = tmp_path / "static"
    shutil.copytree(FOLDER, folder)
    for site in served(harbour_made, tmp_path, folder):
        yield Shipped(site, folder)


@pytest.fixture
def kept_tablet(shipped: Shipped, new_tablet: NewTablet) -> Tablet:
    """A tablet that keeps the pages."""
    found = new_tablet(shipped.site, worker=True)
    found.enrol()
    whole(found.page)
    return found


def whole(page: Page) -> None:
    """Wait until the worker has everything."""
    expect(page.locator("body[data-shell='whole']")).to_be_attached(timeout=30_000)


def shown_foot(page: Page) -> str:
    """Give the words by which the versions differ."""
    return page.locator("footer p").first.inner_text()


def test_the_server_killed_pages_are_loaded_and_the_browser_starts_without_it(
    site_apart: Apart, own_chromium: OwnChromium
) -> None:
    page = own_chromium.start()
    tablet = Tablet(page, site_apart.first_key)
    page.goto(f"{site_apart.address}/#key={site_apart.first_key}")
    page.get_by_label("What do you call this device?").fill("Poolside tablet")
    page.get_by_label("Shared at the poolside").check()
    page.get_by_role("button", name="Enrol").click()
    expect(page.get_by_role("navigation", name="Pages")).to_be_visible()
    whole(page)
    assert not [path for path in page.evaluate(KEPT) if path.startswith("/api")]
    site_apart.kill()
    for path in ("/", "/test", "/record"):
        page.goto(site_apart.address + path)
        expect(page.locator("h1").first).to_be_visible(timeout=30_000)
    own_chromium.kill()
    page = own_chromium.start()
    page.goto(site_apart.address + "/")
    expect(page).to_have_title(re.compile("^Now "))
    expect(page.locator("main .lane").first).to_contain_text("Main", timeout=30_000)
    own_chromium.kill()
    assert tablet.errors == []


def test_an_api_answer_never_comes_from_the_worker(kept_tablet: Tablet) -> None:
    page = kept_tablet.page
    kept_tablet.load("/")
    by_worker = page.evaluate(
        """async () => {
          await fetch("/api/v1/me");
          return performance.getEntriesByType("resource").map((one) =>
            [new URL(one.name).pathname, one.workerStart > 0 && one.transferSize === 0]);
        }"""
    )
    kinds = {path.startswith("/api/"): [] for path, _ in by_worker}
    for path, kept in by_worker:
        kinds[path.startswith("/api/")].append(kept)
    assert not any(kinds[True])
    assert all(kinds[False])


def test_a_newer_version_waits_for_a_round_begun_and_then_takes_over(
    kept_tablet: Tablet, shipped: Shipped
) -> None:
    page = kept_tablet.page
    kept_tablet.look("Main")
    kept_tablet.type("152")
    shipped.ship()
    assert page.evaluate(UPDATE) == "activated"
    page.evaluate(LOOK)
    expect(page.locator("body[data-shell='newer']")).to_be_attached()
    for path in ("/test", "/"):
        kept_tablet.load(path)
        expect(page.locator("body[data-shell='newer']")).to_be_attached()
        assert shown_foot(page).startswith(FOOT)
    expect(page.get_by_text("A newer version is here")).to_be_visible()
    page.evaluate(
        """async () => {
          const { draftsHeld, dropDraft } = await import("/static/offline/drafts.js");
          for (const pool of draftsHeld()) await dropDraft(pool);
        }"""
    )
    page.reload()
    expect(page.locator("footer p").first).to_contain_text(NEW_FOOT, timeout=20_000)
    whole(page)
    assert len(set(page.evaluate(KEPT))) == len(page.evaluate(KEPT))


def test_a_newer_version_waits_for_what_is_unsent_in_another_tab_too(
    kept_tablet: Tablet, shipped: Shipped
) -> None:
    page = kept_tablet.page
    other = page.context.new_page()
    other.route("**/api/v1/sync/**", lambda route: route.abort())
    page.route("**/api/v1/sync/**", lambda route: route.abort())
    other.goto("/")
    expect(other.locator("h1").first).to_be_visible()
    other.evaluate(
        """async () => {
          const { record } = await import("/static/offline/outbox.js");
          await record("everyone-out", { pool: "main", stop: "glass" });
        }"""
    )
    expect(other.locator("body[data-unsent='1']")).to_be_attached()
    shipped.ship()
    assert page.evaluate(UPDATE) == "activated"
    kept_tablet.load("/")
    expect(page.locator("body[data-shell='newer']")).to_be_attached()
    assert shown_foot(page).startswith(FOOT)
    for one in (other, page):
        one.unroute("**/api/v1/sync/**")
    other.evaluate("() => import('/static/offline/sync.js').then(({ hurry }) => hurry())")
    expect(other.locator("body[data-unsent='0']")).to_be_attached()
    page.reload()
    for one in (page, other):
        expect(one.locator("footer p").first).to_contain_text(NEW_FOOT, timeout=20_000)


@pytest.mark.parametrize("fault", ["changed on its way", "cut short", "not there"])
def test_a_version_with_one_broken_file_never_replaces_one_that_works(
    kept_tablet: Tablet, shipped: Shipped, fault: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    page = kept_tablet.page
    shipped.ship()
    (shipped.folder / "part" / "key.js").write_text(
        (shipped.folder / "part" / "key.js").read_text() + "// newer\n"
    )
    spoil(fault, monkeypatch)
    assert page.evaluate(UPDATE) == "redundant"
    kept_tablet.load("/")
    whole(page)
    assert shown_foot(page).startswith(FOOT)
    monkeypatch.undo()
    page.evaluate("() => navigator.serviceWorker.getRegistration().then((one) => one.update())")
    expect(page.locator("footer p").first).to_contain_text(NEW_FOOT, timeout=30_000)


def spoil(fault: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Have one file come over the network as no version holds it."""
    true_answer = Pages.answer

    def answer(self: Pages, request: Request) -> Response:
        found = true_answer(self, request)
        if request.scope["path"] != "/static/part/key.js":
            return found
        if fault == "not there":
            return PlainTextResponse("", 404)
        body = self.find("part/key.js").content  # type: ignore[union-attr]  # the file is there
        broken = body[: len(body) // 2] if fault == "cut short" else body.replace(b"e", b"c", 1)
        return Response(broken, headers={"Content-Type": "text/javascript; charset=utf-8"})

    monkeypatch.setattr(Pages, "answer", answer)


def test_until_when_things_are_kept_is_said_and_the_unsent_count_stays(
    kept_tablet: Tablet,
) -> None:
    page = kept_tablet.page
    line = page.locator("footer .keeping")
    expect(line).to_contain_text(re.compile(r"Kept on this device until \d+ \w+ \d{4} at least"))
    page.context.set_offline(True)
    page.evaluate(
        """async () => {
          const { record } = await import("/static/offline/outbox.js");
          await record("everyone-out", { pool: "main", stop: "glass" });
        }"""
    )
    expect(page.locator("[data-key=unsent]")).to_contain_text("1 not on the record yet")
    warned = page.get_by_text("This browser may throw away the 1 not on the record")
    expect(warned).to_be_visible()
    page.context.set_offline(False)


def test_a_window_without_workers_says_so_before_anything_is_typed(
    shipped: Shipped, new_tablet: NewTablet
) -> None:
    tablet = new_tablet(shipped.site, worker=True)
    tablet.page.add_init_script(
        "ServiceWorkerContainer.prototype.register = () => "
        "Promise.reject(new DOMException('not in here', 'SecurityError'));"
    )
    tablet.enrol()
    tablet.go("/look")
    expect(tablet.page.get_by_role("alert")).to_contain_text("cannot work without a network")


@pytest.mark.parametrize(
    ("planted", "said"),
    [
        ("Object.defineProperty(window, 'indexedDB', { value: undefined });", "keeps nothing"),
        ("Object.defineProperty(window, 'isSecureContext', { value: false });", "is not private"),
        (
            FULL,
            "This device is full",
        ),
    ],
)
def test_a_browser_that_keeps_nothing_says_so_before_anything_is_typed(
    shipped: Shipped, new_tablet: NewTablet, planted: str, said: str
) -> None:
    tablet = new_tablet(shipped.site)
    tablet.page.add_init_script(planted)
    tablet.enrol()
    tablet.go("/look")
    expect(tablet.page.get_by_role("alert").filter(has_text=said)).to_be_visible()
