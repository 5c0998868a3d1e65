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
ADD_NODES = insert(tree_node)
ADD_CLAIMED = insert(claimed)
# The field of a body that names the entry which this one adds something to.
ABOUT: dict[str, tuple[str, ...]] = {
    "reading-corrected": ("round",),
    "round-judged": ("round",),
    "addition-started": ("advice",),
    "addition-answered": ("addition", "advice"),
    "told": ("about",),
}


def nodes_of(connection: Connection, site: str) -> Node:
    """Give the reader of a site's tree nodes; each is read once.

    Parameters
    ----------
    connection : Connection
        The open store.
    site : str
        The site's id.

    Returns
    -------
    callable
        Gives the hash at a level (0 is the leaves) and a position in it; LookupError where there
        is none.
    """
    known: dict[tuple[int, int], bytes] = {}

    def node(level: int, position: int) -> bytes:
        found = known.get((level, position))
        if found is None:
            place = {"site": site, "level": level, "position": position}
            found = connection.execute(NODE, place).scalar()
            if found is None:
                raise LookupError(f"the tree has no node {position} at level {level}")
            known[level, position] = found
        return found

    return node


def grow(connection: Connection, entry: Entry, index: int, row: tuple[str, str, bytes]) -> None:
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
    """
    received_at, sha256, signature = row
    leaf = leaf_hash(leaf_data(index, received_at, sha256, signature.hex()))
    done = completed(index, leaf, nodes_of(connection, entry.site))
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
    rows = connection.execute(
        select(
            entry.c.site, entry.c.log_index, entry.c.received_at, entry.c.bytes, entry.c.sig
        ).order_by(entry.c.site, entry.c.log_index)
    ).all()
    for _site, index, received_at, raw, signature in rows:
        grow(connection, read(raw), index, (received_at, digest(raw), signature))
