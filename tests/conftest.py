"""What browser tests stand on: one headless Chromium for each test module that asks for it.

`browser_page` is a fresh page in a context of its own; an error that no script catches fails the
test. A module's Chromium is closed with the module, because while Playwright is at work no other
event loop can run in this process. Without a Chromium such a test fails; it is never skipped.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright
from tests.postgres import postgres

__all__ = ["postgres"]

BROWSERS = ("chromium", "chromium-browser", "google-chrome")
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


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    """A headless Chromium, in its sandbox except for root, which it does not let in there."""
    with sync_playwright() as playwright:
        started = playwright.chromium.launch(
            executable_path=browser_path(), args=list(FLAGS), chromium_sandbox=os.getuid() != 0
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
