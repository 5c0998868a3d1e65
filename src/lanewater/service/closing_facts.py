"""What a pool's facts say of its closures, its laboratory results and what the rules want then."""

from __future__ import annotations

from typing import Any

from lanewater.kernel.deciding.classes import pool_in_classes
from lanewater.kernel.deciding.closuresafter import events_asking
from lanewater.service import rules_held
from lanewater.service.book import Book
from lanewater.service.fold.closings import at_first
from lanewater.service.judging import pool_facts
from lanewater.service.state import SiteState
from lanewater.terms.errors import LanewaterError

DEADLINE_KEYS = ("id", "on", "or_on", "clause", "words", "within_seconds", "to", "after")
REOPENING_KEYS = ("id", "clause", "words", "for", "when", "rule", "approval", "duty")
CHECK_KEYS = ("id", "clause", "words")


def closing_facts(book: Book, state: SiteState, pool: str) -> dict[str, Any]:
    """Give the part of a pool's facts that closing, reopening and deadlines are told by.

    Parameters
    ----------
    book : Book
        The site's book, which has the rules.
    state : SiteState
        What its record says.
    pool : str
        The pool's id.

    Returns
    -------
    dict
        {"closures", "samples", "deadline_events", "deadlines_met", "broken", "deadline_rules",
        "reopening", "checklists", "pool_facts"}. The rules' rows are those of the pool's pack, so
        that a tablet comes to the same without it.
    """
    pack = pack_of(book, state, pool)
    rules = rows(pack, "deadlines", DEADLINE_KEYS)
    case = {"pool": dict(pool_facts(state, pool)), "readings": [], "history": []}
    found = at_first() | dict(state.closings.get(pool, {}))
    return found | {
        "deadline_events": events_asking(found["deadline_events"], rules),
        "deadline_rules": rules,
        "reopening": rows(pack, "reopening", REOPENING_KEYS),
        "checklists": rows(pack, "checklists", CHECK_KEYS),
        "pool_facts": pool_in_classes(pack, case),
    }


def pack_of(book: Book, state: SiteState, pool: str) -> dict[str, Any]:
    """Give the compiled rules of a pool, empty where there are none that load."""
    try:
        return rules_held.pack_of(book, state, pool) or {}
    except LanewaterError:
        return {}


def rows(pack: dict[str, Any], part: str, keys: tuple[str, ...]) -> list[dict[str, Any]]:
    """Give a part of a pack, of each row what is asked for."""
    return [{key: row[key] for key in keys if key in row} for row in pack.get(part, ())]
