"""Show the last twelve months of a record, from a standing start.

Run with: .venv/bin/python benchmarks/year_sheet.py FOLDER [--days 365]
FOLDER holds a record such as benchmarks/ten_years.py makes; it is copied, not touched. Each form is
written by a command of its own, as somebody at a shell would, and timed from its start to its last
byte. It ends with 1 where one of them takes more than --asked seconds, or where the forms do not
hold the same rounds. Its own planted fault: with --asked 0 it must end with 1.
"""

from __future__ import annotations

import argparse
import json
import os
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from datetime import date, timedelta
from pathlib import Path

from lanewater.service.book import open_book
from lanewater.service.config import Config
from lanewater.service.sheet_days import day_at

LANEWATER = "import sys; from lanewater.interfaces.cli.main import main; sys.exit(main())"


def last_days(data: Path, days: int) -> tuple[date, date]:
    """Give the first and the last of the record's last days that are over."""
    book = open_book(Config(data))
    newest = max(found.at_ms for rows in book.state.rounds.values() for found in rows)
    zone = book.state.site.timezone
    book.close()
    last = day_at(zone, newest) - timedelta(days=1)
    return last - timedelta(days=days - 1), last


def written(data: Path, out: Path, first: date, last: date) -> dict[str, object]:
    """Write one form and give what it said, with its time and its memory."""
    words = ["sheet", "period", "--from", str(first), "--to", str(last), "--out", str(out)]
    before = resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime
    start = time.perf_counter()
    said = subprocess.run(
        [sys.executable, "-P", "-c", LANEWATER, *words, "--json", "--data", str(data)],
        check=True,
        stdout=subprocess.PIPE,
        text=True,
    )
    seconds = time.perf_counter() - start
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    answer: dict[str, object] = json.loads(said.stdout)
    return answer | {
        "seconds": round(seconds, 1),
        "user_s": round(used.ru_utime - before, 1),
        "most_mb": used.ru_maxrss // 1024,
    }


def main() -> int:
    """Write each form and say how long it took."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("folder", type=Path)
    parser.add_argument("--days", type=int, default=365)
    parser.add_argument("--asked", type=float, default=60.0, help="seconds that each may take")
    arguments = parser.parse_args()
    code, counted = 0, set()
    with tempfile.TemporaryDirectory() as made:
        data = Path(made) / "data"
        shutil.copytree(arguments.folder, data)
        first, last = last_days(data, arguments.days)
        print(f"{first} to {last}; load {os.getloadavg()[0]:.1f} on {os.cpu_count()} processors")
        for form in ("pdf", "csv", "xlsx"):
            answer = written(data, Path(made) / f"year.{form}", first, last)
            counted.add((answer["rounds"], answer["missed"], answer["corrected"]))
            files = len(list(Path(made).glob(f"year*.{form}")))
            print(
                f"{form}: {answer['rounds']} rounds in {answer['seconds']} s"
                f" ({answer['user_s']} s of one processor), {files} files, at most"
                f" {answer['most_mb']} MB"
            )
            if float(str(answer["seconds"])) > arguments.asked:
                print(f"{form}: over {arguments.asked:.0f} s")
                code = 1
    return code if len(counted) == 1 else 1


if __name__ == "__main__":
    sys.exit(main())
