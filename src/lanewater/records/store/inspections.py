"""Links for inspectors: what is kept of each is the digest of its token, its period and its end."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sqlalchemy import Connection, RowMapping, insert, select, update

from lanewater.records.store.schema import inspection_link


def add_link(connection: Connection, link: Mapping[str, Any]) -> None:
    """Keep a new link."""
    connection.execute(insert(inspection_link).values(dict(link)))


def links(connection: Connection) -> list[RowMapping]:
    """Give every link, the newest first."""
    order = (inspection_link.c.made_ms.desc(), inspection_link.c.token_hash)
    return list(connection.execute(select(inspection_link).order_by(*order)).mappings())


def link_by_hash(connection: Connection, token_hash: str) -> RowMapping | None:
    """Find a link by its token's digest."""
    wanted = select(inspection_link).where(inspection_link.c.token_hash == token_hash)
    return connection.execute(wanted).mappings().first()


def end_link(connection: Connection, token_hash: str, ended_ms: int) -> None:
    """End a link for good."""
    wanted = inspection_link.c.token_hash == token_hash
    connection.execute(update(inspection_link).where(wanted).values(ended_ms=ended_ms))
