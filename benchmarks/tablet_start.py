"""Time a tablet's cold start without its server, and count the bytes that a tablet is sent.

    .venv/bin/python benchmarks/tablet_start.py [turns]

The browser is started anew for each turn, on a profile that keeps the pages and has been enrolled.
"killed": nothing listens where the server was. "silent": the server takes the connection and never
answers, as a network does that swallows what is sent. Throttling slows the page's thread (CDP),
not the worker's. Each line gives median and worst, in ms from the start of the navigation to a
frame that shows the first lane.
"""

from __future__ import annotations

import gzip
import os
import signal
import statistics
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from playwright.sync_api import BrowserType, Page, expect, sync_playwright

# The site is that of the journeys.
sys.path.insert(0, str(Path(__file__).parents[1]))

from tests.conftest import FLAGS, browser_path
from tests.journeys.apart import Apart
from tests.journeys.harbour import harbour

from lanewater.interfaces.web.files import FOLDER, PREFIX, Pages

WATCH = """(() => {
  globalThis.firstLane = new Promise((resolve) => {
    const look = () => document.querySelector("main .lane") !== null;
    const seen = () => requestAnimationFrame(() => setTimeout(() => resolve(performance.now())));
    new MutationObserver((_, watcher) => {
      if (!look()) return;
      watcher.disconnect();
      seen();
    }).observe(document, { childList: true, subtree: true });
  });
})()"""
LATE_MS = 60_000
TURNS = 5


def shipped() -> None:
    """Print what a tablet takes to keep the pages."""
    kinds: dict[str, list[int]] = {}
    for address, _ in Pages().shell().files:
        path = FOLDER / address.removeprefix(PREFIX)
        content = path.read_bytes()
        row = kinds.setdefault(path.suffix, [0, 0, 0])
        row[0] += 1
        row[1] += len(content)
        row[2] += len(gzip.compress(content, 9, mtime=0))
    for suffix, (count, raw, packed) in sorted(kinds.items(), key=lambda kind: -kind[1][1]):
        print(f"{suffix:<13} {count:4} files {raw:10,} bytes {packed:9,} packed")
    count, raw, packed = (sum(row[place] for row in kinds.values()) for place in range(3))
    print(f"{'all':<13} {count:4} files {raw:10,} bytes {packed:9,} packed")


@contextmanager
def opened(browser: BrowserType, profile: Path) -> Iterator[Page]:
    """Start a browser on a profile."""
    context = browser.launch_persistent_context(
        profile, executable_path=browser_path(), args=list(FLAGS), chromium_sandbox=False
    )
    try:
        yield context.pages[0]
    finally:
        context.close()


def enrol(browser: BrowserType, profile: Path, site: Apart) -> None:
    """Bring a tablet to a site, and wait until it keeps everything."""
    with opened(browser, profile) as page:
        page.goto(f"{site.address}/#key={site.first_key}")
        page.get_by_label("What do you call this device?").fill("Poolside tablet")
        page.get_by_label("Shared at the poolside").check()
        page.get_by_role("button", name="Enrol").click()
        expect(page.locator("body[data-shell='whole']")).to_be_attached(timeout=LATE_MS)
        page.goto(f"{site.address}/")
        expect(page.locator("main .lane").first).to_be_visible(timeout=LATE_MS)
        page.wait_for_timeout(3_000)


def started(browser: BrowserType, profile: Path, address: str, slower: int) -> float:
    """Start the browser, open the site, and give the ms until its first lane is painted."""
    with opened(browser, profile) as page:
        page.add_init_script(WATCH)
        page.set_default_timeout(LATE_MS)
        page.context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": slower})
        page.goto(f"{address}/", wait_until="commit")
        late = f"new Promise((_, no) => setTimeout(() => no('no lane'), {LATE_MS}))"
        found: float = page.evaluate(f"() => Promise.race([globalThis.firstLane, {late}])")
        return found


def pid_of(site: Apart) -> int:
    """Give the process of a server that runs."""
    if site.process is None:
        raise RuntimeError("the server does not run")
    return site.process.pid


def main() -> None:
    """Print the figures."""
    turns = int(sys.argv[1]) if len(sys.argv) > 1 else TURNS
    shipped()
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        browser, profile = playwright.chromium, Path(folder) / "profile"
        data = Path(folder) / "site"
        data.mkdir()
        site = Apart(data, harbour(data)).start()
        enrol(browser, profile, site)
        pid = pid_of(site)
        os.kill(pid, signal.SIGSTOP)
        for how in ("silent", "killed"):
            if how == "killed":
                os.kill(pid, signal.SIGCONT)
                site.kill()
            for slower in (1, 6):
                took = [started(browser, profile, site.address, slower) for _ in range(turns)]
                middle, worst = statistics.median(took), max(took)
                load = os.getloadavg()[0]
                print(
                    f"{how:<7} {slower}x  {middle:7.0f} ms  worst {worst:7.0f} ms  load {load:.1f}"
                )


if __name__ == "__main__":
    main()
