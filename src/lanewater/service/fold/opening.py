"""Fold house stops, openings and closings."""

from __future__ import annotations

from collections.abc import Sequence

from lanewater.kernel.deciding.openings import closes_pool, opening_after, opening_of_all
from lanewater.records.entries import Entry
from lanewater.service.clock import known_instant
from lanewater.service.fold.draft import Draft, Trail, Writer
from lanewater.service.state import Dispute, Opening, Round, Stop, Told, ends_by_repeat

HOLD_THE_RECORD = ("shell", "server")


def take_stops_of_round(
    draft: Draft, known: Round, entry: Entry, *, latest: Round | None = None
) -> None:
    """Open the house stops of a round; one that is the latest ends those it asks for no more.

    Parameters
    ----------
    draft : Draft
        The growing state.
    known : Round
        The round.
    entry : Entry
        What the rules said of it.
    latest : Round, optional
        The latest round, where that is another one which the writer did not know of. Then nothing
        is ended, and what the latest round shows no cause for any more is not opened.
    """
    stops = [
        Stop(stop["id"], known.pool, known.id, known.at_ms, known.by, known.id, "")
        for stop in entry.body.get("stops", ())
    ]
    if latest is None:
        named = {stop.id for stop in stops}
        draft.stops[known.pool] = tuple(
            stop
            for stop in draft.stops.get(known.pool, ())
            if stop.id in named or not ends_by_repeat(stop, known)
        )
    else:
        stops = [stop for stop in stops if not ends_by_repeat(stop, latest)]
    writer = draft.heard.get(known.id, writer_of(draft, entry))
    open_stops(draft, stops, entry.id, writer, known.through)


def open_stops(
    draft: Draft, stops: list[Stop], identity: str, writer: Writer, through: str
) -> None:
    """Open house stops once; the pool is not open while one stands, nor after it by itself."""
    for stop in stops:
        known = draft.stops.get(stop.pool, ())
        if stop.id not in {other.id for other in known}:
            draft.stops[stop.pool] = (*known, stop)
    if stops:
        first = stops[0]
        words = Opening(
            status="closed",
            since_ms=first.since_ms,
            by=first.by,
            reason=f"house stop: {first.id}",
            entry=identity,
            through=through,
            stop=first.id,
        )
        take_word(draft, first.pool, words, "stop", writer)


def take_everyone_out(draft: Draft, entry: Entry) -> None:
    """Open a house stop that somebody called."""
    body = entry.body
    stop = Stop(
        id=body["stop"],
        pool=body["pool"],
        entry=entry.id,
        since_ms=known_instant(entry.at),
        by=entry.user,
        round="",
        words=body.get("words", ""),
    )
    open_stops(draft, [stop], entry.id, writer_of(draft, entry), through_of(entry))


def take_stop_ended(draft: Draft, entry: Entry) -> None:
    """End house stops."""
    ended = set(entry.body["stops"])
    pool = entry.body["pool"]
    draft.stops[pool] = tuple(stop for stop in draft.stops.get(pool, ()) if stop.id not in ended)


def take_opened(draft: Draft, entry: Entry) -> None:
    """Open a pool."""
    take_word(draft, entry.body["pool"], said_by(entry, "open"), "opened", writer_of(draft, entry))


def take_closed(draft: Draft, entry: Entry) -> None:
    """Close a pool for a reason, or shut it for the hours."""
    kind = entry.body["kind"]
    take_word(draft, entry.body["pool"], said_by(entry, kind), kind, writer_of(draft, entry))


def take_settled(draft: Draft, entry: Entry) -> None:
    """Take in what a named person decided where two devices disagreed."""
    body = entry.body
    take_word(
        draft,
        body["pool"],
        said_by(entry, body["status"]),
        "settled",
        writer_of(draft, entry),
        names=body["entries"],
        proved=entry.auth["verified"] and entry.user in draft.people,
    )


def said_by(entry: Entry, status: str) -> Opening:
    """Give an entry's word on a pool."""
    body = entry.body
    return Opening(
        status=status,
        since_ms=known_instant(entry.at),
        by=entry.user,
        reason=entry.reason or "",
        entry=entry.id,
        marked=tuple(body.get("marked", ())),
        round=body.get("round", ""),
        through=through_of(entry),
    )


def through_of(entry: Entry) -> str:
    """Give the device that somebody held."""
    return str(entry.auth.get("through", entry.dev))


def writer_of(draft: Draft, entry: Entry) -> Writer:
    """Give which device wrote an entry, and how much of the record it knew.

    The shell and the server write into the record itself: they know all that stands before.
    """
    device = draft.devices.get(entry.dev)
    holds_the_record = device is not None and device.kind in HOLD_THE_RECORD
    return Writer(entry.dev, draft.index if holds_the_record else entry.seen["size"])


def take_word(
    draft: Draft,
    pool: str,
    words: Opening,
    kind: str,
    writer: Writer,
    *,
    names: Sequence[str] = (),
    proved: bool = False,
) -> None:
    """Take in one word on a pool; the kernel says how the pool stands by all of them."""
    item = {
        "index": draft.index,
        "id": words.entry,
        "kind": kind,
        "device": writer.device,
        "seen_size": writer.seen_size,
        "at": words.since_ms,
        "status": words.status if kind == "settled" else "",
        "names": list(names),
        "proved": proved,
    }
    trail = draft.trails.setdefault(pool, Trail(opening_of_all([])))
    trail.known = opening_after(trail.known, trail.items, item)
    trail.items.append(item)
    trail.words[words.entry] = words
    if trail.known["entry"]:
        draft.openings[pool] = trail.words[trail.known["entry"]]
    draft.disputes[pool] = tuple(
        Dispute(trail.words[opened["id"]], trail.words[closed["id"]])
        for opened, closed in trail.known["conflicts"]
    )
    draft.also_closed[pool] = tuple(
        trail.words[other["id"]]
        for other in trail.known["front"]
        if closes_pool(other) and other["kind"] != "stop" and other["id"] != trail.known["entry"]
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
