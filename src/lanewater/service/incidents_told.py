"""How incidents stand, as they are told: by the kernel, over what is on record."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lanewater.kernel.deciding.incidents import incident_now
from lanewater.service.book import Book
from lanewater.service.clock import instant_text
from lanewater.service.incident_facts import told_at
from lanewater.service.rules_held import pack_or_why
from lanewater.service.state import SiteState
from lanewater.terms.errors import MissingError, RefusedError


def open_incident(state: SiteState, incident: str) -> dict[str, Any]:
    """Give an incident that is open, as the kernel takes it.

    Raises
    ------
    MissingError
        Where there is none of that id.
    RefusedError
        Where it is ended.
    """
    row = state.incidents.get(incident)
    if row is None:
        raise MissingError("there is no such incident here")
    if "ended" in row:
        raise RefusedError("this incident is ended")
    return told_at(state, row, row["pool"])


def standing_of(book: Book, state: SiteState, incident: str) -> dict[str, Any]:
    """Tell how an open incident stands now."""
    row = open_incident(state, incident)
    pack, _ = pack_or_why(book, state, row["pool"])
    return incident_now(row, pack, book.clock())


def incident_told(book: Book, incident: str, now_ms: int) -> dict[str, Any]:
    """Tell one incident, open or ended, with its instants as RFC 3339.

    Parameters
    ----------
    book : Book
        The site's book.
    incident : str
        Its id.
    now_ms : int
        UTC ms.

    Returns
    -------
    dict
        What `incident_now` gives, with "open", "entry", "words", "nobody_in", "route", "notes" and
        "ended": None, or when, by whom and how.

    Raises
    ------
    MissingError
        Where there is none of that id.
    """
    state = book.state
    row = state.incidents.get(incident)
    if row is None:
        raise MissingError("there is no such incident here")
    given = told_at(state, row, row["pool"])
    pack, _ = pack_or_why(book, state, row["pool"])
    found = incident_now(given, pack, now_ms)
    kept = {key: row[key] for key in ("entry", "words", "nobody_in", "route", "notes")}
    told: dict[str, Any] = in_words(found | kept)
    return told | {"open": "ended" not in row, "ended": in_words(row.get("ended"))}


def incidents_told(book: Book, now_ms: int) -> dict[str, Any]:
    """Tell every incident that is held: the open ones first, then the last that were ended.

    Parameters
    ----------
    book : Book
        The site's book.
    now_ms : int
        UTC ms.

    Returns
    -------
    dict
        {"incidents": as `incident_told`, "ended": {"incident", "kind", "pool", "pools", "since",
        "by", "ended"} of the others, the latest first}.
    """
    rows = book.state.incidents
    past = [row for row in rows.values() if "ended" in row]
    keys = ("incident", "kind", "pool", "pools", "by", "ended")
    return {
        "incidents": [
            incident_told(book, key, now_ms) for key, row in rows.items() if "ended" not in row
        ],
        "ended": [
            in_words({key: row[key] for key in keys} | {"since": row["at"]})
            for row in sorted(past, key=lambda row: row["ended"]["at"], reverse=True)
        ],
    }


def in_words(value: Any, key: str = "") -> Any:
    """Give a value with its instants written out; a finding's are in seconds, others in ms."""
    if isinstance(value, Mapping):
        told = {name: in_words(item, name) for name, item in value.items()}
        return {name.removesuffix("_ms"): item for name, item in told.items()}
    if isinstance(value, list):
        return [in_words(item, f"{key}[]") for item in value]
    if isinstance(value, int) and not isinstance(value, bool):
        if key in ("at", "since", "doubtful[]") or key.endswith("_ms"):
            return instant_text(value)
        if key == "at[]":
            return instant_text(value * 1000)
    return value
