"""Open a book of ten thousand entries, and refresh it: seconds, and what each part costs.

Run with: .venv/bin/python benchmarks/book_open.py
"""

from __future__ import annotations

import json
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from lanewater.records.entries import read
from lanewater.records.store import log
from lanewater.service.actor import ANYBODY, SHELL
from lanewater.service.book import open_book
from lanewater.service.config import Config
from lanewater.service.now import now_page
from lanewater.service.rounds import record_round
from lanewater.service.set_up import add, new_site

ENTRIES = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
STEP_MS = 90 * 60_000
BATCH = 500
READINGS = {
    "free_chlorine": "1.52",
    "total_chlorine": "1.68",
    "ph": "7.43",
    "temperature_c": "28.4",
    "clarity": "visible",
}
FACTS = {"kind": "pool", "location": "indoor", "disinfectant": "chlorine"}


def fill(config: Config) -> None:
    """Make a site and record rounds until it holds ENTRIES entries."""
    clock = [1_750_000_000_000]
    new_site(
        config,
        {"name": "Bench", "timezone": "America/Toronto", "rules": "ca-qc"},
        clock=lambda: clock[0],
    )
    book = open_book(config, clock=lambda: clock[0])
    for pool in ("a", "b", "c"):
        add(book, SHELL, "pool", {"name": pool, "facts": FACTS, "interval_minutes": 120})
    while book.state.index + 1 < ENTRIES:
        with book.writing():
            for number in range(BATCH):
                clock[0] += STEP_MS // 3
                record_round(book, ANYBODY, {"pool": "abc"[number % 3], "readings": READINGS})
    book.close()


def timed(times: int, act: Callable[[], object], clock: Callable[[], float]) -> float:
    """Give the best of some tries, in seconds of a clock."""
    best = float("inf")
    for _ in range(times):
        start = clock()
        act()
        best = min(best, clock() - start)
    return best


def main() -> None:
    """Print the figures as one line of JSON."""
    with tempfile.TemporaryDirectory() as folder:
        config = Config(Path(folder) / "data")
        fill(config)
        book = open_book(config)
        raws = [row.raw for row in log.rows_from(book.connection, book.site, 0)]
        now_ms = book.state.last_round("a").at_ms + STEP_MS  # type: ignore[union-attr]
        readings = {"pool": "a", "readings": READINGS}
        wall, cpu = time.perf_counter, time.process_time
        figures = {
            "entries": len(raws),
            "bytes_per_entry": sum(map(len, raws)) // len(raws),
            "open_wall_s": timed(5, lambda: open_book(config).close(), wall),
            "open_cpu_s": timed(5, lambda: open_book(config).close(), cpu),
            "json_alone_cpu_s": timed(3, lambda: [json.loads(raw) for raw in raws], cpu),
            "parse_alone_cpu_s": timed(3, lambda: [read(raw) for raw in raws], cpu),
            "state_unchanged_cpu_us": 1e6 * timed(200, lambda: book.state, cpu),
            "now_page_cpu_ms": 1e3 * timed(20, lambda: now_page(book, now_ms), cpu),
            "round_wall_ms": 1e3 * timed(20, lambda: record_round(book, ANYBODY, readings), wall),
            "round_cpu_ms": 1e3 * timed(20, lambda: record_round(book, ANYBODY, readings), cpu),
        }
        book.close()
    sys.stdout.write(json.dumps({key: round(value, 3) for key, value in figures.items()}) + "\n")


if __name__ == "__main__":
    main()
