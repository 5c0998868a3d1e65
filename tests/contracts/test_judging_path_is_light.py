"""`lanewater judge` starts in a blink: it brings in nothing that it does not need."""

from __future__ import annotations

import json
import subprocess
import sys

HEAVY = {
    "alembic",
    "argon2",
    "cryptography",
    "dataclasses",
    "fastapi",
    "numba",
    "numpy",
    "pydantic",
    "rfc8785",
    "scipy",
    "sqlalchemy",
    "sqlite3",
    "starlette",
    "tomllib",
    "uuid_utils",
    "uvicorn",
}

PROGRAM = """
import sys
{first}
from lanewater.interfaces.cli.main import main
code = main(["judge", "--rules", "ca-qc"])
sys.stderr.write("\\n".join(name for name in sys.modules))
sys.exit(code)
"""

QUESTION = {
    "pool": {"kind": "pool", "location": "indoor", "disinfectant": "chlorine"},
    "readings": {"free_chlorine": "1.52", "total_chlorine": "1.68", "ph": "7.43"},
}


def judged(first: str = "") -> tuple[dict[str, object], set[str]]:
    """Judge one round in a process of its own; give the answer and the modules it brought in."""
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM.format(first=first)],
        input=json.dumps(QUESTION) + "\n",
        capture_output=True,
        text=True,
        check=True,
    )
    return json.loads(done.stdout), {name.partition(".")[0] for name in done.stderr.split()}


def test_judging_brings_in_nothing_heavy() -> None:
    answer, brought_in = judged()
    assert answer["rules"] == "ca-qc"
    assert HEAVY & brought_in == set()


def test_a_heavy_import_would_be_seen() -> None:
    assert "sqlalchemy" in judged("import sqlalchemy")[1]
