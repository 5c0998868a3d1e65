"""What an inspector may read without an account: one period of the record, for a limited time."""

from __future__ import annotations

import secrets
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

from lanewater.records.store import inspections as store
from lanewater.reports.overview import fits, overview_of
from lanewater.reports.pages import explained
from lanewater.reports.sheet import PoolSheet, Row, Sheet
from lanewater.service import stamping
from lanewater.service.access import digest_of
from lanewater.service.actor import Actor
from lanewater.service.book import Book
from lanewater.service.clock import DAY_MS, instant_ms, instant_text
from lanewater.service.permission import require
from lanewater.service.sheet_files import printed_alone
from lanewater.service.sheets import Wanted, sheet_of
from lanewater.terms.errors import InputError, LanewaterError, MissingError
from lanewater.terms.shapes import Shape, anything, whole

HOUR_MS = 3_600_000
MOST_HOURS = 31 * 24
LONGEST_DAYS = 1100
# Five pools for a hundred days or one for a year: what a page or a print is made of at once.
MOST_POOL_DAYS = 550
MONTH_DAYS = 31
LINK_DIGITS = 12
TOKEN_BYTES = 32
LONGEST_TOKEN = 100
TITLE = "Inspection"

MADE = Shape({"from": anything, "to": anything, "hours": whole(1, MOST_HOURS)})


class LinkError(LanewaterError):
    """A link opens nothing: it is not one of ours, has run out, or was ended."""

    def __init__(self) -> None:
        super().__init__("this link opens nothing, or no more; ask the site for another")


@dataclass(frozen=True, slots=True)
class Link:
    """A link, as it is kept; ended_ms is 0 where nobody ended it."""

    token_hash: str
    since: str
    until: str
    expires_ms: int
    made_by: str
    made_ms: int
    ended_ms: int


@dataclass(frozen=True, slots=True)
class Asked:
    """Which part of a link's period is wanted; left out: the latest month of it, every pool."""

    since_ms: int | None = None
    until_ms: int | None = None
    pool: str | None = None


def make_link(book: Book, actor: Actor, given: Mapping[str, Any]) -> dict[str, str]:
    """Make a link to one period of the record; its token is shown this once.

    Parameters
    ----------
    book : Book
        The site's book.
    actor : Actor
        An area manager, who opened with a first key, or the shell.
    given : mapping
        {"from", "to": instants, the second not included, "hours": how long it opens}.

    Returns
    -------
    dict
        {"token", "link", "since", "until", "expires"}.

    Raises
    ------
    InputError
        Where the period is empty or longer than three years.
    """
    MADE(given, "")
    since_ms, until_ms = instant_ms(given["from"], "from"), instant_ms(given["to"], "to")
    if not 0 < until_ms - since_ms <= LONGEST_DAYS * DAY_MS:
        raise InputError("to", "must lie after from, three years at most")
    token = secrets.token_urlsafe(TOKEN_BYTES)
    with book.writing() as writing:
        require(writing.state, actor, "set-up")
        now = book.clock()
        link = Link(
            token_hash=digest_of(token),
            since=instant_text(since_ms),
            until=instant_text(until_ms),
            expires_ms=now + given["hours"] * HOUR_MS,
            made_by=actor.person,
            made_ms=now,
            ended_ms=0,
        )
        body = {"since": link.since, "until": link.until, "expires": instant_text(link.expires_ms)}
        writing.append("inspection-link-made", body, actor)
        store.add_link(writing.connection, asdict(link))
    return {"token": token, "link": link.token_hash[:LINK_DIGITS], **body}


def list_links(book: Book, actor: Actor) -> list[dict[str, Any]]:
    """List the links that were made, the newest first, and whether each still opens."""
    require(book.state, actor, "set-up")
    with book.reading() as connection:
        found = [Link(**row) for row in store.links(connection)]
    now = book.clock()
    return [
        {
            "link": link.token_hash[:LINK_DIGITS],
            "since": link.since,
            "until": link.until,
            "expires": instant_text(link.expires_ms),
            "made_by": link.made_by,
            "made": instant_text(link.made_ms),
            "ended": instant_text(link.ended_ms) if link.ended_ms else None,
            "opens": opens(link, now),
        }
        for link in found
    ]


def end_link(book: Book, actor: Actor, link: str) -> dict[str, str]:
    """End a link before its time.

    Raises
    ------
    MissingError
        Where there is no such link.
    """
    with book.writing() as writing:
        require(writing.state, actor, "set-up")
        known = [Link(**row) for row in store.links(writing.connection)]
        meant = [row for row in known if row.token_hash[:LINK_DIGITS] == link]
        if not meant:
            raise MissingError("there is no such link; `lanewater inspection list` gives them")
        for row in meant:
            store.end_link(writing.connection, row.token_hash, row.ended_ms or book.clock())
    return {"link": link}


