"""Nobody who waits for an answer waits for Numba: what people use never brings it in."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest

COMPILING = {"numba", "numpy", "llvmlite", "scipy"}

ASKED = """
import sys
{first}
from lanewater.interfaces.cli.main import main
code = main({arguments!r})
sys.stderr.write("\\n" + "\\n".join(name for name in sys.modules))
sys.exit(code)
"""
WATER = {
    "ph": 7.4,
    "temperature_c": 27.0,
    "total_alkalinity_mg_l": 90,
    "calcium_hardness_mg_l": 250,
}
SERVED = """
import sys
import lanewater.interfaces.serving
import lanewater.service.plan
sys.stderr.write("\\n".join(name for name in sys.modules))
"""


def brought_in(program: str, question: object = None) -> set[str]:
    """Run a program in a process of its own; give the modules that it brought in."""
    done = subprocess.run(
        [sys.executable, "-c", program],
        input=json.dumps(question) + "\n",
        capture_output=True,
        text=True,
        check=True,
    )
    return {name.partition(".")[0] for name in done.stderr.split()}


@pytest.mark.parametrize(
    ("arguments", "question"), [(["calc", "water"], WATER), (["rules", "list"], None)]
)
def test_a_command_compiles_nothing(arguments: list[str], question: object) -> None:
    modules = brought_in(ASKED.format(first="", arguments=arguments), question)
    assert "lanewater" in modules
    assert COMPILING & modules == set()


def test_the_server_compiles_nothing() -> None:
    modules = brought_in(SERVED)
    assert "fastapi" in modules
    assert COMPILING & modules == set()


def test_a_room_that_compiles_would_be_seen() -> None:
    program = ASKED.format(
        first="import lanewater.fleet.engine, numpy", arguments=["rules", "list"]
    )
    assert "numpy" in brought_in(program)


def test_the_engine_brings_numba_in_only_when_it_is_loaded() -> None:
    names = "engine, keeping, lanes, lanesource, sources"
    program = (
        f"import sys\nfrom lanewater.fleet import {names}\nsys.stderr.write(' '.join(sys.modules))"
    )
    assert COMPILING & brought_in(program) == set()
