"""Which of a site's pools a change of rules touches."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from lanewater.kernel.deciding.conditions import applies
from lanewater.rules.packconditions import conditions_of
from lanewater.service.judging import pool_facts
from lanewater.service.state import SiteState

TABLES = ("rule", "interval", "schedule", "procedures", "reopening", "checklist", "class")


def touched(
    state: SiteState,
    one: Mapping[str, Any],
    other: Mapping[str, Any],
    rows: Sequence[Mapping[str, Any]],
) -> list[dict[str, Any]]:
    """Add to each change the names of the pools that it touches.

    What is not known of a pool counts as touching it.

    Parameters
    ----------
    state : SiteState
        The site.
    one, other : mapping
        The parsed texts of both packs.
    rows : sequence of mapping
        As `differences` gives them.
    """
    cases = {pool: empty_case(state, pool) for pool in state.pools}
    found = []
    for row in rows:
        entries = [
            (raw, entry)
            for raw in (one, other)
            if (entry := entry_of(raw, row["table"], row["rule"]))
        ]
        pools = [
            state.pools[pool].name
            for pool, case in cases.items()
            if not entries or any(reaches(case, entry, raw) for raw, entry in entries)
        ]
        found.append({**row, "pools": pools})
    return found


def empty_case(state: SiteState, pool: str) -> dict[str, Any]:
    """Give a pool as judging sees it, with no reading."""
    return {
        "purpose": "round",
        "pool": pool_facts(state, pool),
        "readings": [],
        "history": [],
        "at": None,
        "doubted": [],
        "disbelieved": [],
    }


def entry_of(raw: Mapping[str, Any], table: str, identity: str) -> Mapping[str, Any] | None:
    """Find the entry that a change is of, None where it is of no table of entries."""
    if table not in TABLES or not identity:
        return None
    return next((row for row in raw.get(table, []) if row.get("id") == identity), None)


def reaches(case: dict[str, Any], entry: Mapping[str, Any], raw: Mapping[str, Any]) -> bool:
    """Tell whether an entry may apply to a pool, whatever is read."""
    return bool(applies(case, conditions_of(dict(entry), "rule", dict(raw)), 0)["holds"])
