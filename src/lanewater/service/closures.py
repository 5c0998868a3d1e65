"""What follows a closing: an order that is lifted, who was notified, the sign, the deadlines.

None of it opens a pool, and nothing here decides whether anybody has to be notified.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lanewater.records.kinds_events import DOCUMENT
from lanewater.service.actor import Actor
from lanewater.service.additions import known_pool
from lanewater.service.book import Book
from lanewater.service.permission import require
from lanewater.terms.errors import InputError, RefusedError
from lanewater.terms.shapes import Shape, identity, list_of, text, words

LIFT = Shape(
    {"pool": identity, "closure": identity, "authority": text(200, shortest=1)},
    {"reference": text(120), "document": DOCUMENT},
)
NOTIFIED = Shape(
    {"pool": identity, "about": identity, "authority": text(200, shortest=1)},
    {"how": text(60), "deadline": text(200), "words": words},
)
NOTICE = Shape(
    {"pool": identity, "about": identity, "languages": list_of(text(8, shortest=2), 12, least=1)},
    {"place": text(120)},
)
MET = Shape(
    {"pool": identity, "about": identity, "deadline": text(200, shortest=1)}, {"words": words}
)


def lift_closure(book: Book, actor: Actor, given: Mapping[str, Any]) -> dict[str, str]:
    """Keep that an authority lifted its order; the pool stays closed until somebody opens it.

    Parameters
    ----------
    book : Book
        The site's book.
    actor : Actor
        Somebody who may open pools, signed in.
    given : mapping
        {"pool", "closure": the entry that closed it, "authority": who lifted it, "reference"?,
        "document"?: {"name", "sha256"}}.

    Returns
    -------
    dict
        {"entry"}.

    Raises
    ------
    RefusedError
        Where no such order stands at the pool, or it is lifted already.
    """
    LIFT(given, "")
    with book.writing() as writing:
        state = writing.state
        pool = known_pool(state, given["pool"])
        require(state, actor, "open")
        rows = state.closings.get(pool, {}).get("closures", ())
        known = next((row for row in rows if row["entry"] == given["closure"]), None)
        if known is None or not known["by_order"]:
            raise RefusedError(f"closure: no such order stands at {pool}")
        if known["lifted"] is not None:
            raise RefusedError("closure: is lifted already")
        entry = writing.append("closure-lifted", dict(given), actor)
    return {"entry": entry.id}


def keep_notified(book: Book, actor: Actor, given: Mapping[str, Any]) -> dict[str, str]:
    """Keep that an authority was notified, of what, and of which deadline where one is named."""
    return keep(book, actor, "authority-notified", NOTIFIED, given)


def keep_notice(book: Book, actor: Actor, given: Mapping[str, Any]) -> dict[str, str]:
    """Keep that a sign was put up, in which languages and where."""
    return keep(book, actor, "notice-posted", NOTICE, given)


def keep_met(book: Book, actor: Actor, given: Mapping[str, Any]) -> dict[str, str]:
    """Keep that a person says that a deadline of the rules was met."""
    return keep(book, actor, "deadline-met", MET, given)


def keep(
    book: Book, actor: Actor, kind: str, shape: Shape, given: Mapping[str, Any]
) -> dict[str, str]:
    """Keep a fact about an entry that is on record; anybody may say it."""
    shape(given, "")
    with book.writing() as writing:
        known_pool(writing.state, given["pool"])
        if not writing.known(given["about"]):
            raise InputError("about", "is not on record")
        entry = writing.append(kind, dict(given), actor)
    return {"entry": entry.id}
