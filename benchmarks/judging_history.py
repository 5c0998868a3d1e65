"""Judge a long history of one pool by one pack, and the same limits by hand in SQL beside it.

    .venv/bin/python benchmarks/judging_history.py [--rows 1000000] [--rules ca-qc]

One process streams rounds through the kernel in CPython: readings in normal form, three rounds of
history and the window that the rules look back over, as the service hands them in. Each size runs
in a process of its own, which tells its rate (processor time of judging alone; of the fastest
thousand as well, since a busy machine slows the rest) and its peak memory. DuckDB then answers the
same limits, written by hand as one query with one thread over the same rows, and every answer is
compared. DuckDB is no part of Lanewater: `pip install duckdb` into the environment or a folder on
PYTHONPATH; without it the comparison is left out, and said so. Ends with 1 where answers differ,
the rate is under 5,000 rows a second, or memory grows by over 10 %.
"""

from __future__ import annotations

import argparse
import importlib
import json
import resource
import subprocess
import sys
import tempfile
import time
from collections import deque
from collections.abc import Iterator
from pathlib import Path
from random import Random
from typing import Any

from lanewater.kernel.deciding.decimals import decimal_text
from lanewater.kernel.deciding.judging import judge
from lanewater.kernel.deciding.narrowing import pack_for_pool
from lanewater.kernel.deciding.tries import looked_at
from lanewater.service.packs import load_pack

POOL = {
    "kind": "pool",
    "location": "indoor",
    "disinfectant": "chlorine",
    "stabiliser": "not-used",
    "supply": "recirculated",
}
START = 1_600_000_000
APART_S = 7200
HISTORY, WINDOW = 3, 14  # Fourteen rounds reach back 28 hours: more than the rules ask.
CHUNK = 1000
SEED = 20261126
LEAST_A_SECOND = 5000
MOST_GROWTH = 0.10
SMALL, LARGE = 10_000, 1_000_000
CODES = {
    "evacuate": "E",
    "close": "C",
    "does-not-meet": "D",
    "not-judged": "N",
    "meets": "M",
    "does-not-meet-borderline": "d",
    "meets-borderline": "m",
}
# The limits of ca-qc for this pool, by hand: sections 5, 12, 16 and 17, as the pack cites them.
BY_HAND = """
with read as (
    select *, greatest(total - free, 0) as combined from rounds
), steps as (
    select *, sum(case when combined <= 1000 then 1 else 0 end) over (order by taken) as run
    from read
), lasting as (
    select *, min(case when combined > 1000 then taken end)
        over (partition by run order by taken) as since
    from steps
)
select case
    when free < 300 or free > 5000 or turbidity > 5000
      or (combined > 1000 and taken - since > 86400) or circulation = 'stopped' then 'E'
    when free < 800 or free > 2000 or combined > 500 or ph < 7200 or ph > 7800
      or clarity <> 'visible' or turbidity > 1000 then 'D'
    else 'M' end as answer
from lasting order by taken
"""


