"""The record as lines: every entry, with what was corrected beside what it corrects."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from lanewater.records.entries import Entry, read
from lanewater.records.store import finding, log
from lanewater.records.store.growing import nodes_of
from lanewater.records.timing import Claim, timing_of
from lanewater.records.tree import root
from lanewater.service.book import Book
from lanewater.service.clock import instant_text, known_instant
from lanewater.service.fold.reading_back import entries_at
from lanewater.service.fold.rounds import corrected, round_of
from lanewater.service.state import Round, SiteState

HIDDEN = ("tester",)
LINES_AT_ONCE = 500


def lines(
    book: Book,
    *,
    pool: str | None = None,
    since_ms: int | None = None,
    until_ms: int | None = None,
    limit: int | None = None,
) -> list[dict[str, Any]]:
    """Give the lines of the record, oldest first.

    Parameters
    ----------
    book : Book
        The site's book.
    pool : str, optional
        Only lines about this pool.
    since_ms, until_ms : int, optional
        Only lines whose claimed time lies between; until is not included. [UTC ms]
    limit : int, optional
        Only so many, the latest ones.

    Returns
    -------
    list of dict
        {"index", "id", "type", "at", "recorded_at", "received_at", "pool"?, "by", "method",
        "verified", "through"?, "body", "reason"?, "amends"?, "rules"?, "after_reported_loss"?,
        "without_authority"?, "product_name"? (as it is called now), "window": {"from"?, "to"},
        "timing"}: it came on record within its
        window, see records.timing; a round carries "readings" with "corrected" beside each,
        "overall" as it stands, and "judged": every judgement with its time and, after corrections,
        when the last of them was made.
    """
    return list(each_line(book, pool=pool, since_ms=since_ms, until_ms=until_ms, limit=limit))


def each_line(
    book: Book,
    *,
    pool: str | None = None,
    since_ms: int | None = None,
    until_ms: int | None = None,
    limit: int | None = None,
) -> Iterator[dict[str, Any]]:
    """Give the same lines one by one; others may write while they are read.

    What comes on record meanwhile is left out.
    """
    with book.reading() as connection:
        size = log.size(connection, book.site)
        if pool is None and since_ms is None and until_ms is None:
            places: Sequence[int] = range(size)
        else:
            places = finding.between(
                connection, book.site, since_ms=since_ms, until_ms=until_ms, pool=pool
            )
    if limit is not None:
        places = places[max(0, len(places) - limit) :]
    for start in range(0, len(places), LINES_AT_ONCE):
        yield from lines_at(book, places[start : start + LINES_AT_ONCE], size)


def lines_at(book: Book, places: Sequence[int], size: int) -> Iterator[dict[str, Any]]:
    """Give the lines at some places, with what was added to them up to a size of the record."""
    with book.reading() as connection:
        rows = list(finding.rows_at(connection, book.site, places))
        entries = [read(row.raw) for row in rows]
        rounds = [entry.id for entry in entries if entry.type == "round-recorded"]
        beside = finding.about(connection, book.site, rounds, size - 1)
        added = [entry for _, entry in entries_at(connection, book.site, beside)]
        known = {entry.seen["size"] - 1 for entry in entries}
        received = finding.received_at(connection, book.site, sorted(known))
        elsewhere = seen_elsewhere(book, entries) if book.state.restored else set()
        lost = lost_since(book.state)
        noted = {row.entry for row in book.state.unauthorised}
    story = stories(added)
    for row, entry in zip(rows, entries, strict=True):
        received[row.log_index] = row.received_at
        line = line_of(row.log_index, row.received_at, entry)
        if entry.type == "round-recorded":
            line |= round_line(entry, story.get(entry.id, []))
        if is_after_loss(entry, lost):
            line["after_reported_loss"] = True
        if product := book.state.products.get(entry.body.get("product", "")):
            line["product_name"] = product.body["name"]
        if entry.id in noted:
            line["without_authority"] = True
        if entry.id in elsewhere:
            entry = replace(entry, seen={"size": 0, "root": ""})  # noqa: PLW2901 - proves nothing
        yield line | proven(entry, row.log_index, received)


def seen_elsewhere(book: Book, entries: Iterable[Entry]) -> set[str]:
    """Give the entries whose devices had seen lines that a restoring lost.

    As many lines of this record may be younger than they are.
    """
    node = nodes_of(book.connection, book.site)
    size = log.size(book.connection, book.site)
    return {
        entry.id
        for entry in entries
        if 0 < entry.seen["size"] <= size
        and root(entry.seen["size"], node).hex() != entry.seen["root"]
    }


def lost_since(state: SiteState) -> dict[str, int]:
    """Give since when each device that was reported lost is out of sight. [UTC ms]"""
    return {
        device.id: device.lost_ms for device in state.devices.values() if device.lost_ms is not None
    }


def is_after_loss(entry: Entry, lost: Mapping[str, int]) -> bool:
    """Tell whether an entry came from a device that was out of sight by then, as it claims."""
    since = [lost[one] for one in (entry.dev, entry.auth.get("through", "")) if one in lost]
    return any(known_instant(entry.at) >= lost_ms for lost_ms in since)


def stories(added: Iterable[Entry]) -> dict[str, list[Entry]]:
    """Give what was added to each round, in order of the record."""
    found: dict[str, list[Entry]] = {}
    for entry in added:
        if entry.type in ("reading-corrected", "round-judged"):
            found.setdefault(entry.body["round"], []).append(entry)
    return found


def proven(entry: Entry, index: int, received: Mapping[int, str]) -> dict[str, Any]:
    """Give within which times an entry came on record, and how its claimed time stands to them.

    Parameters
    ----------
    entry : Entry
        The entry.
    index : int
        Its place in the record.
    received : mapping
        When the entries came on record, by their place; this one and the one it knew last.
    """
    known_from = known_line(entry, index, received)
    window = {"to": received[index]} | ({"from": known_from} if known_from else {})
    return {"window": window, "timing": timing_of(claim_of(entry, received[index], known_from))}


def known_line(entry: Entry, index: int, received: Mapping[int, str]) -> str:
    """Give when the newest line that an entry's device knew came on record, "" where it knew none.

    One that says it knew lines that were not there yet has proved nothing.
    """
    size: int = entry.seen["size"]
    return received[size - 1] if 0 < size <= index else ""


def claim_of(entry: Entry, received_at: str, known_from: str) -> Claim:
    """Give the times of an entry as they are held against each other."""
    return Claim(
        claimed_ms=known_instant(entry.at),
        written_ms=known_instant(entry.rec),
        received_ms=known_instant(received_at),
        known_from_ms=known_instant(known_from) if known_from else None,
        source=str(entry.body.get("source", "")),
        clock_off_ms=entry.clk["offset_ms"],
    )


def judgements(story: Iterable[Entry]) -> list[dict[str, str]]:
    """Give what was said of a round each time, and after which correction."""
    found = []
    corrected_at = ""
    for entry in story:
        if entry.type == "reading-corrected":
            corrected_at = entry.at
        else:
            said = {"at": entry.at, "overall": str(entry.body["overall"])}
            found.append(said | ({"corrected_at": corrected_at} if corrected_at else {}))
    return found


def line_of(index: int, received_at: str, entry: Entry) -> dict[str, Any]:
    """Give one line."""
    line: dict[str, Any] = {
        "index": index,
        "id": entry.id,
        "type": entry.type,
        "at": entry.at,
        "recorded_at": entry.rec,
        "received_at": received_at,
        "by": entry.user,
        "method": entry.auth["method"],
        "verified": entry.auth["verified"],
        "body": {key: value for key, value in entry.body.items() if key not in HIDDEN},
    }
    stated = {
        "through": entry.auth.get("through"),
        "pool": entry.body.get("pool"),
        "reason": entry.reason,
        "amends": entry.amends,
        "rules": dict(entry.rules) if entry.rules else None,
    }
    return line | {key: value for key, value in stated.items() if value is not None}


def round_line(entry: Entry, story: Sequence[Entry]) -> dict[str, Any]:
    """Give a round's readings as first recorded, each with its corrections beside it."""
    known = round_of(entry, 0)
    for change in story:
        if change.type == "reading-corrected":
            known = corrected(known, change)
    judged = judgements(story)
    return {
        "readings": readings_with_corrections(known),
        "overall": judged[-1]["overall"] if judged else None,
        "judged": judged,
    }


def readings_with_corrections(known: Round) -> list[dict[str, Any]]:
    """Give each reading of a round with what was corrected in it, oldest first."""
    rows = []
    for reading in known.readings:
        standing = reading.value
        corrected = []
        for change in known.corrections:
            if (change.parameter, change.point, change.was) == (
                reading.parameter,
                reading.point,
                standing,
            ):
                standing = change.value
                corrected.append(
                    {
                        "value": change.value,
                        "at": instant_text(change.at_ms),
                        "by": change.by,
                        "reason": change.reason,
                    }
                )
        row = {"parameter": reading.parameter, "value": reading.value, "unit": reading.unit}
        row |= {"point": reading.point} if reading.point else {}
        rows.append(row | ({"corrected": corrected} if corrected else {}))
    return rows
