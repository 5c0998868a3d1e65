"""What browser tests stand on: one headless Chromium for each test module that asks for it.

`browser_page` is a fresh page in a context of its own; an error that no script catches fails the
test. A module's Chromium is closed with the module, because while Playwright is at work no other
event loop can run in this process. Without a Chromium such a test fails; it is never skipped.
Where Debian's headless shell of Chromium is there, it is taken for these: the same engine without a
desktop browser's windows around it, at two thirds of the processor time. What needs a profile on
disk, a certificate store or a process to kill has the whole browser (`browser_path`).
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import settings
from playwright.sync_api import Browser, BrowserContext, Page, expect, sync_playwright
from tests.postgres import postgres

__all__ = ["postgres"]

# A busy machine is no fault of what is drawn: no example fails because it took long.
settings.register_profile("lanewater", deadline=None)
settings.load_profile("lanewater")

BROWSERS = ("chromium", "chromium-browser", "google-chrome")
HEADLESS_SHELL = "chromium-headless-shell"
# A busy machine is no fault of a page: what is waited for is there within this, or it is missing.
PATIENCE_MS = 15_000
LONGEST = Path(__file__).with_name("longest.txt")
FLAGS = (
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-default-apps",
    "--disable-dev-shm-usage",
)


def browser_path() -> str:
    """Find the Chromium that LANEWATER_BROWSER names, or else the one on the path."""
    named = os.environ.get("LANEWATER_BROWSER")
    for name in (named,) if named else BROWSERS:
        if found := shutil.which(name):
            return found
    raise RuntimeError(f"no Chromium: {named or ' or '.join(BROWSERS)} does not start here")


def headless_path() -> str:
    """Find the headless shell of Chromium, or else the whole; another browser named wins."""
    found = browser_path()
    return (shutil.which(HEADLESS_SHELL) or found) if Path(found).name == "chromium" else found


def longest_first(names: list[str]) -> dict[str, int]:
    """Give each file's place: those that take longest come first, the others after them."""
    return {name: place - len(names) for place, name in enumerate(names)}


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Have the longest files begun first, so that no process is left with one at the end."""
    places = longest_first(LONGEST.read_text(encoding="utf-8").split())
    items.sort(key=lambda item: places.get(item.nodeid.partition("::")[0], 0))


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    """A headless Chromium, in its sandbox except for root, which it does not let in there."""
    expect.set_options(timeout=PATIENCE_MS)
    with sync_playwright() as playwright:
        started = playwright.chromium.launch(
            executable_path=headless_path(), args=list(FLAGS), chromium_sandbox=os.getuid() != 0
        )
        yield started
        started.close()


@pytest.fixture
def browser_context(chromium: Browser) -> Iterator[BrowserContext]:
    """A context of its own: no cookies, no storage, no service worker of another test."""
    context = chromium.new_context()
    yield context
    context.close()


@pytest.fixture
def browser_page(browser_context: BrowserContext) -> Iterator[Page]:
    """A page whose scripts leave no error uncaught."""
    page = browser_context.new_page()
    errors: list[str] = []
    page.on("pageerror", lambda error: errors.append(str(error)))
    yield page
    assert errors == []