def drawn(count: int) -> Iterator[tuple[int, int, int, int, int, str, str, int]]:
    """Draw rounds: mostly within the limits, some at them, some far out, combined for days high."""
    draw = Random(SEED)  # noqa: S311 - invented readings, always the same
    high = 0
    for number in range(count):
        high = 30 if high == 0 and draw.random() < 0.004 else max(high - 1, 0)
        free = draw.choice((790, 800, 810, 1990, 2000, 2010)) if draw.random() < 0.1 else 0
        free = free or int(draw.gauss(1350, 320) // 10 * 10)
        free = (
            draw.choice((290, 300, 4990, 5000, 5010)) if draw.random() < 0.004 else max(free, 200)
        )
        combined = 1020 + 10 * draw.randrange(40) if high else 10 * draw.randrange(5, 52)
        ph = draw.choice((7190, 7200, 7800, 7810)) if draw.random() < 0.05 else 0
        ph = ph or 7200 + 10 * draw.randrange(61)
        clarity = "not-visible" if draw.random() < 0.001 else "visible"
        circulation = "stopped" if draw.random() < 0.0005 else "running"
        turbidity = draw.choice((1000, 1010, 5000, 5010)) if draw.random() < 0.01 else 400
        at = START + number * APART_S
        yield at, free, free + combined, ph, 28_400, clarity, circulation, turbidity


def reading(parameter: str, value: str) -> dict[str, Any]:
    """Give a reading in normal form."""
    return {
        "parameter": parameter,
        "value": value,
        "dilution": 1,
        "point": "",
        "at": None,
        "uncertainty": None,
        "kit": "",
    }


def round_of(row: tuple[int, int, int, int, int, str, str, int]) -> dict[str, Any]:
    """Give a drawn row as a round of the record."""
    at, free, total, ph, temperature, clarity, circulation, turbidity = row
    numbers = {
        "free_chlorine": free,
        "total_chlorine": total,
        "ph": ph,
        "temperature_c": temperature,
        "turbidity_ntu": turbidity,
    }
    readings = [reading(name, decimal_text(number)) for name, number in numbers.items()]
    words = [reading("clarity", clarity), reading("circulation", circulation)]
    return {"at": at, "readings": [*readings, *words]}


def judge_rows(count: int, rules: str, into: Path) -> dict[str, Any]:
    """Judge so many rounds in this process and write one letter for each.

    Parameters
    ----------
    count : int
        Rounds.
    rules : str
        Id of the pack.
    into : Path
        Where the letters go.

    Returns
    -------
    dict
        {"rows", "seconds": processor time of judging, "best": of the fastest thousand, "peak_kib"}.
    """
    pack = pack_for_pool(load_pack(rules), POOL)
    seen: deque[dict[str, Any]] = deque(maxlen=WINDOW)
    spent: list[float] = []
    rows = drawn(count)
    with into.open("w", encoding="ascii") as file:
        for start in range(0, count, CHUNK):
            rounds = [round_of(next(rows)) for _ in range(min(CHUNK, count - start))]
            began = time.process_time()
            answers = [CODES[judged(pack, one, seen)] for one in rounds]
            spent.append(time.process_time() - began)
            file.write("".join(answers))
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return {"rows": count, "seconds": sum(spent), "best": min(spent), "peak_kib": peak}


def judged(pack: dict[str, Any], one: dict[str, Any], seen: deque[dict[str, Any]]) -> str:
    """Judge one round with the rounds before it, and let it be the next one's history."""
    window = list(seen)
    # Once as it is judged; it is the next fourteen's history as well.
    readings = looked_at(one["readings"])
    case = {
        "purpose": "round",
        "pool": POOL,
        "readings": readings,
        "history": window[-HISTORY:],
        "window": window,
        "at": one["at"],
    }
    seen.append({"at": one["at"], "readings": readings})
    return str(judge(pack, case)["overall"])


def in_own_process(count: int, rules: str, into: Path) -> dict[str, Any]:
    """Judge in a fresh process, so that its peak memory is its own."""
    command = [sys.executable, __file__, "--one", str(count), "--rules", rules, "--into", str(into)]
    done = subprocess.run(command, check=True, capture_output=True, text=True)
    found: dict[str, Any] = json.loads(done.stdout)
    return found


def by_hand(count: int, folder: Path) -> tuple[str, float] | None:
    """Answer by SQL; the letters and the seconds of the query, None where there is no DuckDB."""
    try:
        duckdb = importlib.import_module("duckdb")
    except ModuleNotFoundError:
        return None
    table = folder / "rounds.csv"
    with table.open("w", encoding="ascii") as file:
        file.write("taken,free,total,ph,temperature,clarity,circulation,turbidity\n")
        file.writelines(",".join(map(str, row)) + "\n" for row in drawn(count))
    base = duckdb.connect()
    base.execute("set threads = 1")
    base.execute("create table rounds as select * from read_csv(?)", [str(table)])
    began = time.process_time()
    answers = base.execute(BY_HAND).fetchall()
    return "".join(row[0] for row in answers), time.process_time() - began


def main() -> int:
    """Run both sizes and the query, print the figures, end with 1 where they do not hold."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--rows", type=int, default=LARGE)
    parser.add_argument("--rules", default="ca-qc")
    parser.add_argument("--one", type=int, help=argparse.SUPPRESS)
    parser.add_argument("--into", type=Path, help=argparse.SUPPRESS)
    given = parser.parse_args()
    if given.one is not None:
        print(json.dumps(judge_rows(given.one, given.rules, given.into)))
        return 0
    with tempfile.TemporaryDirectory() as name:
        return figures(given.rows, given.rules, Path(name))


def figures(rows: int, rules: str, folder: Path) -> int:
    """Print rate, memory and the comparison of one run."""
    small = in_own_process(min(SMALL, rows), rules, folder / "small")
    large = in_own_process(rows, rules, folder / "large")
    rate = large["rows"] / large["seconds"]
    growth = large["peak_kib"] / small["peak_kib"] - 1
    letters = (folder / "large").read_text(encoding="ascii")
    counted = {code: letters.count(code) for code in CODES.values() if code in letters}
    print(f"{rules}: {rows} rounds, {rate:.0f} a second, {counted}")
    print(
        f"peak {small['peak_kib']} KiB at {small['rows']}, {large['peak_kib']} KiB: {growth:+.1%}"
    )
    beside = by_hand(rows, folder) if rules == "ca-qc" else None
    differ = 0
    if beside is None:
        print("not compared with SQL: DuckDB is not here, or the pack is another than ca-qc")
    else:
        answers, seconds = beside
        differ = sum(a != b for a, b in zip(letters, answers, strict=True))
        print(f"SQL by hand: {seconds:.2f} s, {large['seconds'] / seconds:.0f} times as fast;")
        print(f"{differ} of {rows} answers differ")
    return int(differ > 0 or rate < LEAST_A_SECOND or growth > MOST_GROWTH)


if __name__ == "__main__":
    sys.exit(main())
