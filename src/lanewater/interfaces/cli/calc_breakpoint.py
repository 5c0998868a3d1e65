"""`lanewater calc breakpoint`: chlorine on ammonia, minute by minute."""

from __future__ import annotations

import argparse
from typing import Any

from lanewater.chemistry.breakpoint import (
    REQUIRED,
    STARTS,
    breakpoint_from,
    describe_breakpoint,
)
from lanewater.chemistry.water import BOUNDS
from lanewater.interfaces.cli.calc_question import add_question, answer_question, noted, number
from lanewater.service.constants import load_constants, load_table

EXAMPLE = (
    '{"ph": 7.4, "temperature_c": 28, "total_alkalinity_mg_l": 100, "free_chlorine_mg_l": 3,'
    ' "ammonia_n_mg_l": 0.2, "minutes": 30}'
)
# Key, head, decimals.
COLUMNS = (
    ("minute", "minute", 0),
    ("free_chlorine_mg_l", "free", 2),
    ("monochloramine_mg_l", "mono", 2),
    ("dichloramine_mg_l", "di", 2),
    ("trichloramine_mg_l", "tri", 2),
    ("total_chlorine_mg_l", "total", 2),
)
MOST_TOLD = 14


def add_breakpoint(parser: argparse.ArgumentParser) -> None:
    """Describe the arguments that hold a water and what chlorine meets in it."""
    add_question(parser, EXAMPLE)
    for name, (low, high) in {**BOUNDS, **STARTS}.items():
        parser.add_argument(
            f"--{name.replace('_', '-')}", type=number, metavar="N", help=f"{low:g} to {high:g}"
        )
    parser.add_argument("--minutes", type=number, metavar="N", help="how long to follow it")


def run_breakpoint(arguments: argparse.Namespace) -> int:
    """Answer how chlorine and chloramines go on."""
    k, q = load_constants(), load_table("chloramine")

    def answer(given: Any) -> dict[str, Any]:
        return describe_breakpoint(k, q, breakpoint_from(given))

    flags = {
        name: value
        for name in (*BOUNDS, *STARTS, "minutes")
        if (value := getattr(arguments, name)) is not None
    }
    return answer_question(arguments, flags, REQUIRED, answer, told_breakpoint)


def told_breakpoint(_given: dict[str, Any], answer: dict[str, Any]) -> list[str]:
    """Tell a course to a person: some rows of it, and what it is not."""
    course = answer["course"] or []
    apart = max(-(-len(course) // MOST_TOLD), 1)
    shown = course[:-1:apart] + course[-1:]
    lines = []
    if shown:
        lines = ["mg/L as Cl2", "".join(f"{head:>9}" for _, head, _ in COLUMNS)]
        lines += ["".join(f"{row[name]:9.{n}f}" for name, _, n in COLUMNS) for row in shown]
    names = ", ".join(answer["assumed_zero"])
    lines += [f"Not given, taken as zero: {names}"] if names else []
    return lines + [noted(one) for one in answer["findings"]]
