"""Cut the power of recorded runs many times, and open what is left (see tests/faults/cutting.py).

    .venv/bin/python benchmarks/faults_power_cut.py [--count N] [--seed S] [--plant] [WORKFLOW ...]

A workflow is one of tests/faults/workflows.py, run once under strace; its every state after a cut
is opened with our own code and held to the whole record. With --plant the writer does not wait for
the disk, and the run fails where that is not found. Not part of all.py: it is a campaign.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent))

from tests.baths import set_up
from tests.faults.replaying import Recording, record, replay_several
from tests.faults.tracing import Nursery

FROM_NOTHING = {"first_start"}


def recordings(workflows: list[str], place: Path) -> list[Recording]:
    """Run each workflow once, written down whole."""
    set_up(place / "start")
    nursery = Nursery()
    try:
        return [
            record(nursery, name, place / name, None if name in FROM_NOTHING else place / "start")
            for name in workflows
        ]
    finally:
        nursery.close()


def main() -> int:
    """Cut, count and print."""
    given = argparse.ArgumentParser(description=__doc__)
    given.add_argument("--count", type=int, default=100_000)
    given.add_argument("--seed", type=int, default=1)
    given.add_argument("--hands", type=int, default=2)
    given.add_argument("--plant", action="store_true")
    given.add_argument("workflow", nargs="*", default=["many", "first_start"])
    wanted = given.parse_args()
    workflows = ["at_ease"] if wanted.plant else wanted.workflow
    start = time.perf_counter()
    with tempfile.TemporaryDirectory() as place:
        made = recordings(workflows, Path(place))
        for name, one in zip(workflows, made, strict=True):
            print(f"{name}: {len(one.changes)} calls, {len(one.lines)} lines", flush=True)
        found = replay_several(made, wanted.count, wanted.seed, wanted.hands)
    spent = time.perf_counter() - start
    print(f"seed {wanted.seed}: {wanted.count} states in {spent:.0f} s")
    for wrong, number in found.most_common():
        print(f"{number:>8}  {wrong or 'whole'}")
    wrong = wanted.count - found[""]
    return int(not wrong if wanted.plant else bool(wrong))


if __name__ == "__main__":
    sys.exit(main())
