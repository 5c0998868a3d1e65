"""The tree is RFC 6962 and nothing else: its heads, its proofs, and what it refuses."""

from __future__ import annotations

import hashlib
import random

import pytest
from pymerkle import InmemoryTree, verify_consistency, verify_inclusion
from tests.records.tree_cases import Stored, head_by_definition

from lanewater.records.tree import (
    EMPTY,
    holds_consistency,
    holds_inclusion,
    leaf_data,
    leaf_hash,
)

MOST = 70

# MEM: the reference leaves and roots of the certificate-transparency project's own tests.
PUBLISHED_LEAVES = (
    "",
    "00",
    "10",
    "2021",
    "3031",
    "40414243",
    "5051525354555657",
    "606162636465666768696a6b6c6d6e6f",
)
PUBLISHED_ROOTS = (
    "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
    "6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d",
    "fac54203e7cc696cf0dfcb42c92a1d9dbaf70ad9e621f4bd8d98662f00e3c125",
    "aeb6bcfe274b70a14fb067a5e5578264db0fa9b51af5e0ba159158f329e06e77",
    "d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7",
    "4e3bbb1f7b478dcfe71fb631631519a3bca12c9aefca1612bfce4c13a86264d4",
    "76e67dadbcdf1e10e1b74ddc608abd2f98dfb16fbce75277b5232a127f2087ef",
    "ddb89be403809e325750d3d263cd78929c2942b7942a34b77e122c9594a74c8c",
    "5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328",
)
# MEM: a published inclusion proof (leaf 0 of 8) and consistency proof (6 to 8) of the same tests.
PUBLISHED_INCLUSION = (
    "96a296d224f285c67bee93c30f8a309157f0daa35dc5b87e410b78630a09cfc7",
    "5f083f0a1a33ca076a95279832580db3e0ef4584bdff1f54c8a360f50de3031e",
    "6b47aaf29ee3c2af9af889bc1fb9254dabd31177f16232dd6aab035ca39bf6e4",
)
PUBLISHED_CONSISTENCY = (
    "0ebc5d3437fbe2db158b9f126a1d118e308181031d0a949f8dededebc558ef6a",
    "ca854ea128ed050b41b35ffc1b87b8eb2bde461e9e3b5596ece6b9d5975a0ae0",
    "d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7",
)

TREE = Stored(hashlib.sha256(bytes([index])).digest() for index in range(MOST))


def test_the_published_heads_come_out() -> None:
    tree = Stored(leaf_hash(bytes.fromhex(data)) for data in PUBLISHED_LEAVES)
    assert [tree.root(size).hex() for size in range(9)] == list(PUBLISHED_ROOTS)
    assert PUBLISHED_ROOTS[0] == EMPTY.hex()


def test_the_published_proofs_come_out() -> None:
    tree = Stored(leaf_hash(bytes.fromhex(data)) for data in PUBLISHED_LEAVES)
    assert [part.hex() for part in tree.inclusion(0, 8)] == list(PUBLISHED_INCLUSION)
    assert [part.hex() for part in tree.consistency(6, 8)] == list(PUBLISHED_CONSISTENCY)


@pytest.mark.parametrize("size", range(MOST + 1))
def test_every_head_is_the_one_of_the_definition(size: int) -> None:
    assert TREE.root(size) == head_by_definition(TREE.leaves[:size])


@pytest.mark.parametrize("size", range(1, MOST + 1))
def test_every_inclusion_proof_holds_and_only_where_it_belongs(size: int) -> None:
    root = TREE.root(size)
    for index in range(size):
        path = TREE.inclusion(index, size)
        assert holds_inclusion(TREE.leaves[index], index, size, path, root)
        for wrong in (index - 1, index + 1):
            assert not holds_inclusion(TREE.leaves[index], wrong, size, path, root)
        assert not holds_inclusion(TREE.leaves[(index + 1) % MOST], index, size, path, root)
        assert not holds_inclusion(TREE.leaves[index], index, size, [*path, root], root)
        assert not path or not holds_inclusion(TREE.leaves[index], index, size, path[:-1], root)


@pytest.mark.parametrize("new", range(MOST + 1))
def test_every_consistency_proof_holds_and_only_between_its_heads(new: int) -> None:
    root = TREE.root(new)
    for old in range(new + 1):
        path, before = TREE.consistency(old, new), TREE.root(old)
        assert holds_consistency(old, before, new, root, path)
        assert not holds_consistency(old, TREE.leaves[0][::-1], new, root, path)
        assert not holds_consistency(old, before, new, root, [*path, root])
        assert not path or not holds_consistency(old, before, new, root, path[:-1])


