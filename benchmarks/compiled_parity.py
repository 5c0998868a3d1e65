"""Every suite of kernel/water put to the compiled engine: the same answers, the same errors.

    .venv/bin/python benchmarks/compiled_parity.py [--rows 30] [function ...]

The tests do this for the water itself; here also what takes long to compile (plans, chloramines).
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent))

from tests.fleet.parity import faults_of, some_rows
from tests.parity.test_kernel import SUITES

from lanewater.fleet.engine import load_engine


def main() -> int:
    """Compare function by function; end with 1 where one differs."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--rows", type=int, default=30, help="rows of each suite, spread over it")
    parser.add_argument("--cache", default="", help="keep compiled code here")
    parser.add_argument("functions", nargs="*", help="only these")
    asked = parser.parse_args()
    different = 0
    with tempfile.TemporaryDirectory() as fresh:
        engine = load_engine(Path(asked.cache or fresh))
        for suite in SUITES:
            if suite.name not in engine.module.FACES or suite.name not in (
                asked.functions or [suite.name]
            ):
                continue
            start = time.process_time()
            rows = some_rows(suite, asked.rows)
            faults = faults_of(engine, suite, rows)
            different += len(faults)
            took = time.process_time() - start
            print(f"{suite.name:<28}{len(rows):>4} rows {took:>6.1f} s of CPU, compiling included")
            print("".join(f"    {fault}\n" for fault in faults), end="", flush=True)
    print(f"{different} answers differ")
    return 1 if different else 0


if __name__ == "__main__":
    sys.exit(main())
