"""A tablet whose server is killed: it goes on alone, and hands all in once the server is back."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from playwright.sync_api import Locator, expect
from tests.journeys.apart import Apart
from tests.journeys.harbour import PINS
from tests.journeys.tablet import Tablet

from lanewater.service.book import Book, open_book
from lanewater.service.config import Config


@contextmanager
def at_the_book(apart: Apart) -> Iterator[Book]:
    """Stop the server, work at its book, and start it again."""
    apart.kill()
    book = open_book(Config(apart.folder))
    try:
        yield book
    finally:
        book.close()
    apart.start()


def ready(tablet: Tablet, initials: str) -> None:
    """Enrol and sign in, and wait until the tablet holds all it needs to be alone."""
    tablet.enrol()
    tablet.sign_in(initials)
    expect(tablet.page.locator("body[data-shell='whole']")).to_be_attached(timeout=20_000)


def good_round(tablet: Tablet, pool: str = "Main") -> None:
    """Test a pool that meets the rules, and save it on the tablet."""
    tablet.look(pool)
    tablet.test("152", "743", "168")
    tablet.save(pool, sent=False)


def lane(tablet: Tablet, pool: str) -> Locator:
    """Find a pool's lane on Now."""
    heading = tablet.page.get_by_role("heading", name=pool, exact=True)
    return tablet.page.locator(".lane").filter(has=heading)


def type_pin(tablet: Tablet, initials: str) -> None:
    """Type a PIN on the pad of the panel that is open, and do what it is for."""
    for digit in PINS[initials]:
        tablet.page.locator(f".pin .keypad [data-key='{digit}']").click()
    tablet.page.locator("[data-key='pin-done']").click()


def back(apart: Apart, tablet: Tablet) -> list[dict[str, Any]]:
    """Start the server again, wait until the tablet has handed all in, and give the record."""
    apart.start()
    tablet.page.evaluate("dispatchEvent(new Event('online'))")
    tablet.synced()
    return apart.lines()


def of_kind(lines: list[dict[str, Any]], kind: str) -> list[dict[str, Any]]:
    """Give the record's entries of a kind."""
    return [line for line in lines if line["type"] == kind]


def stand_once(lines: list[dict[str, Any]], *kinds: str) -> None:
    """Hold the record to exactly one entry of each kind."""
    count = Counter(line["type"] for line in lines)
    assert {kind: count[kind] for kind in kinds} == dict.fromkeys(kinds, 1)
