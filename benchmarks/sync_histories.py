"""Run histories of devices that send later, many of them: everything stands once, nothing is lost.

    .venv/bin/python benchmarks/sync_histories.py [--count N] [--first SEED] [--over memory|book]
        [--minutes M]

A seed is a history (tests/sync/histories.py) and replays it. Over `memory` the rules of receiving,
the tree and the stamps run without a store; over `book` the server itself does, in its file, and
every record is verified at its end. The run stops at the first history that does not hold, and
after so many minutes by the clock where they are said.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from tests.sync.histories import SOMETIMES, Fault
from tests.sync.running import in_memory, over_the_book
from tests.sync.shelf import make_template

AT_ONCE = 100
SHARED = Path("/dev/shm")  # noqa: S108 - a place, not a file that others could guess


def main() -> int:
    """Run and tell."""
    parser = argparse.ArgumentParser(description="Run histories of devices that send later.")
    parser.add_argument("--count", type=int, default=100_000)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--over", choices=("memory", "book"), default="memory")
    parser.add_argument("--minutes", type=float, default=float("inf"))
    asked = parser.parse_args()
    last_moment = time.monotonic() + asked.minutes * 60
    reached: Counter[str] = Counter()
    begun = time.process_time()
    done = 0
    with tempfile.TemporaryDirectory(dir=SHARED if SHARED.is_dir() else None) as folder:
        place = Path(folder)
        template = make_template(place / "template") if asked.over == "book" else None
        while done < asked.count and time.monotonic() < last_moment:
            first = asked.first + done
            seeds = range(first, first + min(AT_ONCE, asked.count - done))
            try:
                if template is None:
                    reached.update(in_memory(seeds))
                else:
                    reached.update(over_the_book(seeds, template, place))
            except Fault as fault:
                print(f"DOES NOT HOLD: {fault}", flush=True)
                return 1
            done += len(seeds)
            if done % (AT_ONCE * 4) == 0:
                print(f"{done} hold, {time.process_time() - begun:.0f} s CPU", flush=True)
    spent = time.process_time() - begun
    last = asked.first + done - 1
    print(f"{done} histories over {asked.over}, seeds {asked.first} to {last}: all hold")
    print(f"{spent:.0f} s CPU, {spent / max(done, 1) * 1000:.1f} ms each")
    for name, count in sorted(reached.items()):
        print(f"  {name:20} in {count}")
    never = [name for name in SOMETIMES if not reached[name]]
    print(f"never reached: {', '.join(never) or 'nothing'}")
    return 1 if never and asked.over == "memory" else 0


if __name__ == "__main__":
    sys.exit(main())
