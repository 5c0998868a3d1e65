"""The rules that a pool is judged by: the text that somebody accepted, with the site's own upon it.

What this program holds may be newer; it changes nothing until somebody accepts it.
"""

from __future__ import annotations

from contextlib import suppress
from typing import Any

from lanewater.service.book import Book
from lanewater.service.packs import FOLDER
from lanewater.service.packs_whole import Part, law_texts
from lanewater.service.rules_known import ChosenRules, Overlay, chosen_at
from lanewater.service.rules_texts import law_hash
from lanewater.service.state import Rules, SiteState
from lanewater.terms.errors import LanewaterError, MissingError


def pack_of(
    book: Book, state: SiteState, pool: str, at_ms: int | None = None
) -> dict[str, Any] | None:
    """Give the compiled rules of a pool, None where none are chosen.

    Parameters
    ----------
    book : Book
        The site's book, which keeps the accepted texts.
    state : SiteState
        The site.
    pool : str
        The pool.
    at_ms : int, optional
        When what is judged was read: the rules of that time; now where left out. [UTC ms]

    Raises
    ------
    LanewaterError
        Where the accepted text is not to be had; then nothing is judged.
    """
    at_ms = book.clock() if at_ms is None else at_ms
    rules = rules_at(state, pool, at_ms)
    if not rules.id:
        return None
    base = accepted(book, rules)
    own = overlays_at(state, pool, rules.id, at_ms)
    if not own:
        return base
    rows = [(row.hash, bool(row.document_sha256)) for row in own]
    return book.texts.with_overlays(base, rows)


def pack_or_why(
    book: Book, state: SiteState, pool: str, at_ms: int | None = None
) -> tuple[dict[str, Any] | None, str]:
    """Give the rules that a pool went by at an instant, or say why they are not to be had.

    Without them nothing is judged, and house stops and findings stand all the same.
    """
    try:
        return pack_of(book, state, pool, at_ms), ""
    except LanewaterError as error:
        return None, str(error)


def rules_missing(book: Book) -> dict[str, str]:
    """Give why the rules that a pool goes by are not to be had, of each where they are not.

    No round is judged there until somebody accepts or chooses rules; nothing does it by itself.
    """
    state = book.state
    found = {pool: pack_or_why(book, state, pool)[1] for pool in state.pools}
    return {pool: why for pool, why in found.items() if why}


def rules_at(state: SiteState, pool: str, at_ms: int) -> Rules:
    """Give the rules that a pool went by at an instant, as they were accepted then."""
    found: ChosenRules | None = chosen_at(state.rules_known, pool, at_ms)
    if found is None:
        return state.rules_of(pool)
    return Rules(found.id, found.edition, found.hash)


def overlays_at(state: SiteState, pool: str, rules: str, at_ms: int) -> list[Overlay]:
    """Give the site's own rules that held for a pool at an instant, in the order of the record."""
    return [row for row in state.overlays if row.holds(pool, rules, at_ms)]


def accepted(book: Book, rules: Rules) -> dict[str, Any]:
    """Give rules in compiled form by the text that was accepted.

    Raises
    ------
    MissingError
        Where neither this program nor the data folder holds that text.
    """
    try:
        shipped: dict[str, Any] | None = book.load(rules.id)
    except LanewaterError:
        shipped = None
    if shipped is not None and rules.hash in ("", shipped["hash"]):
        keep_shipped(book, rules.id, shipped["hash"])
        return shipped
    if not rules.hash:
        raise MissingError(f"rules: {rules.id!r} is not held here")
    return book.texts.compiled(rules.hash)


def keep_shipped(book: Book, identity: str, wanted: str) -> None:
    """Keep the text of rules that are judged by, once; it must outlast this program's own copy."""
    if wanted in book.texts.kept:
        return
    with suppress(LanewaterError):
        put_shipped(book, identity, wanted)
    book.texts.kept.add(wanted)


def put_shipped(book: Book, identity: str, wanted: str) -> None:
    """Keep the text of rules that somebody chooses or accepts.

    Raises
    ------
    MissingError
        Where this program does not hold them, or the disk does not take them.
    """
    parts = shipped_parts(identity)
    if law_hash(parts) != wanted:
        raise MissingError(f"rules: the text of {identity} changed while it was chosen; try again")
    try:
        book.texts.put_law(parts)
    except OSError as error:
        raise MissingError(f"rules: {book.texts.folder} takes nothing: {error.strerror}") from None


def shipped_parts(identity: str) -> list[Part]:
    """Give the texts of rules that this program holds.

    Raises
    ------
    MissingError
        Where it does not hold them.
    """
    path = FOLDER / f"{identity}.toml"
    if not path.is_file():
        raise MissingError(f"rules: {identity!r} is not held here")
    return law_texts(identity, path.read_bytes(), FOLDER)
