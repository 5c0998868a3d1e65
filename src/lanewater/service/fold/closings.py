"""Fold closures for cause, what was said of them, laboratory results and deadlines: by the kernel.

A tablet counts its own lines with the same function, so both come to the same.
"""

from __future__ import annotations

from typing import Any

from lanewater.kernel.deciding.closuresafter import closure_parts_after
from lanewater.records.entries import Entry
from lanewater.service.clock import known_instant
from lanewater.service.fold.authority import may_decide, note
from lanewater.service.fold.draft import Draft

COUNTED = (
    "pool-opened",
    "pool-closed",
    "opening-settled",
    "closure-lifted",
    "notice-posted",
    "told",
    "authority-notified",
    "deadline-met",
    "incident-started",
)
JUDGED = "round-judged"


def at_first() -> dict[str, Any]:
    """Give what is known of a pool of which nothing was said."""
    return {
        "closures": [],
        "samples": [],
        "deadline_events": [],
        "deadlines_met": [],
        "broken": {},
    }


def take_lifted(draft: Draft, entry: Entry) -> None:
    """Note a lifting that the record gives no authority for; then it lifts nothing."""
    note(draft, entry, given=may_decide(draft, entry, "open"))


def count_closing(draft: Draft, entry: Entry) -> None:
    """Count an entry that is taken in already, for every pool that it is about."""
    if entry.type == JUDGED:
        count_judged(draft, entry)
    elif entry.type in COUNTED and lifts(draft, entry):
        for pool in entry.body.get("pools", [entry.body["pool"]]):
            put(draft, pool, line_of(entry, entry.type, entry.id), None)


def lifts(draft: Draft, entry: Entry) -> bool:
    """Tell whether a lifting was by somebody who may open; of anything else there is no doubt."""
    return entry.type != "closure-lifted" or may_decide(draft, entry, "open")


def count_judged(draft: Draft, entry: Entry) -> None:
    """Count what the rules said of a round or of a sample, at the time it was taken."""
    found = draft.rounds.get(entry.body["round"])
    if found is None:
        return
    line = line_of(entry, "round-recorded", found.id)
    line |= {"at": found.at_ms, "user": found.by}
    line["body"] = {"pool": found.pool, "purpose": found.purpose}
    put(draft, found.pool, line, {"body": dict(entry.body)})


def line_of(entry: Entry, kind: str, identity: str) -> dict[str, Any]:
    """Give an entry as the kernel counts it."""
    return {
        "kind": kind,
        "id": identity,
        "at": known_instant(entry.at),
        "user": entry.user,
        "reason": entry.reason or "",
        "body": dict(entry.body),
    }


def put(draft: Draft, pool: str, line: dict[str, Any], verdict: dict[str, Any] | None) -> None:
    """Keep what an entry changes of a pool."""
    known = draft.closings.get(pool, at_first())
    opening = draft.openings.get(pool)
    named = draft.rounds.get(line["body"].get("round", ""))
    facts = known | {
        "pool": pool,
        "opening": None if opening is None else {"status": opening.status},
        "rounds": [] if named is None else [{"id": named.id, "purpose": named.purpose}],
        "deadline_rules": None,
    }
    parts = closure_parts_after(facts, line | {"verdict": verdict})
    if parts:
        draft.closings[pool] = known | parts
