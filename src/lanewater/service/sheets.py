"""Gather what a sheet of the record is made of: its lines, names, set-up and stamp."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection

from lanewater.records.entries import Entry, read
from lanewater.records.store import finding
from lanewater.records.store.log import Row
from lanewater.records.store.received import newest, received_between
from lanewater.records.timing import timing_of
from lanewater.reports.incidents import stands_ms
from lanewater.reports.making import make_sheet
from lanewater.reports.others import OTHERS
from lanewater.reports.sheet import Line, Material, PoolPart, Sheet
from lanewater.service.book import Book
from lanewater.service.clock import DAY_MS, known_instant, offsets_from_day
from lanewater.service.directory import names
from lanewater.service.duties import owed
from lanewater.service.incident_facts import LONGEST_INCIDENT_MS
from lanewater.service.record import claim_of
from lanewater.service.sheet_plans import plans_of
from lanewater.service.state import SiteState
from lanewater.terms.errors import InputError

Found = tuple[Row, Entry]

STATUS = {
    "pool-opened": "open",
    "pool-closed": "",
    "everyone-out": "closed",
    "opening-settled": "",
    "round-judged": "closed",
}
# How many of a pool's last judgements before a sheet are looked at for a house stop.
LAST_JUDGED = 20
LAST_ROUNDS = 20
# Lines that stand at one pool and are about others too; one may last longer than a sheet.
OF_SEVERAL = ("incident-started", "incident-ended", "incident-continued")


@dataclass(frozen=True, slots=True)
class Wanted:
    """Which sheet: its title, its stretch of time in UTC milliseconds, its pools (none: all)."""

    title: str
    since_ms: int
    until_ms: int
    pools: tuple[str, ...] = ()


def sheet_of(book: Book, wanted: Wanted, stamp: str = "") -> Sheet:
    """Make the sheet of a stretch of the record.

    Parameters
    ----------
    book : Book
        The site's book.
    wanted : Wanted
        Which sheet.
    stamp : str
        The record's newest stamp, which every page shows; "" where there is none.

    Raises
    ------
    InputError
        Where a pool is not set up here, or none is.
    """
    state = book.state
    for pool in wanted.pools:
        if pool not in state.pools:
            raise InputError("pool", f"{pool!r} is not set up here")
    pools = wanted.pools or tuple(state.pools)
    if not pools:
        raise InputError("pool", "none is set up here yet")
    with book.reading() as connection:
        last = newest(connection, book.site)
        rows = rows_of(connection, book.site, wanted, pools)
        lines = tuple(lines_of(connection, book.site, rows))
        size = last + 1
        recorded = received_between(connection, book.site, last, last)[last]
        parts = tuple(pool_part(book, connection, state, pool, wanted.since_ms) for pool in pools)
    site = state.site
    return make_sheet(
        Material(
            site=site.name,
            site_id=site.id,
            timezone=site.timezone,
            demo=site.demo,
            us_paper=site.units.get("volume") == "us-gal" or site.units.get("dose") == "us",
            title=wanted.title,
            since_ms=wanted.since_ms,
            until_ms=wanted.until_ms,
            now_ms=book.clock(),
            pools=parts,
            lines=lines,
            offsets=offsets_over(site.timezone, wanted.since_ms, wanted.until_ms, lines),
            names=names(book),
            named=named_of(state),
            devices={key: vars_of(device) for key, device in state.devices.items()},
            stamp=stamp,
            size=size,
            recorded_ms=known_instant(recorded),
            unauthorised=frozenset(row.entry for row in state.unauthorised),
        )
    )


def rows_of(connection: Connection, site: str, wanted: Wanted, pools: Sequence[str]) -> list[Found]:
    """Give what is claimed for the period, and what adds to any of it, in order of the log."""
    since_ms, until_ms = wanted.since_ms, wanted.until_ms
    known: dict[int, Found] = {}
    site_wide = finding.between(
        connection, site, since_ms=since_ms, until_ms=until_ms, types=(*OTHERS, *OF_SEVERAL)
    )
    for row, entry in found_at(connection, site, site_wide):
        if {entry.body.get("pool", pools[0]), *entry.body.get("pools", ())} & set(pools):
            known[row.log_index] = row, entry
    for pool in pools:
        places = finding.between(connection, site, since_ms=since_ms, until_ms=until_ms, pool=pool)
        for row, entry in found_at(connection, site, set(places) - set(known)):
            known[row.log_index] = row, entry
    ids = [entry.id for _, entry in known.values()]
    added = set(finding.about(connection, site, ids)) - set(known)
    known |= {row.log_index: (row, entry) for row, entry in found_at(connection, site, added)}
    return [known[place] for place in sorted(known)]


def found_at(connection: Connection, site: str, places: Iterable[int]) -> Iterator[Found]:
    """Give the entries at some places with their rows."""
    for row in finding.rows_at(connection, site, sorted(places)):
        yield row, read(row.raw)


def lines_of(connection: Connection, site: str, rows: Sequence[Found]) -> Iterator[Line]:
    """Give rows as a sheet takes them, each with the times it came on record between."""
    known = {row.log_index: entry.seen["size"] - 1 for row, entry in rows}
    bounds = [place for index, place in known.items() if 0 <= place < index]
    received: Mapping[int, str] = {}
    if bounds:
        received = received_between(connection, site, min(bounds), max(bounds))
    for row, entry in rows:
        place = known[row.log_index]
        known_from = received.get(place, "") if place < row.log_index else ""
        claim = claim_of(entry, row.received_at, known_from)
        yield Line(
            index=row.log_index,
            at_ms=claim.claimed_ms,
            received_ms=claim.received_ms,
            known_from_ms=claim.known_from_ms,
            timing=timing_of(claim),
            entry=entry,
            raw=row.raw,
            sig=row.sig,
        )


def pool_part(
    book: Book, connection: Connection, state: SiteState, pool: str, since_ms: int
) -> PoolPart:
    """Gather what is known of a pool from before a period."""
    known = state.pools[pool]
    status, status_ms = status_before(connection, book.site, pool, since_ms)
    rounds = finding.last_of(
        connection, book.site, pool, "round-recorded", LAST_ROUNDS, at_ms=since_ms - 1
    )
    tested = [
        known_instant(entry.at)
        for entry in (read(row.raw) for row in finding.rows_at(connection, book.site, rounds))
        if entry.body.get("purpose") != "sample"
    ]
    return PoolPart(
        id=pool,
        name=known.name,
        bromine=known.facts.get("disinfectant") == "bromine",
        plans=plans_of(book, connection, pool),
        status=status,
        status_ms=status_ms,
        last_round_ms=max(tested, default=None),
        owed=owed(book, state, pool, book.clock()),
    )


def status_before(connection: Connection, site: str, pool: str, since_ms: int) -> tuple[str, int]:
    """Give whether a pool was open, closed or never said before a period, and since when."""
    found: list[tuple[int, int, str]] = []
    for kind, status in STATUS.items():
        limit = LAST_JUDGED if kind == "round-judged" else 1
        places = finding.last_of(connection, site, pool, kind, limit, at_ms=since_ms - 1)
        for row in finding.rows_at(connection, site, places):
            entry = read(row.raw)
            if kind == "round-judged" and not entry.body.get("stops"):
                continue
            said = status or entry.body.get("status") or entry.body["kind"]
            found.append((known_instant(entry.at), row.log_index, said))
    found += incidents_before(connection, site, pool, since_ms)
    if not found:
        return "", 0
    at_ms, _, said = max(found)
    return said, at_ms


def incidents_before(
    connection: Connection, site: str, pool: str, since_ms: int
) -> list[tuple[int, int, str]]:
    """Give the incidents that stopped a pool in the month before a period."""
    places = finding.between(
        connection,
        site,
        since_ms=since_ms - LONGEST_INCIDENT_MS,
        until_ms=since_ms,
        types=("incident-started", "incident-continued"),
    )
    return [
        (stands_ms(entry), row.log_index, "closed")
        for row, entry in found_at(connection, site, places)
        if pool in entry.body["pools"]
    ]


def offsets_over(
    timezone: str, since_ms: int, until_ms: int, lines: Iterable[Line]
) -> list[dict[str, int]]:
    """Give the site's offsets from UTC over everything a sheet tells the time of."""
    times = [time for line in lines for time in (line.at_ms, line.received_ms)]
    times += [line.known_from_ms for line in lines if line.known_from_ms is not None]
    first = min([since_ms, *times]) // DAY_MS - 2
    days = max([until_ms, *times]) // DAY_MS + 2 - first
    return [
        {"from": start, "minutes": minutes}
        for start, minutes in offsets_from_day(timezone, first, days)
    ]


def named_of(state: SiteState) -> dict[str, str]:
    """Give the names of what is registered, by id."""
    found = {product.id: str(product.body["name"]) for product in state.products.values()}
    return found | {kit.id: str(kit.body["name"]) for kit in state.kits.values()}


def vars_of(device: Any) -> dict[str, str]:
    """Give what a sheet says of a device."""
    return {"name": device.name, "kind": device.kind, "algorithm": device.algorithm}
