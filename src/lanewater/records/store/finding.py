"""Find entries by when they are claimed, by their pool, and by what they are about."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import islice

from sqlalchemy import Connection, bindparam, func, select

from lanewater.records.store.log import Row
from lanewater.records.store.schema import claimed
from lanewater.records.store.schema import entry as table

AT_ONCE = 500
PARTS = (table.c.log_index, table.c.received_at, table.c.bytes, table.c.sig, table.c.hash)
BY_INDEX = (
    select(*PARTS)
    .where(
        table.c.site == bindparam("site"),
        table.c.log_index.in_(bindparam("indexes", expanding=True)),
    )
    .order_by(table.c.log_index)
)
RECEIVED = select(table.c.log_index, table.c.received_at).where(
    table.c.site == bindparam("site"),
    table.c.log_index.in_(bindparam("indexes", expanding=True)),
)
ABOUT_THESE = (
    select(claimed.c.log_index)
    .where(
        claimed.c.site == bindparam("site"),
        claimed.c.about.in_(bindparam("ids", expanding=True)),
        claimed.c.log_index <= bindparam("upto"),
    )
    .order_by(claimed.c.log_index)
)
LAST = (
    select(claimed.c.log_index)
    .where(
        claimed.c.site == bindparam("site"),
        claimed.c.pool == bindparam("pool"),
        claimed.c.type == bindparam("type"),
        claimed.c.stands_ms <= bindparam("at_ms"),
        claimed.c.log_index <= bindparam("upto"),
    )
    .order_by(claimed.c.stands_ms.desc(), claimed.c.log_index.desc())
    .limit(bindparam("limit"))
)
COUNT = select(func.count()).where(claimed.c.site == bindparam("site"))
EVER_MS = 2**53
WHOLE = 2**53


def between(
    connection: Connection,
    site: str,
    *,
    since_ms: int | None = None,
    until_ms: int | None = None,
    pool: str | None = None,
    types: tuple[str, ...] = (),
    upto: int = WHOLE,
    by: str = "at_ms",
) -> list[int]:
    """Give the places of the entries of a stretch of time, in order of the log.

    Parameters
    ----------
    connection : Connection
        The open store.
    site : str
        The site's id.
    since_ms, until_ms : int, optional
        UTC ms; until is not included.
    pool : str, optional
        Only about this pool.
    types : tuple of str
        Only of these types; all where empty.
    upto : int
        The last place that counts.
    by : str
        "at_ms": as claimed; "stands_ms": as folded, where what is claimed of the future stands
        when it came.
    """
    instant = claimed.c[by]
    wanted = select(claimed.c.log_index).where(claimed.c.site == site, claimed.c.log_index <= upto)
    if since_ms is not None:
        wanted = wanted.where(instant >= since_ms)
    if until_ms is not None:
        wanted = wanted.where(instant < until_ms)
    if pool is not None:
        wanted = wanted.where(claimed.c.pool == pool)
    if types:
        wanted = wanted.where(claimed.c.type.in_(types))
    return sorted(connection.execute(wanted).scalars())


def last_of(
    connection: Connection,
    site: str,
    pool: str,
    kind: str,
    limit: int,
    *,
    at_ms: int = EVER_MS,
    upto: int = WHOLE,
) -> list[int]:
    """Give the places of a pool's last entries of a type by when they stand, latest first.

    Parameters
    ----------
    connection : Connection
        The open store.
    site, pool, kind : str
        Whose, and of which type.
    limit : int
        At most so many.
    at_ms : int
        None that stands later. [UTC ms]
    upto : int
        The last place that counts.
    """
    given = {"site": site, "pool": pool, "type": kind, "limit": limit, "at_ms": at_ms, "upto": upto}
    return list(connection.execute(LAST, given).scalars())


def rows_at(connection: Connection, site: str, places: Iterable[int]) -> Iterator[Row]:
    """Give the entries at some places, each so many in order of the log."""
    left = iter(places)
    while indexes := list(islice(left, AT_ONCE)):
        for row in connection.execute(BY_INDEX, {"site": site, "indexes": indexes}):
            yield Row(row.log_index, row.received_at, row.bytes, row.sig, row.hash)


def received_at(connection: Connection, site: str, places: Sequence[int]) -> dict[int, str]:
    """Give when the entries at some places came on record."""
    found: dict[int, str] = {}
    for start in range(0, len(places), AT_ONCE):
        given = {"site": site, "indexes": list(places[start : start + AT_ONCE])}
        for row in connection.execute(RECEIVED, given):
            found[row.log_index] = row.received_at
    return found


def about(connection: Connection, site: str, ids: Sequence[str], upto: int = WHOLE) -> list[int]:
    """Give the places of the entries that add something to some others, in order of the log."""
    found: list[int] = []
    for start in range(0, len(ids), AT_ONCE):
        given = {"site": site, "ids": list(ids[start : start + AT_ONCE]), "upto": upto}
        found += connection.execute(ABOUT_THESE, given).scalars()
    return sorted(found)


def count(connection: Connection, site: str) -> int:
    """Give how many entries can be found; as many as the log has, or the store was changed."""
    return int(connection.execute(COUNT, {"site": site}).scalar_one())
