"""Fold house stops, openings and closings."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lanewater.records.entries import Entry
from lanewater.service.clock import known_instant
from lanewater.service.fold.draft import Draft
from lanewater.service.state import Opening, Round, Stop, Told, ends_by_repeat


def take_stops_of_round(draft: Draft, known: Round, body: Mapping[str, Any]) -> None:
    """Open the house stops of the latest round; a repeat ends those that ask for no more."""
    named = {stop["id"]: stop for stop in body.get("stops", ())}
    kept = tuple(
        stop
        for stop in draft.stops.get(known.pool, ())
        if stop.id in named or not ends_by_repeat(stop, known)
    )
    draft.stops[known.pool] = kept
    for identity in named:
        open_stop(draft, Stop(identity, known.pool, known.id, known.at_ms, known.by, known.id, ""))


def open_stop(draft: Draft, stop: Stop) -> None:
    """Open a house stop once; the pool is not open while it stands, nor after it by itself."""
    known = draft.stops.get(stop.pool, ())
    if stop.id not in {other.id for other in known}:
        draft.stops[stop.pool] = (*known, stop)
    opening = draft.openings.get(stop.pool)
    if opening is not None and opening.status == "open":
        draft.openings[stop.pool] = Opening(
            "closed", stop.since_ms, stop.by, f"house stop: {stop.id}", stop.entry
        )


def take_everyone_out(draft: Draft, entry: Entry) -> None:
    """Open a house stop that somebody called."""
    body = entry.body
    open_stop(
        draft,
        Stop(
            id=body["stop"],
            pool=body["pool"],
            entry=entry.id,
            since_ms=known_instant(entry.at),
            by=entry.user,
            round="",
            words=body.get("words", ""),
        ),
    )


def take_stop_ended(draft: Draft, entry: Entry) -> None:
    """End house stops."""
    ended = set(entry.body["stops"])
    pool = entry.body["pool"]
    draft.stops[pool] = tuple(stop for stop in draft.stops.get(pool, ()) if stop.id not in ended)


def take_opened(draft: Draft, entry: Entry) -> None:
    """Open a pool."""
    body = entry.body
    draft.openings[body["pool"]] = Opening(
        status="open",
        since_ms=known_instant(entry.at),
        by=entry.user,
        reason=entry.reason or "",
        entry=entry.id,
        marked=tuple(body.get("marked", ())),
        round=body.get("round", ""),
    )


def take_closed(draft: Draft, entry: Entry) -> None:
    """Close a pool for a reason, or shut it for the hours."""
    draft.openings[entry.body["pool"]] = Opening(
        entry.body["kind"], known_instant(entry.at), entry.user, entry.reason or "", entry.id
    )


def take_told(draft: Draft, entry: Entry) -> None:
    """Take in that somebody was told."""
    body = entry.body
    at_ms = known_instant(entry.at)
    draft.told.append(
        Told(
            entry.id,
            body["about"],
            body["pool"],
            body["whom"],
            entry.user,
            at_ms,
            body.get("how", ""),
        )
    )
