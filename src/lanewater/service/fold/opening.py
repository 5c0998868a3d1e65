"""Fold house stops, openings and closings."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from lanewater.kernel.deciding.openings import closes_pool, opening_after, opening_of_all
from lanewater.records.entries import Entry
from lanewater.service.clock import known_instant
from lanewater.service.fold.authority import (
    may_decide,
    may_open,
    note,
    on_device,
    proved,
    through_of,
)
from lanewater.service.fold.draft import Call, Draft, Trail, Writer
from lanewater.service.fold.duties import take_open_days
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
        drop_calls(
            draft,
            known.pool,
            lambda call: call.stop.id not in named and ends_by_repeat(call.stop, known),
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
        called = draft.calls.get(stop.pool, ())
        again = [one for one in called if calls_again(one, stop, writer)]
        others = [one for one in called if one not in again]
        first = again[0].stop if again else stop
        draft.calls[stop.pool] = (*others, Call(first, draft.index, writer.device))
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


def calls_again(call: Call, stop: Stop, writer: Writer) -> bool:
    """Tell whether a device says once more what it said: then the stop stands since the first."""
    same = call.stop.id == stop.id and call.device == writer.device
    return same and (call.stop.round == "") == (stop.round == "")


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
    """End the house stops that the writer knew of: one called elsewhere meanwhile goes on.

    Without the authority for it, nothing is ended.
    """
    if note(draft, entry, given=may_decide(draft, entry, "end-house-stop")):
        return
    ended = set(entry.body["stops"])
    writer = writer_of(draft, entry)
    drop_calls(
        draft,
        entry.body["pool"],
        lambda call: (
            call.stop.id in ended
            and (call.device == writer.device or call.index < writer.seen_size)
        ),
    )


def drop_calls(draft: Draft, pool: str, gone: Callable[[Call], bool]) -> None:
    """Leave calls out; a stop stands by its first call that is left."""
    calls = tuple(call for call in draft.calls.get(pool, ()) if not gone(call))
    left: dict[str, Stop] = {}
    for call in calls:
        left.setdefault(call.stop.id, call.stop)
    standing = draft.stops.get(pool, ())
    kept = {call.stop.entry for call in calls}
    draft.calls[pool] = calls
    draft.stops[pool] = tuple(
        stop if stop.entry in kept else left[stop.id] for stop in standing if stop.id in left
    )


def take_opened(draft: Draft, entry: Entry) -> None:
    """Open a pool; without authority it is open all the same, and the record says so."""
    without = note(draft, entry, given=may_open(draft, entry))
    words = replace(said_by(draft, entry, "open"), without_authority=without)
    take_word(draft, entry.body["pool"], words, "opened", writer_of(draft, entry))


def take_closed(draft: Draft, entry: Entry) -> None:
    """Close a pool for a reason, or shut it for the hours."""
    kind = entry.body["kind"]
    without = note(draft, entry, given=may_decide(draft, entry, "close"))
    words = replace(said_by(draft, entry, kind), without_authority=without)
    take_word(draft, entry.body["pool"], words, kind, writer_of(draft, entry))


def take_confirmed(draft: Draft, entry: Entry) -> None:
    """Take in that the person on whose word a pool was opened stands by it."""
    pool, opening = entry.body["pool"], entry.body["opening"]
    trail = draft.trails.get(pool)
    words = trail.words.get(opening) if trail else None
    if trail is None or words is None or words.confirmed_ms or words.word_of != entry.user:
        return
    trail.words[opening] = replace(
        words, confirmed_ms=known_instant(entry.at), confirmed_by=entry.user
    )
    put_words(draft, pool, trail)


def take_settled(draft: Draft, entry: Entry) -> None:
    """Take in what a named person decided where two devices disagreed."""
    body = entry.body
    without = note(draft, entry, given=may_decide(draft, entry, "open"))
    take_word(
        draft,
        body["pool"],
        replace(said_by(draft, entry, body["status"]), without_authority=without),
        "settled",
        writer_of(draft, entry),
        names=body["entries"],
        proved=proved(entry) and entry.user in draft.people and not without,
    )


def said_by(draft: Draft, entry: Entry, status: str) -> Opening:
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
        word_of=body.get("word_of", ""),
        standing=body.get("standing", ""),
        on_device=on_device(draft, entry),
    )


def writer_of(draft: Draft, entry: Entry) -> Writer:
    """Give which device wrote an entry, and how much of the record it knew.

    The shell and the server write into the record itself: they know all that stands before.
    """
    own = holds_the_record(draft, entry)
    return Writer(entry.dev, draft.index if own else entry.seen["size"])


def holds_the_record(draft: Draft, entry: Entry) -> bool:
    """Tell whether the shell or the server wrote an entry."""
    device = draft.devices.get(entry.dev)
    return device is not None and device.kind in HOLD_THE_RECORD


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
    put_words(draft, pool, trail)


def put_words(draft: Draft, pool: str, trail: Trail) -> None:
    """Say how a pool stands by its trail."""
    if trail.known["entry"]:
        before = draft.openings.get(pool)
        draft.openings[pool] = trail.words[trail.known["entry"]]
        if before is not None and before.status == "open":
            take_open_days(draft, pool, before.since_ms, draft.openings[pool].since_ms)
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
