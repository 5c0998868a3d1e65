"""Signs of a site for the public: which pool is closed, why in plain words, since when."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from typing import Any

from lanewater.kernel.deciding.poolnow import pool_now
from lanewater.reports.sign import Sign
from lanewater.reports.sign_words import LANGUAGES, OF_STOP, REASONS
from lanewater.service.book import Book
from lanewater.service.clock import zone
from lanewater.service.pool_facts import lane_facts
from lanewater.service.sheet_days import day_at
from lanewater.terms.errors import InputError, RefusedError


def sign_of(book: Book, pool: str, languages: Sequence[str] = (), reason: str = "") -> Sign:
    """Gather what a sign is made of.

    Parameters
    ----------
    book : Book
        The site's book.
    pool : str
        The pool's id.
    languages : sequence of str
        Of `LANGUAGES`; all where left out.
    reason : str
        Of `REASONS`; "" for the one that the record gives.

    Raises
    ------
    RefusedError
        Where the pool is open: a sign would say what is not so.
    """
    state = book.state
    if pool not in state.pools:
        raise InputError("pool", f"{pool!r} is not set up here")
    for language in languages:
        if language not in LANGUAGES:
            raise InputError("language", f"must be one of {', '.join(LANGUAGES)}")
    if reason and reason not in REASONS:
        raise InputError("reason", f"must be one of {', '.join(REASONS)}")
    now_ms = book.clock()
    row = pool_now(lane_facts(book, state, pool, now_ms), now_ms)
    if row["status"] == "open":
        raise RefusedError(f"{pool} is open: there is nothing to put up")
    today = day_at(state.site.timezone, now_ms)
    units = state.site.units
    since = None
    if row["since"] is not None:
        since = datetime.fromtimestamp(row["since"] / 1000, UTC).astimezone(
            zone(state.site.timezone)
        )
    return Sign(
        site=state.site.name,
        pool=state.pools[pool].name,
        reason=reason or reason_of(row),
        by_order=any(one["by_order"] and one["lifted"] is None for one in row["closures"]),
        since=since,
        languages=tuple(dict.fromkeys(languages)) or LANGUAGES,
        us_paper=units.get("volume") == "us-gal" or units.get("dose") == "us",
        demo=state.site.demo,
        day=(today.year, today.month, today.day),
    )


def reason_of(row: dict[str, Any]) -> str:
    """Give why a pool is closed, as it is told to the public; never in anybody's own words."""
    if row["stops"]:
        return OF_STOP.get(row["stops"][0]["id"], "danger")
    if any(not one["verdict"].startswith("meets") for one in row["samples"]):
        return "laboratory"
    return "hours" if row["status"] in ("shut", "unknown") else "closed"
