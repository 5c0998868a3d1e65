"""Rounds and amounts read from the record at the places where they stand, without folding it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from sqlalchemy import Connection

from lanewater.records.entries import Entry, digest, read
from lanewater.records.errors import BrokenPromiseError
from lanewater.records.store import finding
from lanewater.service.fold import standing
from lanewater.service.fold.additions import take_advice, take_answered, take_started
from lanewater.service.fold.draft import Draft
from lanewater.service.fold.rounds import corrected, round_of, verdict_of
from lanewater.service.state import Addition, Advice, Round, Verdict

AMOUNTS = {
    "advice-given": take_advice,
    "addition-started": take_started,
    "addition-answered": take_answered,
}


@dataclass(frozen=True, slots=True)
class Rounds:
    """Rounds, oldest first, as corrected since, and the latest judgement of each."""

    rounds: tuple[Round, ...]
    verdicts: Mapping[str, Verdict]


def entries_at(
    connection: Connection, site: str, places: Iterable[int]
) -> Iterator[tuple[int, Entry]]:
    """Give the entries at some places, as they count.

    Raises
    ------
    BrokenPromiseError
        Where one is not what it was when it came.
    """
    for row in finding.rows_at(connection, site, places):
        if digest(row.raw) != row.hash:
            raise BrokenPromiseError(
                f"the record: entry {row.log_index} is not what it was when it came; "
                "the record was changed outside Lanewater"
            )
        yield row.log_index, standing(read(row.raw), row.received_at)


def rounds_at(
    connection: Connection, site: str, places: Iterable[int], upto: int = finding.WHOLE
) -> Rounds:
    """Read the rounds at some places, as corrected and judged up to a place of the log."""
    found = {
        entry.id: round_of(entry, index)
        for index, entry in entries_at(connection, site, places)
        if entry.type == "round-recorded"
    }
    verdicts: dict[str, Verdict] = {}
    for _, entry in entries_at(
        connection, site, finding.about(connection, site, list(found), upto)
    ):
        if entry.type == "reading-corrected":
            known = found[entry.body["round"]]
            found[known.id] = corrected(known, entry)
        elif entry.type == "round-judged":
            verdicts[entry.body["round"]] = verdict_of(entry)
    rounds = sorted(found.values(), key=lambda row: (row.at_ms, row.index))
    return Rounds(tuple(rounds), verdicts)


def amounts_between(
    connection: Connection, site: str, since_ms: int, until_ms: int
) -> tuple[dict[str, Advice], dict[str, Addition]]:
    """Read what was advised and added between two instants, each with what came of it."""
    draft = Draft()
    places = finding.between(
        connection, site, since_ms=since_ms, until_ms=until_ms, types=tuple(AMOUNTS), by="stands_ms"
    )
    later = finding.about(connection, site, ids_at(connection, site, places))
    for index, entry in entries_at(connection, site, sorted({*places, *later})):
        if entry.type in AMOUNTS:
            draft.next_entry(index)
            AMOUNTS[entry.type](draft, entry)
    return draft.advices, draft.additions


def ids_at(connection: Connection, site: str, places: Iterable[int]) -> list[str]:
    """Give the ids of the entries at some places."""
    return [entry.id for _, entry in entries_at(connection, site, places)]