@pytest.mark.parametrize("seed", range(20))
def test_random_trees_agree_with_an_independent_program(seed: int) -> None:
    draw = random.Random(seed)  # noqa: S311 - a seeded draw, so that a failure comes back
    size = draw.randrange(1, 300)
    data = [draw.randbytes(draw.randrange(40)) for _ in range(size)]
    other = InmemoryTree(algorithm="sha256")
    for item in data:
        other.append_entry(item)
    ours = Stored(map(leaf_hash, data))
    for _ in range(10):
        new = draw.randrange(1, size + 1)
        old = draw.randrange(1, new + 1)
        assert ours.root(new) == other.get_root(new)
        theirs = other.prove_inclusion(old, new)
        verify_inclusion(ours.leaves[old - 1], ours.root(new), theirs)
        assert {*theirs.path} == {ours.leaves[old - 1], *ours.inclusion(old - 1, new)}
        verify_consistency(ours.root(old), ours.root(new), other.prove_consistency(old, new))


def test_a_node_is_written_once_and_is_never_needed_before_it_is_written() -> None:
    tree = Stored([])
    for leaf in TREE.leaves:
        before = dict(tree.nodes)
        tree.add(leaf)
        assert before.items() <= tree.nodes.items()
    assert len(tree.nodes) == sum(MOST >> level for level in range(7))


def test_a_proof_reads_few_nodes() -> None:
    tree = Stored(hashlib.sha256(bytes([i % 256, i // 256])).digest() for i in range(5000))
    tree.asked = 0
    tree.consistency(3001, 5000)
    tree.inclusion(2999, 5000)
    tree.root(5000)
    assert tree.asked <= 3 * 2 * 13


@pytest.mark.parametrize(("index", "size"), [(-1, 3), (3, 3), (0, 0)])
def test_an_index_outside_the_tree_has_no_proof(index: int, size: int) -> None:
    with pytest.raises(ValueError, match="is not in a tree"):
        TREE.inclusion(index, size)


def test_a_larger_tree_does_not_begin_a_smaller_one() -> None:
    with pytest.raises(ValueError, match="cannot begin"):
        TREE.consistency(4, 3)


HOSTILE = (
    None,
    True,
    -1,
    1.5,
    "3",
    2**53,
    10**400,
)


@pytest.mark.parametrize("odd", HOSTILE)
def test_odd_sizes_are_refused_without_a_crash(odd: object) -> None:
    leaf, path = TREE.leaves[0], TREE.inclusion(0, 3)
    assert not holds_inclusion(leaf, odd, 3, path, TREE.root(3))  # type: ignore[arg-type]  # what a stranger may send
    assert not holds_inclusion(leaf, 0, odd, path, TREE.root(3))  # type: ignore[arg-type]  # what a stranger may send
    between = TREE.consistency(2, 3)
    assert not holds_consistency(odd, TREE.root(2), 3, TREE.root(3), between)  # type: ignore[arg-type]  # what a stranger may send
    assert not holds_consistency(2, TREE.root(2), odd, TREE.root(3), between)  # type: ignore[arg-type]  # what a stranger may send


@pytest.mark.parametrize("odd", [None, "", b"", bytes(31), bytes(33), 7, [bytes(32)]])
def test_odd_hashes_are_refused_without_a_crash(odd: object) -> None:
    leaf, path, root = TREE.leaves[0], TREE.inclusion(0, 3), TREE.root(3)
    assert not holds_inclusion(odd, 0, 3, path, root)  # type: ignore[arg-type]  # what a stranger may send
    assert not holds_inclusion(leaf, 0, 3, [odd, *path[1:]], root)  # type: ignore[list-item]  # what a stranger may send
    assert not holds_inclusion(leaf, 0, 3, odd, root)  # type: ignore[arg-type]  # what a stranger may send
    assert not holds_consistency(3, root, 3, odd, [])  # type: ignore[arg-type]  # what a stranger may send
    assert not holds_consistency(2, TREE.root(2), 3, root, odd)  # type: ignore[arg-type]  # what a stranger may send


def test_the_empty_tree_begins_every_tree_and_no_other_head_passes_for_it() -> None:
    assert holds_consistency(0, EMPTY, 0, EMPTY, [])
    assert holds_consistency(0, EMPTY, 3, TREE.root(3), [])
    assert not holds_consistency(0, bytes(32), 3, TREE.root(3), [])
    assert not holds_consistency(0, EMPTY, 0, TREE.root(3), [])
    assert not holds_consistency(0, EMPTY, 3, TREE.root(3), [EMPTY])


def test_a_branch_does_not_pass_for_an_entry() -> None:
    below = TREE.nodes[0, 0] + TREE.nodes[0, 1]
    assert TREE.nodes[1, 0] != leaf_hash(below)


def test_what_the_tree_holds_of_an_entry_has_one_form() -> None:
    said = leaf_data(7, "2026-11-25T10:00:00.000Z", "ab" * 32, "cd" * 64)
    assert said == (
        b'{"i":7,"received_at":"2026-11-25T10:00:00.000Z",'
        b'"sha256":"' + b"ab" * 32 + b'","sig":"' + b"cd" * 64 + b'"}'
    )
