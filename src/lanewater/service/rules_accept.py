"""A newer text of the rules waits until a named person accepts it; nothing changes before."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

from lanewater.rules.differences import differences
from lanewater.service.actor import Actor
from lanewater.service.book import Book
from lanewater.service.packs_whole import whole_law
from lanewater.service.permission import require
from lanewater.service.rules_held import put_shipped, shipped_parts
from lanewater.service.rules_texts import fits
from lanewater.service.rules_touched import touched
from lanewater.service.state import Rules, SiteState
from lanewater.terms.errors import LanewaterError, RefusedError
from lanewater.terms.shapes import Shape, identity, matching

DIGEST = matching(re.compile(r"[0-9a-f]{64}"), "64 hexadecimal digits")
ACCEPT = Shape({"rules": identity, "hash": DIGEST}, {"pool": identity})
NO_TEXT = "accepted-text-not-kept"
HISTORIC = "historic"


def scopes(state: SiteState) -> Iterator[tuple[str, Rules]]:
    """Give the rules of the site, and of each pool that has its own, with the pool's id."""
    yield "", state.site.rules
    for pool in state.pools.values():
        if pool.own_rules is not None:
            yield pool.id, pool.own_rules


def rules_waiting(book: Book) -> list[dict[str, Any]]:
    """Give the newer texts of the rules that are chosen here.

    Returns
    -------
    list of dict
        {"pool": "" for the site, "rules", "title", "status", "was", "edition_was", "hash",
        "edition", "may_be_accepted", "why_not": "", historic, or what does not fit, "unknown":
        why no changes can be shown, "" where they are, "changes": as `differences`, each with the
        "pools" that it touches}.
    """
    state = book.state
    found = []
    for pool, rules in scopes(state):
        if not rules.id or not rules.hash:
            continue
        try:
            shipped = book.load(rules.id)
        except LanewaterError:
            continue
        if shipped["hash"] != rules.hash:
            found.append(waiting_row(book, state, pool, rules, shipped))
    return found


def waiting_row(
    book: Book, state: SiteState, pool: str, rules: Rules, shipped: Mapping[str, Any]
) -> dict[str, Any]:
    """Give one newer text."""
    changes, unknown = changes_of(book, state, pool, rules)
    why_not = why_refused(book, state, pool, shipped)
    return {
        "pool": pool,
        "rules": rules.id,
        "title": shipped["title"],
        "status": shipped["status"],
        "was": rules.hash,
        "edition_was": rules.edition,
        "hash": shipped["hash"],
        "edition": shipped["edition"],
        "may_be_accepted": not why_not,
        "why_not": why_not,
        "unknown": unknown,
        "changes": changes,
    }


def changes_of(
    book: Book, state: SiteState, pool: str, rules: Rules
) -> tuple[list[dict[str, Any]], str]:
    """Give what a newer text changes and for which pools, and why that cannot be said."""
    try:
        was = book.texts.law(rules.hash)
        now = whole_law(shipped_parts(rules.id))
        rows = touched(state, was, now, differences(was, now))
    except (LanewaterError, KeyError, TypeError, ValueError):
        return [], NO_TEXT
    reached = {state.pools[pool].name} if pool else names_under_site(state)
    for row in rows:
        row["pools"] = [name for name in row["pools"] if name in reached]
    return rows, ""


def names_under_site(state: SiteState) -> set[str]:
    """Give the names of the pools that go by the site's rules."""
    return {pool.name for pool in state.pools.values() if pool.own_rules is None}


def why_refused(book: Book, state: SiteState, pool: str, shipped: Mapping[str, Any]) -> str:
    """Tell why a newer text cannot be accepted, "" where it can."""
    if shipped["status"] == HISTORIC:
        return HISTORIC
    own = [
        (row.hash, bool(row.document_sha256))
        for row in state.overlays
        if row.until_ms is None
        and row.extends == shipped["id"]
        and (not pool or row.pool in ("", pool))
    ]
    if not own:
        return ""
    try:
        law = whole_law(shipped_parts(shipped["id"]))
        return fits(law, book.texts.owns(own), accepted=len(own))
    except LanewaterError as error:
        return str(error)


def accept_rules(book: Book, actor: Actor, given: Mapping[str, Any]) -> dict[str, Any]:
    """Accept the newer text of the rules that are chosen, from now on; older rounds keep theirs.

    Parameters
    ----------
    book : Book
        The site's book.
    actor : Actor
        Somebody who may accept rules, named and signed in.
    given : mapping
        {"rules", "hash": of the text that was shown, "pool"?: where the pool has its own rules}.

    Returns
    -------
    dict
        {"entry", "rules", "edition", "hash"}.

    Raises
    ------
    RefusedError
        Where nothing waits, it is not what was shown, it is historic, or the site's own rules do
        not fit on it.
    NotAllowedError
        Where the actor may not accept rules.
    """
    ACCEPT(given, "")
    pool = given.get("pool", "")
    with book.writing() as writing:
        state = writing.state
        require(state, actor, "accept-rules")
        held = dict(scopes(state)).get(pool, Rules())
        if held.id != given["rules"]:
            raise RefusedError(f"rules: {given['rules']} are not the rules chosen here")
        shipped = book.load(held.id)
        if shipped["hash"] == held.hash:
            raise RefusedError(f"rules: this text of {held.id} is accepted already")
        if shipped["hash"] != given["hash"]:
            raise RefusedError("rules: the text is not the one that was shown; look at it again")
        why_not = why_refused(book, state, pool, shipped)
        if why_not == HISTORIC:
            raise RefusedError(f"rules: {held.id} is historic now; choose other rules")
        if why_not:
            raise RefusedError(f"the site's own rules do not fit on it; end them first: {why_not}")
        put_shipped(book, held.id, shipped["hash"])
        named = {"id": held.id, "edition": shipped["edition"], "hash": shipped["hash"]}
        body = {"rules": held.id, "edition": shipped["edition"], "hash": shipped["hash"]}
        body |= {"pool": pool} if pool else {}
        body |= {"was": held.hash} if held.hash else {}
        entry = writing.append("rules-accepted", body, actor, rules=named)
    return {"entry": entry.id, "rules": held.id, **{k: named[k] for k in ("edition", "hash")}}
