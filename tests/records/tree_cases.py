"""A tree kept as the store keeps it, and its head worked out from the definition alone."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence

from lanewater.records import tree


class Stored:
    """Nodes in a dict, each written once."""

    def __init__(self, leaves: Iterable[bytes]) -> None:
        self.nodes: dict[tuple[int, int], bytes] = {}
        self.leaves: list[bytes] = []
        self.asked = 0
        for leaf in leaves:
            self.add(leaf)

    def node(self, level: int, position: int) -> bytes:
        self.asked += 1
        return self.nodes[level, position]

    def add(self, leaf: bytes) -> None:
        for level, position, value in tree.completed(len(self.leaves), leaf, self.node):
            assert (level, position) not in self.nodes
            self.nodes[level, position] = value
        self.leaves.append(leaf)

    def root(self, size: int) -> bytes:
        return tree.root(size, self.node)

    def inclusion(self, index: int, size: int) -> list[bytes]:
        return tree.inclusion_path(index, size, self.node)

    def consistency(self, old: int, new: int) -> list[bytes]:
        return tree.consistency_path(old, new, self.node)


def head_by_definition(leaves: Sequence[bytes]) -> bytes:
    """MTH of RFC 6962, word for word, over leaf hashes."""
    if not leaves:
        return hashlib.sha256(b"").digest()
    if len(leaves) == 1:
        return leaves[0]
    k = 1
    while k * 2 < len(leaves):
        k *= 2
    left, right = head_by_definition(leaves[:k]), head_by_definition(leaves[k:])
    return hashlib.sha256(b"\x01" + left + right).digest()
