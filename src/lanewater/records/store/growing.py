"""Grow the tree over the log as entries come, and read its nodes."""

from __future__ import annotations

from sqlalchemy import Connection, bindparam, insert, select

from lanewater.records.entries import Entry, digest, read
from lanewater.records.store.schema import claimed, entry, tree_node
from lanewater.records.tree import Node, completed, leaf_data, leaf_hash, root
from lanewater.terms.instants import known_instant

NODE = select(tree_node.c.hash).where(
    tree_node.c.site == bindparam("site"),
    tree_node.c.level == bindparam("level"),
    tree_node.c.position == bindparam("position"),
)
SOME_MORE = (
    select(
        entry.c.seq,
        entry.c.site,
        entry.c.log_index,
        entry.c.received_at,
        entry.c.bytes,
        entry.c.sig,
    )
    .where(entry.c.seq > bindparam("last"))
    .order_by(entry.c.seq)
    .limit(1000)
)
ADD_NODES = insert(tree_node)
ADD_CLAIMED = insert(claimed)
# The field of a body that names the entry which this one adds something to.
ABOUT: dict[str, tuple[str, ...]] = {
    "reading-corrected": ("round",),
    "round-judged": ("round",),
    "addition-started": ("advice",),
    "addition-answered": ("addition", "advice"),
    "told": ("about",),
    "opening-confirmed": ("opening",),
}


Hashes = dict[tuple[int, int], bytes]


def nodes_of(connection: Connection, site: str, known: Hashes | None = None) -> Node:
    """Give the reader of a site's tree nodes; each is read once.

    Parameters
    ----------
    connection : Connection
        The open store.
    site : str
        The site's id.
    known : dict, optional
        The nodes that were read or made before, by (level, position); it is added to.

    Returns
    -------
    callable
        Gives the hash at a level (0 is the leaves) and a position in it; LookupError where there
        is none.
    """
    held: Hashes = {} if known is None else known

    def node(level: int, position: int) -> bytes:
        found = held.get((level, position))
        if found is None:
            place = {"site": site, "level": level, "position": position}
            found = connection.execute(NODE, place).scalar()
            if found is None:
                raise LookupError(f"the tree has no node {position} at level {level}")
            held[level, position] = found
        return found

    return node


def grow(
    connection: Connection,
    entry: Entry,
    index: int,
    row: tuple[str, str, bytes],
    known: Hashes | None = None,
) -> None:
    """Put one entry's leaf on the tree, and where it is found beside it.

    Parameters
    ----------
    connection : Connection
        Inside the transaction that appends the entry.
    entry : Entry
        The entry.
    index : int
        Its place in the log, from 0.
    row : tuple
        (received_at, SHA-256 of its bytes in hexadecimal, its signature).
    known : dict, optional
        As nodes_of; what the entry completes is put into it.
    """
    received_at, sha256, signature = row
    leaf = leaf_hash(leaf_data(index, received_at, sha256, signature.hex()))
    held: Hashes = {} if known is None else known
    done = completed(index, leaf, nodes_of(connection, entry.site, held))
    held.update({(level, position): value for level, position, value in done})
    connection.execute(
        ADD_NODES,
        [
            {"site": entry.site, "level": level, "position": position, "hash": value}
            for level, position, value in done
        ],
    )
    connection.execute(ADD_CLAIMED, place_of(entry, index, received_at))


def place_of(entry: Entry, index: int, received_at: str) -> dict[str, str | int]:
    """Give where an entry is found; what is claimed of the future stands when it came."""
    at_ms = known_instant(entry.at)
    return {
        "site": entry.site,
        "at_ms": at_ms,
        "log_index": index,
        "stands_ms": min(at_ms, known_instant(received_at)),
        "type": entry.type,
        "pool": str(entry.body.get("pool", "")),
        "about": about_of(entry),
    }


def about_of(entry: Entry) -> str:
    """Give the id of the entry that an entry adds something to, "" where there is none."""
    for key in ABOUT.get(entry.type, ()):
        if entry.body.get(key):
            return str(entry.body[key])
    return ""


def root_at(connection: Connection, site: str, size: int) -> bytes:
    """Give the root of a site's first `size` entries, 32 bytes."""
    return root(size, nodes_of(connection, site))


def build_tree(connection: Connection) -> None:
    """Grow the tree over the entries of a store that was made before there was one."""
    last = 0
    known: dict[str, Hashes] = {}
    while rows := connection.execute(SOME_MORE, {"last": last}).all():
        last = rows[-1].seq
        for row in rows:
            entry_ = read(row.bytes)
            there = (row.received_at, digest(row.bytes), row.sig)
            grow(connection, entry_, row.log_index, there, known.setdefault(row.site, {}))
