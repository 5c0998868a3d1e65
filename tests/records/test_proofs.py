"""No forged proof is accepted, and two checkers from one definition agree on every one."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest
from tests.records.proof_cases import (
    OTHER,
    TREE,
    Consistency,
    Inclusion,
    consistency,
    forgeries,
    inclusion,
    substituted,
)
from tests.records.tree_cases import Stored

COUNT = 3000
SEED = 20261125


def test_no_forged_proof_is_accepted() -> None:
    made = forgeries(SEED, COUNT)
    assert [proof for proof in made if proof.holds() or proof.by_definition()] == []
    kinds = Counter(type(proof) for proof in made)
    assert min(kinds[Inclusion], kinds[Consistency]) > COUNT // 3


@pytest.mark.parametrize("size", [1, 2, 3, 5, 8, 11, 16, 17])
def test_both_checkers_accept_every_honest_proof(size: int) -> None:
    for index in range(size):
        told = inclusion(index, size)
        assert told.holds()
        assert told.by_definition()
        begins = consistency(index, size)
        assert begins.holds()
        assert begins.by_definition()


@pytest.mark.parametrize("size", [1, 2, 3, 5, 8, 11, 16, 17])
def test_both_checkers_agree_on_any_index_and_size_under_any_path(size: int) -> None:
    """A proof alone does not bind the size: it counts only with a stamp's size and root."""
    for index in range(size):
        told = inclusion(index, size)
        for other in range(1, 20):
            for place in range(-1, 20):
                claim = replace(told, index=place, size=other)
                assert claim.holds() == claim.by_definition()


@pytest.mark.parametrize("new", range(2, 18))
def test_a_middle_that_was_put_in_later_is_seen_whatever_the_ends_show(new: int) -> None:
    """The flaw of a log checked only at its ends: every middle, under every older stamp."""
    for old in range(1, new + 1):
        for middle in range(old):
            fake = substituted(middle, old, new)
            assert not fake.holds()
            ends = consistency(old, new)
            assert not replace(ends, new_root=fake.new_root).holds()


def test_a_checker_that_looks_only_at_the_new_head_is_caught() -> None:
    """The planted fault: without the old head a middle can be put in later."""
    fake = substituted(3, 5, 9)
    rebuilt = replace(fake, old_root=fake_old_head(fake))
    assert rebuilt.holds()
    assert not fake.holds()


def fake_old_head(fake: Consistency) -> bytes:
    """Give the old head that the fake path itself would rebuild."""
    leaves = [*TREE.leaves[:3], OTHER.leaves[3], *TREE.leaves[4 : fake.old]]
    return Stored(leaves).root(fake.old)
