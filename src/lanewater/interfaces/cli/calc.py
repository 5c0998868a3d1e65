"""`lanewater calc`: chemistry from flags, from one JSON text, or from JSON Lines."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from importlib import import_module
from typing import NamedTuple


class Kind(NamedTuple):
    """One kind of question: its help, and where its arguments and its answer are."""

    help: str
    module: str
    suffix: str


# Each module has add_<suffix>(parser) and run_<suffix>(arguments) -> exit code.
KINDS = {
    "water": Kind("what a water is made of", "calc_water", "water"),
    "addition": Kind("the water after products are added", "calc_water", "addition"),
    "fresh-water": Kind("how much water to replace", "calc_fresh_water", "fresh_water"),
    "strength": Kind("a label's strength in every unit", "calc_strength", "strength"),
    "air": Kind("where the pH drifts in air, and how fast", "calc_air", "air"),
    "plan": Kind("ordered additions from a water to its targets", "calc_plan", "plan"),
    "contact-time": Kind("what readings add up to in an incident", "calc_contact", "contact"),
    "breakpoint": Kind("chlorine on ammonia, minute by minute", "calc_breakpoint", "breakpoint"),
    "superchlorination": Kind(
        "what more chlorine can take away", "calc_superchlorination", "superchlorination"
    ),
}


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Describe the command's arguments."""
    kinds = parser.add_subparsers(dest="kind", required=True, metavar="|".join(KINDS))
    for name, kind in KINDS.items():
        part("add", kind)(kinds.add_parser(name, help=kind.help))


def run(arguments: argparse.Namespace) -> int:
    """Answer a question of the kind that is asked for."""
    answered: int = part("run", KINDS[arguments.kind])(arguments)
    return answered


def part(name: str, kind: Kind) -> Callable[..., int]:
    """Give a kind's function."""
    module = import_module(f"lanewater.interfaces.cli.{kind.module}")
    found: Callable[..., int] = getattr(module, f"{name}_{kind.suffix}")
    return found
