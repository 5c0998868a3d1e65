"""The log: entries as they were received, one after the other, never changed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from sqlalchemy import Connection, bindparam, func, insert, select

from lanewater.records.entries import Entry, digest
from lanewater.records.errors import EntryIdReusedError, SequenceError
from lanewater.records.store.growing import Hashes, grow
from lanewater.records.store.schema import entry as table

# Built once: putting a statement together costs more than running it.
BY_ID = select(table.c.log_index, table.c.bytes).where(table.c.id == bindparam("id"))
HEAD = (
    select(table.c.dseq, table.c.hash)
    .where(table.c.dev == bindparam("device"))
    .order_by(table.c.dseq.desc())
    .limit(1)
)
ENDS = select(
    func.coalesce(select(func.max(table.c.seq)).scalar_subquery(), 0).label("seq"),
    func.coalesce(
        select(func.max(table.c.log_index))
        .where(table.c.site == bindparam("site"))
        .scalar_subquery(),
        -1,
    ).label("log_index"),
)
ADD = insert(table)
PARTS = (table.c.log_index, table.c.received_at, table.c.bytes, table.c.sig, table.c.hash)
WHOLE_BY_ID = select(*PARTS).where(table.c.id == bindparam("id"))
AT = select(*PARTS).where(
    table.c.site == bindparam("site"), table.c.log_index == bindparam("log_index")
)


@dataclass(frozen=True, slots=True)
class Row:
    """An entry on record: its place, when it was received, its own bytes and signature."""

    log_index: int
    received_at: str
    raw: bytes
    sig: bytes
    hash: str


@dataclass(frozen=True, slots=True)
class Receipt:
    """Where an entry stands; repeated says that it stood there before."""

    log_index: int
    repeated: bool


def append(
    connection: Connection,
    entry: Entry,
    raw: bytes,
    signature: bytes,
    *,
    received_at: str,
    known: Hashes | None = None,
) -> Receipt:
    """Put an entry on the end of the log and on its tree, exactly once.

    Parameters
    ----------
    connection : Connection
        Inside the caller's transaction.
    entry : Entry
        The entry.
    raw, signature : bytes
        Its own bytes, as they are kept, and what its device signed.
    received_at : str
        When it came, by the clock of whoever keeps the log.
    known : dict, optional
        The nodes of the tree that the caller knows, by (level, position); it is added to.

    Raises
    ------
    EntryIdReusedError
        Where the id is on record with other bytes.
    SequenceError
        Where the entry does not follow its device's previous one.
    """
    there = connection.execute(BY_ID, {"id": entry.id}).first()
    if there is not None:
        if there.bytes != raw:
            raise EntryIdReusedError(entry.id)
        return Receipt(there.log_index, repeated=True)
    last_seq, last_hash = device_head(connection, entry.dev)
    if entry.dseq != last_seq + 1 or entry.dprev != last_hash:
        raise SequenceError(
            f"dseq: {entry.dev} is at {last_seq}; entry {entry.dseq} does not follow it"
        )
    seq, index = connection.execute(ENDS, {"site": entry.site}).one()
    sha256 = digest(raw)
    connection.execute(
        ADD,
        {
            "seq": seq + 1,
            "site": entry.site,
            "log_index": index + 1,
            "id": entry.id,
            "dev": entry.dev,
            "dseq": entry.dseq,
            "type": entry.type,
            "received_at": received_at,
            "hash": sha256,
            "bytes": raw,
            "sig": signature,
        },
    )
    grow(connection, entry, index + 1, (received_at, sha256, signature), known)
    return Receipt(index + 1, repeated=False)


def device_head(connection: Connection, device: str) -> tuple[int, str]:
    """Give a device's last sequence number and hash, (0, "") before its first entry."""
    row = connection.execute(HEAD, {"device": device}).first()
    return (0, "") if row is None else (row.dseq, row.hash)


def size(connection: Connection, site: str) -> int:
    """Give how many entries a site's log has."""
    return int(connection.execute(ENDS, {"site": site}).one().log_index) + 1


def sites(connection: Connection) -> list[str]:
    """Give the ids of the sites on record."""
    return list(connection.execute(select(table.c.site).where(table.c.log_index == 0)).scalars())


def rows_from(
    connection: Connection, site: str, index: int, limit: int | None = None
) -> Iterator[Row]:
    """Give a site's entries from an index on, in order; at most so many where limited."""
    found = connection.execute(
        select(table.c.log_index, table.c.received_at, table.c.bytes, table.c.sig, table.c.hash)
        .where(table.c.site == site, table.c.log_index >= index)
        .order_by(table.c.log_index)
        .limit(limit)
    )
    for row in found:
        yield Row(row.log_index, row.received_at, row.bytes, row.sig, row.hash)


def rows_of_types(connection: Connection, site: str, types: tuple[str, ...]) -> Iterator[Row]:
    """Give a site's entries of some types, in order."""
    found = connection.execute(
        select(table.c.log_index, table.c.received_at, table.c.bytes, table.c.sig, table.c.hash)
        .where(table.c.site == site, table.c.type.in_(types))
        .order_by(table.c.log_index)
    )
    for row in found:
        yield Row(row.log_index, row.received_at, row.bytes, row.sig, row.hash)


def row_at(connection: Connection, site: str, index: int) -> Row | None:
    """Give the entry at an index of a site's log."""
    row = connection.execute(AT, {"site": site, "log_index": index}).first()
    return None if row is None else Row(*row)


def row_by_id(connection: Connection, entry_id: str) -> Row | None:
    """Give one entry by its id."""
    row = connection.execute(WHOLE_BY_ID, {"id": entry_id}).first()
    return None if row is None else Row(*row)
