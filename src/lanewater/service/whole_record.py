"""Hold a whole record in its store to its keys, its stamps and its own columns."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from sqlalchemy import Connection, select

from lanewater.records.bundle import Line
from lanewater.records.entries import digest, read
from lanewater.records.stamps import Stamp, read_stamp
from lanewater.records.store.growing import nodes_of
from lanewater.records.store.schema import entry as table
from lanewater.records.store.schema import stamp as stamp_table
from lanewater.records.tree import Node, leaf_data, leaf_hash
from lanewater.records.verify_state import Finding
from lanewater.records.verifying import Answer, answer_over, stamps_in, walk_over
from lanewater.terms.errors import InputError


def answer_for_store(connection: Connection, site: str, outside: Sequence[str] = ()) -> Answer:
    """Answer for a record as it lies in its store.

    Lines since the newest stamp are held to their signatures and chains; that no stamp covers
    them yet is no finding here.

    Parameters
    ----------
    connection : Connection
        The open store, held still by the caller.
    site : str
        The site's id.
    outside : sequence of str
        Stamps that were held elsewhere, as text.
    """
    others: list[Finding] = []
    walk = walk_over(lines_held(connection, site, others))
    beside = stamps_kept(connection, site, others)
    read_outside = [found for text in outside for found in stamps_in(text)]
    return answer_over(walk, beside, read_outside, others=others, covered=False)


def lines_held(connection: Connection, site: str, others: list[Finding]) -> Iterator[Line | None]:
    """Give the lines in order, holding each row's columns and leaf to its bytes on the way."""
    node = nodes_of(connection, site)
    rows = connection.execution_options(yield_per=1000).execute(
        select(table).where(table.c.site == site).order_by(table.c.log_index)
    )
    for row in rows.mappings():
        wrong = wrong_column(dict(row), node)
        if wrong:
            says = f"line {row['log_index'] + 1}: {wrong} is not what its entry says"
            others.append(Finding("changed", "column", says, line=row["log_index"] + 1))
        yield Line(row["log_index"], row["received_at"], row["bytes"], row["sig"].hex())


def wrong_column(row: Mapping[str, Any], node: Node) -> str:
    """Name the first column that does not repeat what its entry says, "" where all do."""
    sha256 = digest(row["bytes"])
    leaf = leaf_data(row["log_index"], row["received_at"], sha256, row["sig"].hex())
    try:
        entry = read(row["bytes"])
        said = {"id": entry.id, "site": entry.site, "dev": entry.dev, "dseq": entry.dseq}
        said |= {"type": entry.type, "hash": sha256}
        in_tree = node(0, row["log_index"])
    except (ValueError, TypeError, LookupError):
        return "a column"
    if in_tree != leaf_hash(leaf):
        return "its leaf in the tree"
    return next((name for name, value in said.items() if row[name] != value), "")


def stamps_kept(connection: Connection, site: str, others: list[Finding]) -> list[Stamp]:
    """Read the stamps that are kept beside the lines."""
    found = []
    rows = connection.execute(
        select(stamp_table).where(stamp_table.c.site == site).order_by(stamp_table.c.size)
    )
    for row in rows:
        try:
            stamp = read_stamp(row.text)
        except InputError as error:
            says = f"the stamp kept for size {row.size} cannot be read ({error})"
            others.append(Finding("changed", "stamp-beside", says, size=row.size))
            continue
        if (stamp.head.size, stamp.head.root) != (row.size, bytes(row.root)):
            says = f"the stamp kept for size {row.size} says another head"
            others.append(Finding("changed", "stamp-beside", says, size=row.size))
        found.append(stamp)
    return found
