"""What is due today at a site, for each person; that it was done, and that something happened."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lanewater.kernel.deciding.duelist import due_list
from lanewater.kernel.deciding.schedules import duties_now
from lanewater.service.actor import Actor
from lanewater.service.additions import known_pool
from lanewater.service.book import Book
from lanewater.service.clock import instant_text
from lanewater.service.duty_facts import site_facts
from lanewater.service.pool_facts import lane_facts
from lanewater.service.state import SiteState
from lanewater.terms.errors import InputError
from lanewater.terms.shapes import Shape, identity, one_of, text, words
from lanewater.terms.words import NOTED_EVENTS

ANSWERS = ("done", "not-needed", "not-done")
DONE = Shape(
    {"duty": text(160, shortest=1), "answer": one_of(*ANSWERS)},
    {"pool": identity, "words": words},
)
EVENT = Shape({"what": one_of(*NOTED_EVENTS)}, {"pool": identity, "words": words})
PARTS = ("mine", "others", "later")


def due_page(book: Book, now_ms: int, person: str = "") -> dict[str, Any]:
    """Give what is due at the site, for somebody.

    Parameters
    ----------
    book : Book
        The site's book.
    now_ms : int
        UTC milliseconds.
    person : str
        Who asks, "" for nobody on the list.

    Returns
    -------
    dict
        {"now", "mine", "others", "later"}: rows as `kernel.deciding.duelist.due_list` gives them,
        each with "name" of its pool and its instants as text ("from", "due").
    """
    with book.reading():
        state = book.state
        places = [lane_facts(book, state, pool, now_ms) for pool in state.pools]
        places.append(site_facts(state, now_ms))
        known = state.people.get(person)
        found = due_list(places, list(known.roles) if known else [], now_ms)
        return {
            "now": instant_text(now_ms),
            **{part: [row_told(state, row) for row in found[part]] for part in PARTS},
        }


def row_told(state: SiteState, row: Mapping[str, Any]) -> dict[str, Any]:
    """Give a row with its pool's name and its instants as text."""
    told = {key: value for key, value in row.items() if key not in ("from_ms", "due_ms")}
    pool = state.pools.get(row["pool"])
    return told | {
        "name": pool.name if pool else state.site.name,
        "from": instant_text(row["from_ms"]),
        "due": instant_text(row["due_ms"]),
    }


def duty_done(book: Book, actor: Actor, given: Mapping[str, Any]) -> dict[str, str]:
    """Keep that a duty was done, was not needed, or was not done; anybody may say it.

    A test of the rules is not done by a word: only a round does it.

    Parameters
    ----------
    book : Book
        The site's book.
    actor : Actor
        Whoever says it.
    given : mapping
        {"duty": the row's id, "answer": done, not-needed or not-done, "pool"?, "words"?}.

    Returns
    -------
    dict
        {"entry"}.

    Raises
    ------
    InputError
        For a duty that nothing asks for there.
    """
    DONE(given, "")
    pool = given.get("pool", "")
    with book.writing() as writing:
        if pool:
            known_pool(writing.state, pool)
        known = kinds_asked(book, writing.state, pool)
        if given["duty"] not in known:
            raise InputError("duty", "nothing asks for that here; `lanewater due` lists what does")
        if known[given["duty"]] in ("round", "test") and given["answer"] == "done":
            raise InputError("answer", "a test is done by a round, not by a word")
        entry = writing.append("duty-done", dict(given), actor)
    return {"entry": entry.id}


def kinds_asked(book: Book, state: SiteState, pool: str) -> dict[str, str]:
    """Give the kind of everything that rules and site ask at a pool, or at the site itself."""
    now_ms = book.clock()
    facts = lane_facts(book, state, pool, now_ms) if pool else site_facts(state, now_ms)
    return {row["id"]: row["kind"] for row in facts["schedules"]}


def note_event(book: Book, actor: Actor, given: Mapping[str, Any]) -> dict[str, str]:
    """Keep that something happened, at a pool or at the whole site; anybody may say it.

    Parameters
    ----------
    book : Book
        The site's book.
    actor : Actor
        Whoever says it.
    given : mapping
        {"what": rain, dust, shutdown, restart, contamination, fault or crowd, "pool"?, "words"?}.

    Returns
    -------
    dict
        {"entry"}.
    """
    EVENT(given, "")
    with book.writing() as writing:
        if "pool" in given:
            known_pool(writing.state, given["pool"])
        entry = writing.append("event-noted", dict(given), actor)
    return {"entry": entry.id}


def owed(book: Book, state: SiteState, pool: str, now_ms: int) -> tuple[dict[str, Any], ...]:
    """Give what comes by the calendar at a pool and is overdue."""
    facts = lane_facts(book, state, pool, now_ms)
    calendar = {row["id"] for row in facts["schedules"] if row["form"] == "calendar"}
    rows = duties_now(facts, now_ms)
    return tuple(row for row in rows if row["id"] in calendar and row["state"] == "overdue")


def duties_told(state: SiteState) -> list[dict[str, Any]]:
    """Give the site's own duties as they were set up."""
    return [
        {key: value for key, value in row.items() if key != "since"}
        for row in state.asked.get("duties", {}).values()
        if not row.get("gone", False)
    ]


def closed_days_told(state: SiteState) -> list[dict[str, Any]]:
    """Give the closed days as they were set: those of the site, then those of each pool."""
    return [
        {"days": [dict(row) for row in days]} | ({"pool": scope} if scope else {})
        for scope, days in sorted(state.asked.get("closed_days", {}).items())
        if days
    ]
