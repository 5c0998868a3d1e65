"""Kill a writer at every call that writes, and let every such call fail, one run for each.

    .venv/bin/python benchmarks/faults_calls.py [--every N] [kill] [fail] [again]

kill: SIGKILL as each call is entered. fail: EIO and ENOSPC once and from then on, EROFS from then
on. again: killed once more at every call of the start that follows a kill. What ./run test does
with a part of the calls is done here with all. Not part of all.py: it is a campaign.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent))

from tests.baths import set_up
from tests.faults.interfering import FAULTS, HANDS, fails_at, killed_at, killed_twice, may_fail
from tests.faults.outcomes import CHECKS
from tests.faults.starting import Starting
from tests.faults.tracing import Nurseries

AGAIN_EVERY = 12


def kill(workflows: Starting, every: int) -> None:
    """Kill each workflow at its calls."""
    for name, check in CHECKS.items():
        workflow = workflows.named(name)
        found = workflow.points()[::every]
        killed = killed_at(workflow, found, check)
        print(f"kill {name}: {len(found)} calls, {killed} killed there, all held", flush=True)


def fail(workflows: Starting, every: int) -> None:
    """Let each call fail in each way."""
    workflow = workflows.named("through_trouble")
    found = workflow.points()[::every]
    for error, on in FAULTS:
        ended = fails_at(workflow, [(point, (error, on)) for point in may_fail(found, (error, on))])
        said = Counter(line.split()[0] for one, _ in ended for line in one.said)
        more = sum(more for _, more in ended)
        how = "from then on" if on else "once"
        print(f"{error} {how}: {len(ended)} calls, all held; said {dict(said)}", flush=True)
        print(f"    rounds found on record though not said to be saved: {more}", flush=True)


def again(workflows: Starting, every: int) -> None:
    """Kill the start that follows a kill, at each of its calls."""
    workflow = workflows.named("rounds")
    first = workflow.points()[:: AGAIN_EVERY * every]
    total = sum(killed_twice(workflow, point) for point in first)
    print(f"again: {len(first)} kills, {total} kills of what followed, all held", flush=True)


def main() -> int:
    """Run what is asked for."""
    given = argparse.ArgumentParser(description=__doc__)
    given.add_argument("--every", type=int, default=1)
    given.add_argument("what", nargs="*", default=["kill", "fail", "again"])
    wanted = given.parse_args()
    start = time.perf_counter()
    nurseries = Nurseries(HANDS)
    try:
        with tempfile.TemporaryDirectory() as folder:
            set_up(Path(folder) / "start")
            workflows = Starting(nurseries, Path(folder), Path(folder) / "start")
            for what in wanted.what:
                {"kill": kill, "fail": fail, "again": again}[what](workflows, wanted.every)
    finally:
        nurseries.close()
    print(f"{time.perf_counter() - start:.0f} s")
    return 0


if __name__ == "__main__":
    sys.exit(main())