def opens(link: Link, now_ms: int) -> bool:
    """Tell whether a link still opens; a clock that was set back opens none again."""
    return link.ended_ms == 0 and link.made_ms <= now_ms < link.expires_ms


def link_of(book: Book, token: str) -> Link:
    """Find the link that a token opens.

    Raises
    ------
    LinkError
        Where it opens none, or no more.
    """
    if not 0 < len(token) <= LONGEST_TOKEN:
        raise LinkError
    with book.reading() as connection:
        found = store.link_by_hash(connection, digest_of(token))
    link = None if found is None else Link(**found)
    if link is None or not opens(link, book.clock()):
        raise LinkError
    return link


def wanted_of(book: Book, link: Link, asked: Asked) -> Wanted:
    """Hold what is asked for to a link's period.

    Raises
    ------
    InputError
        Where it lies outside the period, or is longer than is given at once.
    """
    first, end = instant_ms(link.since, "since"), instant_ms(link.until, "until")
    until_ms = end if asked.until_ms is None else asked.until_ms
    month_ms = min(until_ms, max(book.clock(), first)) - MONTH_DAYS * DAY_MS
    since_ms = max(first, month_ms) if asked.since_ms is None else asked.since_ms
    if not first <= since_ms < until_ms <= end:
        raise InputError("from", f"the link opens {link.since} to {link.until}, and nothing else")
    pools = tuple(book.state.pools) if asked.pool is None else (asked.pool,)
    if (until_ms - since_ms) * max(len(pools), 1) > MOST_POOL_DAYS * DAY_MS:
        raise InputError("to", "is too far from `from`: ask for one pool, or for fewer days")
    return Wanted(TITLE, since_ms, until_ms, pools)


def newest_stamp(book: Book) -> str:
    """Give the record's stamp, "" where none can be signed now."""
    try:
        return stamping.stamp(book)
    except LanewaterError:
        return ""


def look(book: Book, link: Link, asked: Asked) -> dict[str, Any]:
    """Give a stretch of a link's period, in words: every row, and what was done about failures.

    Parameters
    ----------
    book : Book
        The site's book.
    link : Link
        As `link_of` found it.
    asked : Asked
        Which stretch and which pool; as much as `MOST_POOL_DAYS` at once.

    Returns
    -------
    dict
        {"site", "demo", "timezone", "since", "until", "expires", "shown", "period", "as_of",
        "size", "stamp", "pools_all", "pools", "others", "people", "devices", "kits",
        "explained"}: each pool with "counts", "intervals", "rules", "limits", "rows" and
        "failures", whose "done" says what followed. Corrected readings keep what "was", gaps are
        rows of their own.
    """
    wanted = wanted_of(book, link, asked)
    sheet = sheet_of(book, wanted, newest_stamp(book))
    return {
        "site": sheet.site,
        "demo": sheet.demo,
        "timezone": sheet.timezone,
        "since": link.since,
        "until": link.until,
        "expires": instant_text(link.expires_ms),
        "shown": {
            "since": instant_text(wanted.since_ms),
            "until": instant_text(wanted.until_ms),
        },
        "period": sheet.period,
        "as_of": sheet.as_of,
        "size": sheet.size,
        "stamp": sheet.stamp,
        "pools_all": [{"pool": row.id, "name": row.name} for row in book.state.pools.values()],
        "pools": [pool_told(pool) for pool in sheet.pools],
        "others": [row_told(row) for row in sheet.others],
        **lists_told(sheet),
    }


def lists_told(sheet: Sheet) -> dict[str, Any]:
    """Give who and what stands behind the rows, and what the words mean."""
    return {
        "people": [list(row) for row in sheet.people],
        "devices": [list(row) for row in sheet.devices],
        "kits": [list(row) for row in sheet.kits],
        "explained": explained(sheet),
    }


def pool_told(pool: PoolSheet) -> dict[str, Any]:
    """Give one pool's part."""
    return {
        "pool": pool.id,
        "name": pool.name,
        "counts": dict(pool.counts),
        "intervals": list(pool.intervals),
        "rules": list(pool.rules),
        "limits": list(pool.limits),
        "rows": [row_told(row) for row in pool.rows],
        "failures": [row_told(row) | {"done": list(done)} for row, done in pool.failures],
    }


def row_told(row: Row) -> dict[str, Any]:
    """Give one row."""
    told = asdict(row) | {"flags": list(row.flags)}
    told["values"] = {
        name: [asdict(value) | {"was": list(value.was)} for value in values]
        for name, values in row.values.items()
    }
    return {key: value for key, value in told.items() if key not in ("pool", "at_ms", "entry")}


def printed(book: Book, link: Link, asked: Asked) -> bytes:
    """Give the same as a PDF that carries the lines it is made of; of a long time, an overview."""
    sheet = sheet_of(book, wanted_of(book, link, asked), newest_stamp(book))
    return printed_alone(sheet if fits(sheet) else overview_of(sheet))
