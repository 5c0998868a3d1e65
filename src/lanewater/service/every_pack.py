"""One round under every rules pack that is held here: the case and the packs to judge it by."""

from __future__ import annotations

from typing import Any

from lanewater.service.book import Book
from lanewater.service.packs import pack_ids
from lanewater.service.past import as_of, with_round
from lanewater.service.rounds import case_of
from lanewater.terms.errors import LanewaterError, MissingError


def round_under_every_pack(book: Book, round_id: str) -> dict[str, Any]:
    """Give a round's case and every pack in compiled form, without golden cases and sources.

    Parameters
    ----------
    book : Book
        The site's book.
    round_id : str
        The round.

    Returns
    -------
    dict
        {"case", "packs": [compiled]}.

    Raises
    ------
    MissingError
        Where the round is not on record.
    """
    state = with_round(book, round_id)
    found = state.round_by_id(round_id)
    if found is None:
        raise MissingError("there is no such round on record")
    return {"case": case_of(as_of(book, state, found), found), "packs": packs_held(book)}


def packs_held(book: Book) -> list[dict[str, Any]]:
    """Give every pack that loads; how it is proved stays behind."""
    found = []
    for identity in pack_ids():
        try:
            pack = book.load(identity)
        except LanewaterError:
            continue
        found.append({key: pack[key] for key in pack if key not in ("golden", "sources")})
    return found
