"""The tree over the record: RFC 6962, no variant, from nodes that never change once written.

Node (level, position) covers the leaves from position * 2**level on, 2**level of them. Heads and
proofs read O(log n) nodes. Sources: RFC 6962 section 2.1; RFC 9162 sections 2.1.3.2 and 2.1.4.2
for the two checks.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Sequence

import rfc8785

Node = Callable[[int, int], bytes]

EMPTY = hashlib.sha256(b"").digest()
HASH_BYTES = 32
LARGEST = 2**53 - 1  # a size is told in JSON, so it stays what a JSON number can carry
LEAF, BRANCH = b"\x00", b"\x01"  # told apart, or a branch could be passed off as an entry


def leaf_data(index: int, received_at: str, sha256_hex: str, sig_hex: str) -> bytes:
    """Give what the tree holds of one entry: its place, when it came, its hash, its signature."""
    data: bytes = rfc8785.dumps(
        {"i": index, "received_at": received_at, "sha256": sha256_hex, "sig": sig_hex}
    )
    return data


def leaf_hash(data: bytes) -> bytes:
    """Give the hash of a leaf."""
    return hashlib.sha256(LEAF + data).digest()


def node_hash(left: bytes, right: bytes) -> bytes:
    """Give the hash of the node above two others."""
    return hashlib.sha256(BRANCH + left + right).digest()


def completed(size: int, leaf: bytes, node: Node) -> list[tuple[int, int, bytes]]:
    """Give the nodes that a leaf put at index `size` completes, the leaf itself first.

    Returns
    -------
    list of (level, position, hash)
        To be written once; none of them ever changes.
    """
    level, position, value = 0, size, leaf
    found = [(level, position, value)]
    while position % 2 == 1:
        value = node_hash(node(level, position - 1), value)
        level, position = level + 1, position // 2
        found.append((level, position, value))
    return found


def root(size: int, node: Node) -> bytes:
    """Give the head of the tree of the first `size` leaves."""
    return span(0, size, node) if size > 0 else EMPTY


def span(start: int, end: int, node: Node) -> bytes:
    """Give the hash over the leaves from start up to, not including, end (MTH of RFC 6962)."""
    count = end - start
    if count & (count - 1) == 0:
        level = count.bit_length() - 1
        return node(level, start >> level)
    middle = start + split(count)
    return node_hash(span(start, middle, node), span(middle, end, node))


def split(count: int) -> int:
    """Give the largest power of two below a count of at least 2."""
    return 1 << ((count - 1).bit_length() - 1)


def inclusion_path(index: int, size: int, node: Node) -> list[bytes]:
    """Give the proof that leaf `index` stands in the tree of `size` leaves.

    Raises
    ------
    ValueError
        Where the index is not below the size.
    """
    if not 0 <= index < size:
        raise ValueError(f"index {index} is not in a tree of {size}")
    path: list[bytes] = []
    start, end = 0, size
    while end - start > 1:
        middle = start + split(end - start)
        if index < middle:
            path.append(span(middle, end, node))
            end = middle
        else:
            path.append(span(start, middle, node))
            start = middle
    return path[::-1]


def consistency_path(old: int, new: int, node: Node) -> list[bytes]:
    """Give the proof that the tree of `old` leaves begins the tree of `new`; empty for old 0.

    Raises
    ------
    ValueError
        Where old is beyond new.
    """
    if not 0 <= old <= new:
        raise ValueError(f"a tree of {old} cannot begin a tree of {new}")
    path: list[bytes] = []
    start, end = 0, new
    while 0 < old < end:
        middle = start + split(end - start)
        if old <= middle:
            path.append(span(middle, end, node))
            end = middle
        else:
            path.append(span(start, middle, node))
            start = middle
    if start > 0:  # the old tree ends inside: whoever checks does not have this part of it
        path.append(span(start, end, node))
    return path[::-1]


def holds_inclusion(leaf: bytes, index: int, size: int, path: Sequence[bytes], root: bytes) -> bool:
    """Tell whether a path proves that a leaf hash stands at an index; False on anything odd."""
    if not (is_size(index) and is_size(size) and index < size and are_hashes(leaf, root, path)):
        return False
    here, last, value = index, size - 1, leaf
    for beside in path:
        if last == 0:
            return False
        if here % 2 == 1 or here == last:
            value = node_hash(beside, value)
            here, last = climb_to_right_child(here, last)
        else:
            value = node_hash(value, beside)
        here, last = here >> 1, last >> 1
    return last == 0 and value == root


def holds_consistency(
    old: int, old_root: bytes, new: int, new_root: bytes, path: Sequence[bytes]
) -> bool:
    """Tell whether a path proves that one tree begins another; False on anything odd.

    The empty tree begins every tree, and every tree itself, with an empty path.
    """
    if not (is_size(old) and is_size(new) and old <= new and are_hashes(old_root, new_root, path)):
        return False
    if old == 0:
        return len(path) == 0 and old_root == EMPTY and (new > 0 or new_root == EMPTY)
    if old == new:
        return len(path) == 0 and old_root == new_root
    parts = list(path)
    if old & (old - 1) == 0:
        parts.insert(0, old_root)  # a complete old tree is a node of the new one
    return len(parts) > 0 and both_rebuilt(old, new, parts) == (old_root, new_root)


def both_rebuilt(old: int, new: int, parts: Sequence[bytes]) -> tuple[bytes, bytes] | None:
    """Work out both heads from the parts of a consistency proof; None where they do not fit."""
    here, last = old - 1, new - 1
    while here % 2 == 1:
        here, last = here >> 1, last >> 1
    older = newer = parts[0]
    for beside in parts[1:]:
        if last == 0:
            return None
        if here % 2 == 1 or here == last:
            older, newer = node_hash(beside, older), node_hash(beside, newer)
            here, last = climb_to_right_child(here, last)
        else:
            newer = node_hash(newer, beside)
        here, last = here >> 1, last >> 1
    return (older, newer) if last == 0 else None


def climb_to_right_child(here: int, last: int) -> tuple[int, int]:
    """Go up past the levels at which the right edge stands alone."""
    while here % 2 == 0 and here != 0:
        here, last = here >> 1, last >> 1
    return here, last


def is_size(value: object) -> bool:
    """Tell whether a value can be a size or an index."""
    return isinstance(value, int) and not isinstance(value, bool) and 0 <= value <= LARGEST


def are_hashes(first: object, second: object, path: object) -> bool:
    """Tell whether two values and everything in a path are hashes."""
    return isinstance(path, list | tuple) and all(
        isinstance(part, bytes) and len(part) == HASH_BYTES for part in (first, second, *path)
    )
