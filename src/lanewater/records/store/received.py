"""When lines came on record, without reading them."""

from __future__ import annotations

from sqlalchemy import Connection, bindparam, func, select

from lanewater.records.store.schema import entry as table

BETWEEN = select(table.c.log_index, table.c.received_at).where(
    table.c.site == bindparam("site"),
    table.c.log_index >= bindparam("first"),
    table.c.log_index <= bindparam("last"),
)
SIZE = select(func.coalesce(func.max(table.c.log_index), -1)).where(
    table.c.site == bindparam("site")
)


def received_between(connection: Connection, site: str, first: int, last: int) -> dict[int, str]:
    """Give when the lines from one place to another came on record, by their place."""
    found = connection.execute(BETWEEN, {"site": site, "first": first, "last": last})
    return {row.log_index: row.received_at for row in found}


def newest(connection: Connection, site: str) -> int:
    """Give the place of a site's newest line, -1 where it has none."""
    return int(connection.execute(SIZE, {"site": site}).scalar_one())
