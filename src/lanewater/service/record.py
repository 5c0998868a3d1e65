"""The record as lines: every entry, with what was corrected beside what it corrects."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from lanewater.records.entries import Entry, read
from lanewater.records.store import log
from lanewater.records.timing import Claim, timing_of
from lanewater.service.book import Book
from lanewater.service.clock import instant_text, known_instant
from lanewater.service.state import Round, SiteState

HIDDEN = ("tester",)


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
        "verified", "through"?, "body", "reason"?, "amends"?, "rules"?, "window": {"from"?, "to"},
        "timing"}: it came on record within its window, see records.timing; a round carries
        "readings" with "corrected" beside each, "overall" as it stands, and "judged": every
        judgement with its time and, after corrections, when the last of them was made.
    """
    found = []
    received: list[str] = []
    judged: dict[str, list[dict[str, str]]] = {}
    corrected: dict[str, str] = {}
    with book.reading():
        state = book.state
        rounds = {known.id: known for rows in state.rounds.values() for known in rows}
        for index, received_at, entry in entries(book):
            received.append(received_at)
            take_judgement(judged, corrected, entry)
            at_ms = known_instant(entry.at)
            if pool is not None and entry.body.get("pool") != pool:
                continue
            if (since_ms is not None and at_ms < since_ms) or (
                until_ms is not None and at_ms >= until_ms
            ):
                continue
            line = line_of(state, rounds, index, received_at, entry)
            found.append(line | proven(entry, index, received))
    for line in found:
        if line["type"] == "round-recorded":
            line["judged"] = judged.get(line["id"], [])
    return found if limit is None else found[-limit:] if limit else []


def proven(entry: Entry, index: int, received: Sequence[str]) -> dict[str, Any]:
    """Give within which times an entry came on record, and how its claimed time stands to them.

    Parameters
    ----------
    entry : Entry
        The entry.
    index : int
        Its place in the record.
    received : sequence of str
        When each entry came on record, this one included.
    """
    known_from = known_line(entry, index, received)
    window = {"to": received[index]} | ({"from": known_from} if known_from else {})
    return {"window": window, "timing": timing_of(claim_of(entry, received[index], known_from))}


def known_line(entry: Entry, index: int, received: Sequence[str]) -> str:
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


def take_judgement(
    judged: dict[str, list[dict[str, str]]], corrected: dict[str, str], entry: Entry
) -> None:
    """Take in what was said of a round, and after which correction."""
    if entry.type == "reading-corrected":
        corrected[entry.body["round"]] = entry.at
    elif entry.type == "round-judged":
        known = entry.body["round"]
        said = {"at": entry.at, "overall": str(entry.body["overall"])}
        if known in corrected:
            said["corrected_at"] = corrected[known]
        judged.setdefault(known, []).append(said)


def entries(book: Book) -> Iterator[tuple[int, str, Entry]]:
    """Give every entry of the site with its index and when it was received."""
    for row in log.rows_from(book.connection, book.site, 0):
        yield row.log_index, row.received_at, read(row.raw)


def line_of(
    state: SiteState, rounds: Mapping[str, Round], index: int, received_at: str, entry: Entry
) -> dict[str, Any]:
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
    line |= {key: value for key, value in stated.items() if value is not None}
    if entry.type == "round-recorded":
        line |= round_line(state, rounds.get(entry.id), entry)
    return line


def round_line(state: SiteState, known: Round | None, entry: Entry) -> dict[str, Any]:
    """Give a round's readings as first recorded, each with its corrections beside it."""
    verdict = state.verdicts.get(entry.id)
    return {
        "readings": [] if known is None else readings_with_corrections(known),
        "overall": None if verdict is None else verdict.overall,
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
