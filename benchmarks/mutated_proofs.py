"""Forge proofs by the hundred thousand: none may be accepted, and two checkers must agree.

python -m benchmarks.mutated_proofs [COUNT] [SEED]. Exit 0 where nothing was accepted and the
planted fault (a checker that does not look at the old head) was caught, else 4.
"""

from __future__ import annotations

import sys
import time
from collections import Counter

from tests.records.proof_cases import Consistency, Inclusion, forgeries

from lanewater.records.tree import both_rebuilt

COUNT = 200_000
SEED = 20261125
BATCH = 2_000


def main(count: int = COUNT, seed: int = SEED) -> int:
    """Run the campaign and print its figures."""
    started = time.monotonic()
    told: Counter[str] = Counter()
    for start in range(0, count, BATCH):
        for proof in forgeries(seed + start, min(BATCH, count - start)):
            told[type(proof).__name__.lower()] += 1
            told["accepted"] += proof.holds()
            told["told apart"] += proof.holds() != proof.by_definition()
            told["caught with half a check"] += accepted_by_half(proof)
    seconds = time.monotonic() - started
    print(f"{count:,} forged proofs, seed {seed}, {seconds:.0f} s")
    for name in ("inclusion", "consistency", "accepted", "told apart"):
        print(f"  {name}: {told[name]:,}")
    print(f"  accepted by the planted half check: {told['caught with half a check']:,}")
    clean = told["accepted"] == 0 and told["told apart"] == 0
    return 0 if clean and told["caught with half a check"] > 0 else 4


def accepted_by_half(proof: Inclusion | Consistency) -> bool:
    """The planted fault: look at the new head alone."""
    if isinstance(proof, Inclusion) or not 0 < proof.old < proof.new:
        return False
    heads = rebuilt(proof)
    return heads is not None and heads == proof.new_root


def rebuilt(proof: Consistency) -> bytes | None:
    """Give the new head that a path makes, whatever the old one is."""
    parts = list(proof.path)
    if any(len(part) != 32 for part in parts):
        return None
    if proof.old & (proof.old - 1) == 0:
        parts.insert(0, proof.old_root)
    both = both_rebuilt(proof.old, proof.new, parts) if parts else None
    return both[1] if both else None


if __name__ == "__main__":
    sys.exit(main(*map(int, sys.argv[1:])))
