"""What the Now page says of each pool: one sentence's worth of facts, and what is open."""

from __future__ import annotations

from typing import Any

from lanewater.kernel.deciding.poolnow import pool_now
from lanewater.service.book import Book
from lanewater.service.clock import in_text, instant_text
from lanewater.service.directory import contacts, names, tell_list
from lanewater.service.pool_facts import lane_facts


def now_page(book: Book, now_ms: int, speaker: str = "") -> dict[str, Any]:
    """Give what the Now page shows.

    Parameters
    ----------
    book : Book
        The site's book.
    now_ms : int
        UTC milliseconds.
    speaker : str
        The person who looks, "" where nobody is signed in; nobody is told by oneself.

    Returns
    -------
    dict
        {"now", "recording", "trouble", "site", "pools", "contacts", "tell", "people"}.
    """
    state = book.state
    site = state.site
    return {
        "now": instant_text(now_ms),
        "recording": book.recording,
        "trouble": book.trouble,
        "site": {
            "id": site.id,
            "name": site.name,
            "timezone": site.timezone,
            "units": dict(site.units),
            "rules": site.rules.id,
            "demo": site.demo,
        },
        "pools": [lane(book, pool, now_ms) for pool in state.pools],
        "contacts": contacts(book),
        "tell": tell_list(book, speaker),
        "people": {
            identity: {"name": known["name"], "initials": known["initials"]}
            for identity, known in names(book).items()
        },
    }


def lane(book: Book, pool: str, now_ms: int) -> dict[str, Any]:
    """Give one pool's lane; people are ids, to be looked up among the page's people."""
    found: dict[str, Any] = in_text(pool_now(lane_facts(book, book.state, pool, now_ms), now_ms))
    return found
