"""The API against its own description, at length: `python -m benchmarks.schema_campaign N SEED`.

Each round goes over every route with requests that fit and requests that do not, as five callers.
The site is a copy of the tests' own; it lies in a folder of the system's for the time of the run.
"""

from __future__ import annotations

import json
import sys
import tempfile
import time
import traceback
from collections import Counter
from pathlib import Path

from tests.interfaces.api.baths import make_template, open_copy
from tests.interfaces.api.schema_calls import Counted, hold, schema_of

from lanewater.interfaces.api.table import TABLE, Endpoint

ROLES = ("owner", "area-manager", "tester", "owner", "area-manager", "contractor", "nobody")
AT_ONCE = 12


def run(wanted: int, seed: int) -> dict[str, object]:
    """Make at least so many calls and give the counts."""
    found: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as folder:
        template = make_template(Path(folder) / "site")
        baths = open_copy(template, Path(folder) / "copy")
        counted = Counted(baths.app)
        schema = schema_of(counted)
        began, start = time.monotonic(), seed
        while sum(counted.statuses.values()) < wanted:
            for row in TABLE:
                start += 1
                role = ROLES[start % len(ROLES)]
                fitting = row.method == "GET" or start % 3 > 0
                one(baths, schema, row, role, fitting, start, found)
            print(sum(counted.statuses.values()), dict(found), flush=True)
        baths.browser.close()
        baths.book.close()
    return {
        "calls": sum(counted.statuses.values()),
        "seconds": round(time.monotonic() - began),
        "seed": seed,
        "statuses": dict(sorted(counted.statuses.items())),
        "server_errors": sum(n for status, n in counted.statuses.items() if status >= 500),
        "failures": dict(found),
    }


def one(
    baths: object,
    schema: object,
    row: Endpoint,
    role: str,
    fitting: bool,
    start: int,
    found: Counter[str],
) -> None:
    """Hold one route and keep what did not hold."""
    if row.path.endswith("/sign-out"):
        role = "nobody"
    try:
        hold(baths, schema, row, role, fitting=fitting, most=AT_ONCE, start=start)  # type: ignore[arg-type]
    except BaseException as error:
        if isinstance(error, KeyboardInterrupt):
            raise
        found[f"{row.method} {row.path}"] += 1
        print(f"{row.method} {row.path} as {role}, seed {start}:", file=sys.stderr)
        traceback.print_exception(error)


if __name__ == "__main__":
    print(json.dumps(run(int(sys.argv[1]), int(sys.argv[2]))))
