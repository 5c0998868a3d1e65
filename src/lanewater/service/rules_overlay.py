"""A site's own rules upon the law: they tighten; to loosen takes a document of the authority."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from lanewater.rules.withouteffect import partly_without_effect, without_effect
from lanewater.service.actor import Actor
from lanewater.service.book import Book
from lanewater.service.clock import instant_ms, instant_text
from lanewater.service.packs_whole import Part, parsed
from lanewater.service.permission import require
from lanewater.service.rules_held import accepted
from lanewater.service.rules_known import Overlay
from lanewater.service.rules_texts import fits
from lanewater.service.state import Rules, SiteState
from lanewater.terms.errors import InputError, LanewaterError, MissingError, RefusedError
from lanewater.terms.shapes import Shape, anything, identity, matching
from lanewater.terms.shapes import text as text_shape

DIGEST = matching(re.compile(r"[0-9a-f]{64}"), "64 hexadecimal digits")
DOCUMENT = Shape({"name": text_shape(200, shortest=1), "sha256": DIGEST})
ADD = Shape({"text": anything}, {"pool": identity, "from": anything, "document": DOCUMENT})
END = Shape({"overlay": identity})
LONGEST = 200_000


def add_overlay(book: Book, actor: Actor, given: Mapping[str, Any]) -> dict[str, Any]:
    """Lay a site's own rules upon the law that it goes by.

    Parameters
    ----------
    book : Book
        The site's book.
    actor : Actor
        Somebody who may accept rules, named and signed in.
    given : mapping
        {"text": TOML with id, title and extends, "pool"?, "from"?: not before now, "document"?:
        {"name", "sha256"} of what the authority wrote}.

    Returns
    -------
    dict
        {"entry", "overlay", "hash", "extends", "remarks": of each limit that has no effect
        somewhere, where}.

    Raises
    ------
    InputError
        Naming what cannot be read.
    RefusedError
        Where it could loosen and there is no document, or does not fit on the accepted text.
    """
    ADD(given, "")
    if not isinstance(given["text"], str) or len(given["text"]) > LONGEST:
        raise InputError("text", "is no text, or far too long")
    text = given["text"].encode()
    own = parsed(Part("", text))
    document = given.get("document")
    with book.writing() as writing:
        state = writing.state
        require(state, actor, "accept-rules")
        pool = given.get("pool", "")
        rules = rules_of_scope(state, pool)
        from_ms = starting(book, given)
        whole = book.texts.law(accepted(book, rules)["hash"])
        laid = [
            (book.texts.owns([(row.hash, bool(row.document_sha256))])[0])
            for row in standing(state)
            if row.id != own.get("id") and row.extends == rules.id and same_scope(row, pool)
        ]
        why = fits(whole, [*laid, (own, document is not None)], accepted=len(laid))
        if why:
            raise RefusedError(why)
        identity(own["id"], "id")
        digest = book.texts.put(text)
        body: dict[str, Any] = {"overlay": own["id"], "extends": rules.id, "hash": digest}
        body |= {key: given[key] for key in ("pool", "document") if key in given}
        body |= {"from": instant_text(from_ms)} if "from" in given else {}
        entry = writing.append("rules-overlay-added", body, actor)
    return {
        "entry": entry.id,
        "overlay": own["id"],
        "hash": digest,
        "extends": rules.id,
        "remarks": partly_without_effect(whole, own),
    }


def same_scope(row: Overlay, pool: str) -> bool:
    """Tell whether two of a site's own rules may hold for one pool."""
    return not row.pool or not pool or row.pool == pool


def rules_of_scope(state: SiteState, pool: str) -> Rules:
    """Give the rules of the site or of one pool; some must be chosen."""
    if pool and pool not in state.pools:
        raise InputError("pool", f"{pool!r} is not set up")
    rules = state.rules_of(pool) if pool else state.site.rules
    if not rules.id:
        raise RefusedError("no local rules are chosen here; choose them first")
    return rules


def starting(book: Book, given: Mapping[str, Any]) -> int:
    """Give from when they hold: now, or later; older rounds keep the limits of their date."""
    now = book.clock()
    if "from" not in given:
        return now
    from_ms = instant_ms(given["from"], "from")
    if from_ms < now:
        raise InputError("from", "lies in the past; older rounds keep the limits of their date")
    return from_ms


def end_overlay(book: Book, actor: Actor, given: Mapping[str, Any]) -> dict[str, Any]:
    """End a site's own rules from now on.

    Raises
    ------
    MissingError
        Where none stand by that id.
    """
    END(given, "")
    with book.writing() as writing:
        require(writing.state, actor, "accept-rules")
        if given["overlay"] not in {row.id for row in standing(writing.state)}:
            raise MissingError(f"no rules of the site's own stand by the id {given['overlay']!r}")
        entry = writing.append("rules-overlay-ended", {"overlay": given["overlay"]}, actor)
    return {"entry": entry.id, "overlay": given["overlay"]}


def standing(state: SiteState) -> list[Overlay]:
    """Give the site's own rules that nobody ended."""
    return [row for row in state.overlays if row.until_ms is None]


def overlays(book: Book) -> list[dict[str, Any]]:
    """Give the site's own rules, those that ended with them.

    Returns
    -------
    list of dict
        {"overlay", "extends", "title", "pool", "from", "until": "" while they stand, "hash", "by",
        "document": name, "" without one, "pools": those for which they hold now, "remarks": of each
        limit that has no effect, or none somewhere}.
    """
    return [
        {
            "overlay": row.id,
            "extends": row.extends,
            "title": title_of(book, row),
            "pool": row.pool,
            "from": instant_text(row.from_ms),
            "until": "" if row.until_ms is None else instant_text(row.until_ms),
            "hash": row.hash,
            "by": row.by,
            "document": row.document_name,
            "pools": pools_held(book, row),
            "remarks": remarks_of(book, row),
        }
        for row in book.state.overlays
    ]


def pools_held(book: Book, row: Overlay) -> list[str]:
    """Give the pools for which a site's own rules hold now: those that go by what they extend."""
    state, now = book.state, book.clock()
    return [pool for pool in state.pools if row.holds(pool, state.rules_of(pool).id, now)]


def title_of(book: Book, row: Overlay) -> str:
    """Give what a site calls its own rules, "" where their text is not kept here."""
    try:
        return str(parsed(Part("", book.texts.get(row.hash))).get("title", ""))
    except (MissingError, InputError):
        return ""


def remarks_of(book: Book, row: Overlay) -> list[str]:
    """Say of each limit of a site's own rules that stand where it has no effect on the law.

    An earlier program may have let one in that is looser wherever it holds; it loosens nothing.
    """
    state = book.state
    rules = state.rules_of(row.pool) if row.pool in state.pools else state.site.rules
    if row.until_ms is not None or rules.id != row.extends:
        return []
    try:
        whole = book.texts.law(accepted(book, rules)["hash"])
        own = parsed(Part("", book.texts.get(row.hash)))
    except LanewaterError:
        return []
    none = [f"{told[0].upper()}{told[1:]}." for told in without_effect(whole, own)]
    return [*none, *partly_without_effect(whole, own)]
