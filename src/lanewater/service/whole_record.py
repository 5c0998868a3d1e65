"""Hold a whole record in its store to its keys, its stamps and its own columns."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from sqlite3 import DatabaseError
from typing import Any

from sqlalchemy import Connection, RowMapping, and_, func, select
from sqlalchemy.exc import SQLAlchemyError

from lanewater.records.bundle import Line, line_of
from lanewater.records.entries import digest, read
from lanewater.records.stamps import Stamp, read_stamp
from lanewater.records.store.connection import close_store, is_there, open_store
from lanewater.records.store.growing import place_of
from lanewater.records.store.log import sites
from lanewater.records.store.schema import claimed, tree_node
from lanewater.records.store.schema import entry as table
from lanewater.records.store.schema import stamp as stamp_table
from lanewater.records.tree import is_size
from lanewater.records.verify_state import Finding, Walk
from lanewater.records.verifying import Answer, answer_over, stamps_in, walk_over
from lanewater.service.bundle_read import stamp_text
from lanewater.service.config import Config
from lanewater.terms.errors import InputError, LanewaterError, MissingError

# Where a line is found is worked out of its entry, and what is shown is found by it.
NAMES = ("at_ms", "stands_ms", "type", "pool", "about")
PLACE = tuple(claimed.c[name].label(f"found_{name}") for name in NAMES)
ON_PLACE = and_(claimed.c.site == table.c.site, claimed.c.log_index == table.c.log_index)


def answer_for_store(
    connection: Connection,
    site: str,
    outside: Sequence[str] = (),
    known: Sequence[Finding] = (),
) -> Answer:
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
    known : sequence of Finding
        What was found in the store before.
    """
    others = list(known)
    walk = walk_over(lines_held(connection, site, others))
    others += tree_findings(connection, site, walk)
    beside = stamps_kept(connection, site, others)
    read_outside = [found for text in outside for found in stamps_in(text)]
    return answer_over(walk, beside, read_outside, others=others, covered=False)


def answer_for_site(config: Config, texts: Sequence[str] = ()) -> tuple[Answer, int]:
    """Answer for the site of a data folder, and say how many texts of stamps it was held to.

    Parameters
    ----------
    config : Config
        Says where; the newest stamp that this machine saw is held to it as well.
    texts : sequence of str
        Stamps from elsewhere.

    Raises
    ------
    MissingError
        Where no site is set up there.
    """
    if not is_there(config.place):
        raise MissingError(f"no site in {config.where}: make one with `lanewater site new NAME`")
    seen = [stamp_text(config.seen)] if config.seen.exists() else []
    return answer_for_place(config.place, [*seen, *texts]), len(seen) + len(texts)


def answer_for_place(place: Path | str, outside: Sequence[str] = ()) -> Answer:
    """Answer for the record of a store that nobody has open; what cannot be read is a finding.

    Parameters
    ----------
    place : Path or str
        The store's file, or its address on a server.
    outside : sequence of str
        As in `answer_for_store`.
    """
    try:
        connection = open_store(place, create=False)
        try:
            found = sites(connection)
            if len(found) != 1:
                return unread(f"it holds {len(found)} records")
            return answer_for_store(connection, found[0], outside, damage(connection))
        finally:
            close_store(connection)
    except (LanewaterError, SQLAlchemyError, DatabaseError, LookupError, ValueError) as error:
        # Damage in the file comes up as any of these, wherever it was met.
        return unread(str(error).partition("\n")[0])


def damage(connection: Connection) -> list[Finding]:
    """Find where a file contradicts itself: an index may answer other than its table."""
    if connection.dialect.name != "sqlite":
        return []
    told = connection.exec_driver_sql("PRAGMA integrity_check(1)").scalar_one()
    says = f"the store's file is damaged: {told}"
    return [] if told == "ok" else [Finding("file-changed", "file", says, file="store")]


def unread(why: str) -> Answer:
    """Answer for a store that cannot be read through."""
    finding = Finding("not-checked", "file", f"the store cannot be read: {why}", file="store")
    return Answer("not-checked", 0, "", 0, (), (finding,))


def lines_held(connection: Connection, site: str, others: list[Finding]) -> Iterator[Line | None]:
    """Give the lines in order, holding each row's columns to its bytes on the way."""
    rows = connection.execution_options(yield_per=1000).execute(
        select(table, *PLACE)
        .join(claimed, ON_PLACE, isouter=True)
        .where(table.c.site == site)
        .order_by(table.c.log_index)
    )
    for number, row in enumerate(rows.mappings(), start=1):
        line = line_from(row)
        wrong = "" if line is None else wrong_column(row, line)
        if wrong:
            says = f"line {number}: {wrong} is not what its entry says"
            others.append(Finding("changed", "column", says, line=number))
        yield line
    elsewhere = select(func.count()).select_from(table).where(table.c.site != site)
    if connection.execute(elsewhere).scalar_one():
        says = "the store holds lines of another record"
        others.append(Finding("changed", "column", says))


def line_from(row: RowMapping) -> Line | None:
    """Give the line that a row holds; None where a column is of another kind than written."""
    raw, sig = row["bytes"], row["sig"]
    if not (isinstance(raw, bytes) and isinstance(sig, bytes)):
        return None
    try:
        return line_of(row["log_index"], row["received_at"], raw.decode(), sig.hex())
    except UnicodeDecodeError:
        return None


def wrong_column(row: RowMapping, line: Line) -> str:
    """Name the first column that does not repeat what its entry says, "" where all do."""
    try:
        entry = read(line.raw)
        said = {"id": entry.id, "site": entry.site, "dev": entry.dev, "dseq": entry.dseq}
        said |= {"type": entry.type, "hash": digest(line.raw)}
        found_by = place_of(entry, line.index, line.received_at)
    except (ValueError, TypeError, LookupError, AttributeError):
        return "a column"
    for name in NAMES:
        if row[f"found_{name}"] != found_by[name]:
            return f"where it is found by its {name}"
    return next((name for name, value in said.items() if row[name] != value), "")


def tree_findings(connection: Connection, site: str, walk: Walk) -> list[Finding]:
    """Hold the nodes that are kept to those that the lines make."""
    kept = connection.execution_options(yield_per=1000).execute(
        select(tree_node.c.level, tree_node.c.position, tree_node.c.hash).where(
            tree_node.c.site == site
        )
    )
    wanted = sum(map(len, walk.levels))
    count = 0
    for level, position, value in kept:
        count += 1
        known = is_place(level, position, walk)
        if walk.whole and not (known and walk.levels[level][position] == value):
            return [Finding("changed", "column", f"node {position} at level {level} of the tree")]
    if walk.whole and count != wanted:
        return [Finding("changed", "column", f"the tree has {count} nodes, not {wanted}")]
    return []


def is_place(level: Any, position: Any, walk: Walk) -> bool:
    """Tell whether the lines make a node at a place."""
    if not (is_size(level) and is_size(position)) or level >= len(walk.levels):
        return False
    return bool(position < len(walk.levels[level]))


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
