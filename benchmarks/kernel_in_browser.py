"""Time the kernel in CPython and, translated, in Chromium, on the same rows, one after the other.

    .venv/bin/python benchmarks/kernel_in_browser.py

Give LANEWATER_BROWSER where Chromium is not on the path. Prints microseconds a call, the best of
five turns on each side, and the size of the script.
"""

from __future__ import annotations

import gzip
import json
import sys
import time
from collections.abc import Sequence
from itertools import islice
from pathlib import Path
from typing import Any

from playwright.sync_api import sync_playwright

# The rows are those of the parity tests.
sys.path.insert(0, str(Path(__file__).parents[1]))

from tests.conftest import FLAGS, browser_path
from tests.parity.sides import KERNEL_SCRIPT, kernel_functions, kernel_sides
from tests.parity.suites_chloramine import courses, requests
from tests.parity.suites_deciding import advised, golden, timetables
from tests.parity.suites_water import read, searched, with_totals

from lanewater.service.translation.generated import kernel_sources
from lanewater.service.translation.script import translate

ROWS = {
    "totals_of_reading": read,
    "figures_of_reading": read,
    "ph_of_totals": with_totals,
    "amount_to_reach": searched,
    "breakpoint_course": courses,
    "superchlorination_of": requests,
    "judge": golden,
    "advise": advised,
    "next_due": timetables,
}
MOST_ROWS = 200
TURNS = 5


def python_time(name: str, rows: list[Sequence[Any]]) -> float:
    """Give microseconds a call in CPython, of the best turn."""
    function = kernel_functions(kernel_sources())[name]
    best = float("inf")
    for _ in range(TURNS):
        start = time.perf_counter()
        for row in rows:
            function(*row)
        best = min(best, time.perf_counter() - start)
    return best / len(rows) * 1e6


def main() -> None:
    """Print the table."""
    script = translate(kernel_sources())
    packed = len(gzip.compress(script.encode(), mtime=0))
    print(f"kernel.js: {len(script.encode()):,} bytes, {packed:,} packed")
    with sync_playwright() as playwright:
        started = playwright.chromium.launch(
            executable_path=browser_path(), args=list(FLAGS), chromium_sandbox=False
        )
        print(f"Chromium {started.version}; microseconds a call")
        page = kernel_sides(started).page
        for name, source in ROWS.items():
            rows = list(islice(source(), MOST_ROWS))
            here = python_time(name, rows)
            call = "([path, name, rows]) => parity.time(path, name, rows, 1)"
            sent = [KERNEL_SCRIPT, name, json.dumps(rows)]
            there = min(page.evaluate(call, sent) for _ in range(TURNS))
            print(f"{name:20} CPython {here:8.1f}   Chromium {there:8.1f}   {here / there:5.1f}")
        started.close()


if __name__ == "__main__":
    main()
