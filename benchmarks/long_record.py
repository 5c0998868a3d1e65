"""What a long record costs: to open, to add to, to look at. CPU seconds, wall beside, memory.

Run with: .venv/bin/python benchmarks/long_record.py FOLDER

FOLDER holds the record (benchmarks/ten_years.py, years_again.py); a copy is measured. Each figure
is of a process of its own, so that nothing is warm but what is named so.
"""

from __future__ import annotations

import json
import os
import resource
import shutil
import sqlite3
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

ROUND = ["--free", "1.52", "--total", "1.68", "--ph", "7.43", "--clarity", "visible"]
DAY_MS = 86_400_000


def one(what: str, folder: str) -> dict[str, float]:
    """Measure one thing in this process."""
    from lanewater.service.book import open_book  # noqa: PLC0415 - its import is not measured
    from lanewater.service.config import Config  # noqa: PLC0415

    start = time.process_time(), time.perf_counter()
    book = open_book(Config(Path(folder)), "server")
    found = spent(start) if what == "open" else warm(what, book)
    book.close()
    found["rss_mib"] = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    return found


def spent(start: tuple[float, float]) -> dict[str, float]:
    """Give what went by."""
    return {"cpu_s": time.process_time() - start[0], "wall_s": time.perf_counter() - start[1]}


def warm(what: str, book: Any) -> dict[str, float]:
    """Measure one look at an open book: the second, so that imports and caches are warm."""
    act = looks(book)[what]
    act()
    start = time.process_time(), time.perf_counter()
    act()
    return spent(start)


def looks(book: Any) -> dict[str, Callable[[], object]]:
    """Give the looks by name."""
    from lanewater.service import now, past_rounds, record, trends  # noqa: PLC0415

    last_ms = book.state.last_round("main").at_ms
    each = getattr(record, "each_line", record.lines)

    def lines(days: int) -> Callable[[], object]:
        return lambda: sum(1 for _ in each(book, since_ms=last_ms - days * DAY_MS))

    middle = {"since_ms": last_ms - 1500 * DAY_MS, "until_ms": last_ms - 1499 * DAY_MS}
    return {
        "now": lambda: now.now_page(book, last_ms + 60_000),
        "day": lines(1),
        "old_day": lambda: sum(1 for _ in each(book, **middle)),
        "month": lines(30),
        "year": lines(365),
        "last_200": lambda: record.lines(book, limit=200),
        "last_100_rounds": lambda: past_rounds.rounds(book, pool="main"),
        "trends_year": lambda: trends.pool_trends(book, "main", last_ms, 365),
        "trends_month": lambda: trends.pool_trends(book, "main", last_ms, 30),
    }


def of_child(command: list[str], times: int) -> dict[str, float]:
    """Give the least CPU and wall of some runs of a command, and the most memory of one."""
    found: list[tuple[float, float]] = []
    for _ in range(times):
        before, start = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        cpu = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
        found.append((cpu, time.perf_counter() - start))
    return {"cpu_s": min(row[0] for row in found), "wall_s": min(row[1] for row in found)}


def shell(folder: Path, *words: str, times: int = 3) -> dict[str, float]:
    """Measure a command of the shell, cold."""
    command = [sys.executable, "-m", "lanewater", *words, "--data", str(folder)]
    return of_child(command, times)


def add_round(folder: Path, times: int) -> dict[str, float]:
    """Measure `lanewater round add`, cold."""
    return shell(folder, "round", "add", "--pool", "main", *ROUND, times=times)


def rested(folder: Path) -> bool:
    """Tell whether the store keeps a resting point already."""
    store = sqlite3.connect(folder / "lanewater.db")
    try:
        return bool(store.execute("SELECT count(*) FROM resting").fetchone()[0])
    finally:
        store.close()


def told(what: str, found: dict[str, float]) -> None:
    """Print one figure."""
    rss = f"   {found['rss_mib']:6.0f} MiB" if "rss_mib" in found else ""
    print(f"{what:<44} {found['cpu_s']:8.3f} s CPU {found['wall_s']:8.3f} s wall{rss}", flush=True)


def in_own_process(what: str, folder: Path) -> dict[str, float]:
    """Measure one thing in a process of its own."""
    answer: dict[str, float] = json.loads(
        subprocess.check_output([sys.executable, __file__, "--one", what, str(folder)])
    )
    return answer


def main() -> None:
    """Measure a copy of a record and print."""
    if sys.argv[1:2] == ["--one"]:
        print(json.dumps(one(sys.argv[2], sys.argv[3])))
        return
    if len(sys.argv) == 1:
        print("name the folder of a record, made by ten_years.py and years_again.py")
        return
    source = Path(sys.argv[1])
    with tempfile.TemporaryDirectory(dir=os.environ.get("LONG_RECORD_TMP")) as held:
        folder = Path(held) / "site"
        shutil.copytree(source, folder)
        told("python -c pass", of_child([sys.executable, "-c", "pass"], 5))
        if not rested(folder):
            told("open, nothing kept yet", in_own_process("open", folder))
            told("round add, the first after that", add_round(folder, 1))
        told("open", in_own_process("open", folder))
        told("round add, cold", add_round(folder, 3))
        for what in (
            "now",
            "day",
            "old_day",
            "month",
            "year",
            "last_200",
            "last_100_rounds",
            "trends_month",
            "trends_year",
        ):
            told(what.replace("_", " ") + ", warm", in_own_process(what, folder))
        told(
            "record show, a day, cold",
            shell(folder, "record", "show", "--from", "2021-05-03", "--to", "2021-05-03"),
        )


if __name__ == "__main__":
    main()
