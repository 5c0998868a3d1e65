"""What a pool's facts say of its closures, its laboratory results and what the rules want then."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lanewater.kernel.deciding.closuresafter import events_asking
from lanewater.service.fold.closings import at_first
from lanewater.service.state import SiteState

DEADLINE_KEYS = ("id", "on", "or_on", "clause", "words", "within_seconds", "to", "after")
REOPENING_KEYS = ("id", "clause", "words", "for", "when", "rule", "approval", "duty")
CHECK_KEYS = ("id", "clause", "words")


def closing_facts(
    state: SiteState, pool: str, pack: Mapping[str, Any], known: dict[str, Any]
) -> dict[str, Any]:
    """Give the part of a pool's facts that closing, reopening and deadlines are told by.

    Parameters
    ----------
    state : SiteState
        What the record says.
    pool : str
        The pool's id.
    pack : mapping
        The compiled rules of the pool, empty for none.
    known : dict
        The pool's own facts, with the classes that the rules put it in.

    Returns
    -------
    dict
        {"closures", "samples", "deadline_events", "deadlines_met", "broken", "deadline_rules",
        "reopening", "checklists", "pool_facts"}. The rules' rows are those of the pool's pack, so
        that a tablet comes to the same without it.
    """
    rules = rows(pack, "deadlines", DEADLINE_KEYS)
    found = at_first() | dict(state.closings.get(pool, {}))
    return found | {
        "deadline_events": events_asking(found["deadline_events"], rules),
        "deadline_rules": rules,
        "reopening": rows(pack, "reopening", REOPENING_KEYS),
        "checklists": rows(pack, "checklists", CHECK_KEYS),
        "pool_facts": known,
    }


def rows(pack: Mapping[str, Any], part: str, keys: tuple[str, ...]) -> list[dict[str, Any]]:
    """Give a part of a pack, of each row what is asked for."""
    return [{key: row[key] for key in keys if key in row} for row in pack.get(part, ())]
