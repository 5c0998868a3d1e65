"""Fold which rules hold: chosen, accepted in a newer version, and a site's own upon them."""

from __future__ import annotations

from dataclasses import replace

from lanewater.records.entries import Entry
from lanewater.service.clock import known_instant
from lanewater.service.fold.draft import Draft, rules_of
from lanewater.service.rules_known import ChosenRules, Overlay
from lanewater.service.state import Rules


def take_rules(draft: Draft, entry: Entry) -> None:
    """Choose rules for the site or for one pool; "none" is a choice too."""
    chosen = rules_of(entry) if entry.body["rules"] != "none" else Rules()
    put_rules(draft, entry, chosen)


def take_accepted(draft: Draft, entry: Entry) -> None:
    """Accept another version of the rules that hold; of other rules it says nothing."""
    pool = entry.body.get("pool")
    body = entry.body
    fresh = Rules(body["rules"], body["edition"], body["hash"])
    if pool is None:
        held = draft.site.rules if draft.site else Rules()
    else:
        known = draft.pools.get(pool)
        held = known.own_rules or Rules() if known else Rules()
    if held.id == fresh.id:
        put_rules(draft, entry, fresh)


def put_rules(draft: Draft, entry: Entry, rules: Rules) -> None:
    """Let rules hold from an entry on."""
    pool = entry.body.get("pool")
    if pool is None and draft.site is not None:
        draft.site = replace(draft.site, rules=rules)
    elif pool in draft.pools:
        draft.pools[pool] = replace(draft.pools[pool], own_rules=rules)
        # A pool that is set up with rules of its own never went by the site's.
        last = draft.rules_known[-1] if draft.rules_known else None
        if last and last.pool == pool and last.follows_site and last.index == draft.index - 1:
            draft.rules_known = draft.rules_known[:-1]
    row = ChosenRules(
        pool or "",
        known_instant(entry.at),
        draft.index,
        id=rules.id,
        edition=rules.edition,
        hash=rules.hash,
    )
    draft.rules_known = (*draft.rules_known, row)


def follow_site(draft: Draft, entry: Entry) -> None:
    """Note that a pool, as it is first set up, goes by the site's rules."""
    row = ChosenRules(entry.body["pool"], known_instant(entry.at), draft.index, follows_site=True)
    draft.rules_known = (*draft.rules_known, row)


def take_overlay(draft: Draft, entry: Entry) -> None:
    """Add a site's own rules, or another version of them."""
    body = entry.body
    document = body.get("document", {})
    at_ms = known_instant(entry.at)
    end_overlay(draft, body["overlay"], at_ms)
    draft.overlays = (
        *draft.overlays,
        Overlay(
            id=body["overlay"],
            entry=entry.id,
            extends=body["extends"],
            hash=body["hash"],
            pool=body.get("pool", ""),
            from_ms=max(at_ms, known_instant(body["from"]) if "from" in body else at_ms),
            by=entry.user,
            document_name=document.get("name", ""),
            document_sha256=document.get("sha256", ""),
        ),
    )


def take_overlay_ended(draft: Draft, entry: Entry) -> None:
    """End a site's own rules; older rounds keep them."""
    end_overlay(draft, entry.body["overlay"], known_instant(entry.at))


def end_overlay(draft: Draft, identity: str, at_ms: int) -> None:
    """Let what stands by an id hold no longer than an instant."""
    draft.overlays = tuple(
        replace(row, until_ms=at_ms) if row.id == identity and row.until_ms is None else row
        for row in draft.overlays
    )
