"""Forget a person: the name goes, what was done stays, and the record still holds."""

from __future__ import annotations

import json
from contextlib import suppress
from typing import Any

from lanewater.records.errors import NotRecordingError
from lanewater.records.store import log
from lanewater.records.store import people as store
from lanewater.records.store.scrubbing import scrub
from lanewater.service.actor import Actor
from lanewater.service.book import Book
from lanewater.service.directory import shown_as
from lanewater.service.permission import require
from lanewater.terms.errors import MissingError, RefusedError

SHORTEST_SOUGHT = 3
MOST_TOLD = 100


def forget_person(book: Book, actor: Actor, person: str) -> dict[str, Any]:
    """Take a person's name, initials, phone, PIN and sessions away for good.

    Parameters
    ----------
    book : Book
        The site's book.
    actor : Actor
        Who decides: the area manager, or who owns the site.
    person : str
        The person's id, which stays on record.

    Returns
    -------
    dict
        {"person", "shown_as", "contacts": lines of the phone list that went too, "traces": what
        still lies in the store's files, none or left, "stands_in": ids of entries in whose free
        text the name or the phone stands, at most 100; they cannot be changed}.

    Raises
    ------
    NotAllowedError
        Where somebody else may decide this.
    MissingError
        Where nobody has this id.
    """
    require(book.state, actor, "set-up")
    if person not in book.state.people:
        raise MissingError(f"nobody here has the id {person!r}; `lanewater site show` lists them")
    with book.writing() as writing:
        known = store.people(writing.connection).get(person, {})
        sought = [known.get(key, "") for key in ("name", "phone")]
        stands_in = entries_with(book, sought)
        gone = store.forget_person(writing.connection, person, known.get("name", ""))
        writing.append("person-forgotten", {"person": person}, actor)
    return {
        "person": person,
        "shown_as": shown_as(person),
        "contacts": gone,
        "traces": "none" if nothing_left(book) else "left",
        "stands_in": stands_in,
    }


def nothing_left(book: Book) -> bool:
    """Clean the store's files; tell whether that was possible."""
    with suppress(RefusedError, NotRecordingError), book.reading() as connection:
        return scrub(connection)
    return False


def entries_with(book: Book, sought: list[str]) -> list[str]:
    """Give the ids of the entries in which one of some texts stands, the first hundred."""
    pieces = [
        json.dumps(text, ensure_ascii=False)[1:-1].encode()
        for text in sought
        if len(text) >= SHORTEST_SOUGHT
    ]
    found: list[str] = []
    for row in log.rows_from(book.connection, book.site, 0):
        if any(piece in row.raw for piece in pieces):
            found.append(json.loads(row.raw)["id"])
            if len(found) == MOST_TOLD:
                break
    return found
