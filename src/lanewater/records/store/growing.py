"""Grow the tree over the log as entries come, and read its nodes."""

from __future__ import annotations

from sqlalchemy import Connection, bindparam, insert, select

from lanewater.records.entries import digest, read
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


def grow(connection: Connection, site: str, index: int, row: tuple[str, str, bytes, str]) -> None:
    """Put one entry's leaf on the tree, and its claimed time beside it.

    Parameters
    ----------
    connection : Connection
        Inside the transaction that appends the entry.
    site : str
        The site's id.
    index : int
        The entry's place in the log, from 0.
    row : tuple
        (received_at, SHA-256 of its bytes in hexadecimal, its signature, its claimed time).
    """
    received_at, sha256, signature, at = row
    leaf = leaf_hash(leaf_data(index, received_at, sha256, signature.hex()))
    done = completed(index, leaf, nodes_of(connection, site))
    connection.execute(
        ADD_NODES,
        [
            {"site": site, "level": level, "position": position, "hash": value}
            for level, position, value in done
        ],
    )
    connection.execute(ADD_CLAIMED, {"site": site, "at_ms": known_instant(at), "log_index": index})


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
    for site, index, received_at, raw, signature in rows:
        grow(connection, site, index, (received_at, digest(raw), signature, read(raw).at))
