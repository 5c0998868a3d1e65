"""`lanewater calc strength`: a label's strength in every unit, and how a tank of it ages."""

from __future__ import annotations

import argparse
from typing import Any

from lanewater.chemistry.labels import describe_label, label_from
from lanewater.interfaces.cli.calc_question import add_question, answer_question, noted, number
from lanewater.interfaces.cli.calc_water import named_words
from lanewater.service.constants import load_table

EXAMPLE = '{"product": "sodium-hypochlorite", "strength_trade_percent": 12.5}'
NUMBERS = (
    "strength_percent_w_w",
    "strength_percent_w_v",
    "strength_g_l",
    "strength_trade_percent",
    "density_kg_l",
    "specific_gravity",
    "measured_error_percent",
    "temperature_c",
    "excess_caustic_mol_per_mol",
)
MEASURED_HELP = (
    "a dated strength of this tank, such as 'at=2026-11-01 strength_g_l=128'; may stand several"
    " times"
)
ROWS = (
    ("percent_w_w", "% by weight, as Lanewater counts"),
    ("percent_w_w_compound", "% by weight of the anhydrous compound"),
    ("percent_w_v", "% by volume (g in 100 mL)"),
    ("trade_percent", "trade %"),
    ("g_l", "g/L"),
)


def add_strength(parser: argparse.ArgumentParser) -> None:
    """Describe the arguments that hold a label."""
    add_question(parser, EXAMPLE)
    parser.add_argument("--product", metavar="ID")
    for name in NUMBERS:
        parser.add_argument(f"--{name.replace('_', '-')}", type=number, metavar="N")
    parser.add_argument("--form", metavar="WORD", help="the crystal water that the strength counts")
    parser.add_argument("--strength-counts", metavar="WORD", help="available-chlorine or compound")
    parser.add_argument("--measured", action="append", metavar="TEXT", help=MEASURED_HELP)
    parser.add_argument("--days", type=number, nargs="+", metavar="N")


def run_strength(arguments: argparse.Namespace) -> int:
    """Answer what a strength is in every unit."""
    plant = load_table("plant")

    def answer(given: Any) -> dict[str, Any]:
        return describe_label(plant, label_from(given))

    names = ("product", *NUMBERS, "form", "strength_counts", "days")
    flags = {name: value for name in names if (value := getattr(arguments, name)) is not None}
    if arguments.measured is not None:
        flags["measured"] = [named_words(text, "--measured") for text in arguments.measured]
    return answer_question(arguments, flags, ("product", "strength_g_l"), answer, told_strength)


def told_strength(_given: dict[str, Any], answer: dict[str, Any]) -> list[str]:
    """Tell a strength in every unit, what else its label may mean, and how it ages."""
    lines = [f"{answer['product']}: {answer['strength_means']}"]
    lines += [
        f"{words:<40}{answer[name]:>10.2f}" for name, words in ROWS if answer[name] is not None
    ]
    lines += [
        f"  the same number as {each['words']}: {each['g_l']:.0f} g/L"
        for each in answer["read_as"]
        if each["g_l"] is not None
    ]
    ageing = answer["ageing"] or {}
    for name, words in (("own", "Measured in this tank"), ("published", "Published, to compare")):
        if (part := ageing.get(name)) is not None:
            lines += told_ageing(words, part)
    lines += [f"Assumed: {text}" for text in answer["assumed"]]
    return lines + [noted(one) for one in answer["findings"]]


def told_ageing(words: str, part: dict[str, Any]) -> list[str]:
    """Tell one way of knowing how a tank ages."""
    ends = [
        "no end" if part[name] is None else f"{part[name]:.0f}"
        for name in ("half_life_short_days", "half_life_long_days")
    ]
    lines = [f"{words} ({part['note']}): half is gone in {ends[0]} to {ends[1]} days"]
    lines += [
        f"  after {row['days']:g} days {row['low_g_l']:.0f} to {row['high_g_l']:.0f} g/L"
        for row in part["course"]
    ]
    return lines
