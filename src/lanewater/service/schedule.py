"""When a pool is due, from its rules, the site's plan, retests asked for and opening hours."""

from __future__ import annotations

from typing import Any

from lanewater.kernel.deciding.duenow import due_now, round_out_of_date
from lanewater.service.book import Book
from lanewater.service.clock import in_text
from lanewater.service.pool_facts import lane_facts


def due(book: Book, pool: str, now_ms: int) -> dict[str, Any]:
    """Give when a pool's next round is due and why, in words' ids.

    Parameters
    ----------
    book : Book
        The site's book.
    pool : str
        The pool's id.
    now_ms : int
        UTC milliseconds.

    Returns
    -------
    dict
        {"at": text or None, "at_ms": int or None, "why", "detail", "every_minutes", "late"};
        why as `kernel.deciding.due.next_due` gives it.
    """
    found: dict[str, Any] = in_text(due_now(lane_facts(book, book.state, pool, now_ms), now_ms))
    return found


def out_of_date(book: Book, pool: str, now_ms: int) -> bool:
    """Tell whether a pool's last round no longer says how it is."""
    return round_out_of_date(lane_facts(book, book.state, pool, now_ms), now_ms)
