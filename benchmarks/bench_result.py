"""Time from a round's last digit to its result on the screen, in Chromium slowed down six times.

    .venv/bin/python benchmarks/bench_result.py

A whole round is typed on the page's own keypad, at phone and at tablet size, with the processor
throttled to a sixth (Emulation.setCPUThrottlingRate). Two clocks, both from the instant at which
the key was let go: the browser's own event timing (to the paint that follows, in steps of 8 ms),
and the first message after that frame. A frame without the result in it stops the run. Ends with 1
where the middle round takes longer than 100 ms. Only a machine that does nothing else tells.
Give LANEWATER_BROWSER where Chromium is not on the path.
"""

from __future__ import annotations

import statistics
import sys
import tempfile
import threading
import time
from pathlib import Path

import uvicorn
from playwright.sync_api import Page, sync_playwright

# The site is that of the journeys.
sys.path.insert(0, str(Path(__file__).parents[1]))

from tests.conftest import FLAGS, browser_path
from tests.journeys.harbour import harbour
from tests.journeys.tablet import Tablet

from lanewater.interfaces.serving import address_of, listening_socket, site_app
from lanewater.service.book import open_book
from lanewater.service.config import Config

SLOWER = 6
ROUNDS = 7
MOST_MS = 100.0
SIZES = {"phone": (360, 740), "tablet": (820, 1180)}
WATCH = """() => {
  window.frames_ = [];
  window.events_ = [];
  new PerformanceObserver((list) => {
    for (const { name, startTime, duration } of list.getEntries()) {
      if (["pointerup", "click"].includes(name)) events_.push([name, startTime, duration]);
    }
  }).observe({ type: "event", durationThreshold: 16 });
  addEventListener("click", (event) => {
    const released = event.timeStamp;
    requestAnimationFrame(() => {
      const result = document.querySelector(".result .against") !== null;
      const channel = new MessageChannel();
      channel.port1.onmessage = () =>
        frames_.push([released, performance.now() - released, result]);
      channel.port2.postMessage(0);
    });
  }, { capture: true });
}"""


def one_round(tablet: Tablet) -> tuple[float, float]:
    """Type a round; give both clocks of its last digit. [ms]"""
    page = tablet.page
    tablet.look("Main")
    tablet.type("152")
    tablet.tap_key("Second tablet in")
    tablet.type("743")
    tablet.type("16")
    page.evaluate("() => { frames_.length = 0; events_.length = 0 }")
    if page.locator(".result").count():
        raise SystemExit("a result stands there before the last digit")
    page.locator(".keypad [data-key='8']").click()
    page.wait_for_function("() => frames_.length > 0", timeout=10_000)
    page.wait_for_timeout(300)
    released, framed, shown = page.evaluate("() => frames_[0]")
    if not shown:
        raise SystemExit("the frame after the last digit holds no result")
    events = page.evaluate("() => events_")
    own = [took for _, began, took in events if abs(began - released) < 50]
    tablet.save("Main")
    return max(own, default=float("nan")), framed


def slowed(page: Page, first_key: str) -> Tablet:
    """Enrol, sign in, and slow down."""
    tablet = Tablet(page, first_key)
    tablet.enrol()
    tablet.sign_in("TT")
    page.evaluate(WATCH)
    page.context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
    page.set_default_timeout(60_000)
    return tablet


def main() -> int:
    """Serve the harbour baths and measure at every size."""
    folder = Path(tempfile.mkdtemp())
    first_key = harbour(folder)
    book = open_book(Config(folder), "server")
    taken = listening_socket("127.0.0.1", 0)
    server = uvicorn.Server(uvicorn.Config(site_app(book), log_level="critical", ws="none"))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [taken]}, daemon=True)
    thread.start()
    while not server.started:
        time.sleep(0.01)
    slow = False
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=browser_path(), args=FLAGS)
        context = browser.new_context(base_url=address_of(taken), service_workers="block")
        tablet = slowed(context.new_page(), first_key)
        for name, (width, height) in SIZES.items():
            tablet.page.set_viewport_size({"width": width, "height": height})
            found = [one_round(tablet) for _ in range(ROUNDS)]
            own, framed = (sorted(times) for times in zip(*found, strict=True))
            middle = statistics.median(framed)
            slow = slow or middle > MOST_MS
            print(
                f"{name} {width} x {height}, {SLOWER}x slower, {ROUNDS} rounds: event timing"
                f" {statistics.median(own):.0f} ms (most {own[-1]:.0f}), frame {middle:.0f} ms"
                f" (most {framed[-1]:.0f})",
                flush=True,
            )
        browser.close()
    server.should_exit = True
    thread.join()
    book.close()
    return 1 if slow else 0


if __name__ == "__main__":
    sys.exit(main())
