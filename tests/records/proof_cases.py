"""Proofs, what a forger does to them, and a second checker written from the definition alone."""

from __future__ import annotations

import hashlib
import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from tests.records.tree_cases import Stored

from lanewater.records.tree import EMPTY, holds_consistency, holds_inclusion

MOST = 130
SAMPLES = 17


@dataclass(frozen=True)
class Inclusion:
    """A claim that a leaf stands at an index, under a head that a stamp tells."""

    leaf: bytes
    index: int
    size: int
    path: tuple[bytes, ...]
    root: bytes

    def holds(self) -> bool:
        return holds_inclusion(self.leaf, self.index, self.size, list(self.path), self.root)

    def by_definition(self) -> bool:
        return included(self.leaf, self.index, self.size, list(self.path)) == self.root


@dataclass(frozen=True)
class Consistency:
    """A claim that one stamped head begins another."""

    old: int
    old_root: bytes
    new: int
    new_root: bytes
    path: tuple[bytes, ...]

    def holds(self) -> bool:
        return holds_consistency(self.old, self.old_root, self.new, self.new_root, list(self.path))

    def by_definition(self) -> bool:
        if self.old == 0:
            return (
                not self.path
                and self.old_root == EMPTY
                and (self.new > 0 or self.new_root == EMPTY)
            )
        heads = consistent(self.old, self.new, list(self.path), self.old_root)
        return heads == (self.old_root, self.new_root)


def above(left: bytes, right: bytes) -> bytes:
    return hashlib.sha256(b"\x01" + left + right).digest()


def halved(size: int) -> int:
    k = 1
    while k * 2 < size:
        k *= 2
    return k


def included(leaf: bytes, index: int, size: int, path: list[bytes]) -> bytes | None:
    """PATH of RFC 6962 section 2.1.1 read backwards; None where the path has another length."""
    if not 0 <= index < size:
        return None
    if size == 1:
        return None if path else leaf
    if not path:
        return None
    k = halved(size)
    if index < k:
        below = included(leaf, index, k, path[:-1])
        return None if below is None else above(below, path[-1])
    below = included(leaf, index - k, size - k, path[:-1])
    return None if below is None else above(path[-1], below)


def consistent(
    old: int, new: int, path: list[bytes], old_root: bytes, whole: bool = True
) -> tuple[bytes, bytes] | None:
    """SUBPROOF of RFC 6962 section 2.1.2 read backwards: both heads, as the path makes them."""
    if not 0 < old <= new:
        return None
    if old == new:
        if whole:
            return None if path else (old_root, old_root)
        return (path[0], path[0]) if len(path) == 1 else None
    if not path:
        return None
    k = halved(new)
    if old <= k:
        below = consistent(old, k, path[:-1], old_root, whole)
        return None if below is None else (below[0], above(below[1], path[-1]))
    below = consistent(old - k, new - k, path[:-1], old_root, False)
    return None if below is None else (above(path[-1], below[0]), above(path[-1], below[1]))


def record_of(seed: str) -> Stored:
    return Stored(hashlib.sha256(f"{seed}/{index}".encode()).digest() for index in range(MOST))


TREE, OTHER = record_of("honest"), record_of("forged")


def inclusion(index: int, size: int, tree: Stored = TREE) -> Inclusion:
    path = tuple(tree.inclusion(index, size))
    return Inclusion(tree.leaves[index], index, size, path, tree.root(size))


def consistency(old: int, new: int, tree: Stored = TREE) -> Consistency:
    path = tuple(tree.consistency(old, new))
    return Consistency(old, tree.root(old), new, tree.root(new), path)


# ---------------------------------------------------------------- what a forger does


def flipped(draw: random.Random, value: bytes) -> bytes:
    raw = bytearray(value)
    raw[draw.randrange(len(raw))] ^= 1 << draw.randrange(8)
    return bytes(raw)


def path_changed(draw: random.Random, path: Sequence[bytes]) -> tuple[bytes, ...]:
    """Flip, drop, repeat, swap, replace, lengthen or cut, at any place."""
    parts = list(path) or [draw.choice(TREE.leaves)]
    at = draw.randrange(len(parts))
    kind = draw.randrange(8)
    if kind == 0:
        parts[at] = flipped(draw, parts[at])
    elif kind == 1:
        del parts[at]
    elif kind == 2:
        parts.insert(at, parts[at])
    elif kind == 3:
        other = draw.randrange(len(parts))
        parts[at], parts[other] = parts[other], parts[at]
    elif kind == 4:
        parts[at] = draw.choice(draw.choice((TREE, OTHER)).leaves)
    elif kind == 5:
        parts.append(draw.choice(TREE.leaves))
    elif kind == 6:
        parts = parts[:at]
    else:
        parts[at] = parts[at][: draw.randrange(32)]
    return tuple(parts)


def forged_inclusion(draw: random.Random) -> Inclusion:
    """Change what a forger may choose: leaf, index and path; size and root come from a stamp."""
    size = draw.randrange(1, MOST + 1)
    index = draw.randrange(size)
    told = inclusion(index, size)
    kind = draw.randrange(6)
    if kind == 0:
        return replace(told, leaf=flipped(draw, told.leaf))
    if kind == 1:
        return replace(told, index=draw.choice((index - 1, index + 1, size - index - 1, size)))
    if kind == 2:
        return replace(told, leaf=draw.choice(OTHER.leaves))
    if kind == 3:
        stamped = draw.randrange(1, MOST + 1)
        return replace(told, size=stamped, root=TREE.root(stamped))
    if kind == 4:
        return replace(told, root=OTHER.root(size))
    return replace(told, path=path_changed(draw, told.path))


def forged_consistency(draw: random.Random) -> Consistency:
    """Change the path, or hold an honest path to heads of a record with another middle."""
    new = draw.randrange(1, MOST + 1)
    old = draw.randrange(1, new + 1)
    told = consistency(old, new)
    kind = draw.randrange(5)
    if kind == 0:
        other = draw.randrange(1, new + 1)
        return replace(told, old=other, old_root=TREE.root(other))
    if kind == 1:
        return replace(told, new_root=OTHER.root(new))
    if kind == 2:
        return replace(told, old_root=OTHER.root(old))
    if kind == 3:
        return substituted(draw.randrange(old), old, new)
    return replace(told, path=path_changed(draw, told.path))


def substituted(middle: int, old: int, new: int) -> Consistency:
    """Give the best a server can do that presents another line in the middle than it stamped."""
    leaves = list(TREE.leaves[:new])
    leaves[middle] = OTHER.leaves[middle]
    fake = Stored(leaves)
    path = tuple(fake.consistency(old, new))
    return Consistency(old, TREE.root(old), new, fake.root(new), path)


Forged = Inclusion | Consistency
FORGERS: tuple[Callable[[random.Random], Forged], ...] = (forged_inclusion, forged_consistency)


def forgeries(seed: int, count: int) -> list[Forged]:
    """Give forged proofs; a change that left an honest proof as it was is made again."""
    draw = random.Random(seed)  # noqa: S311 - repeatable, no secret
    found: list[Forged] = []
    while len(found) < count:
        made = draw.choice(FORGERS)(draw)
        if not is_honest(made):
            found.append(made)
    return found


def is_honest(made: Forged) -> bool:
    """Tell whether a claim is one that the honest record makes itself, path and all."""
    if isinstance(made, Inclusion):
        return 0 <= made.index < made.size and made == inclusion(made.index, made.size)
    return made == consistency(made.old, made.new)
