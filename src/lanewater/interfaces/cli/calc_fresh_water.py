"""`lanewater calc fresh-water`: how much to replace, what evaporates, and where it settles."""

from __future__ import annotations

import argparse
from typing import Any

from lanewater.chemistry.refill import describe_refill, refill_from
from lanewater.chemistry.water import REQUIRED
from lanewater.interfaces.cli.calc_question import answer_question, noted, number
from lanewater.interfaces.cli.calc_water import (
    FRESH_HELP,
    add_readings,
    named_words,
    table,
    water_flags,
    zeros,
)
from lanewater.service.constants import load_constants, load_table

TEXTS = {
    "fresh_water": FRESH_HELP,
    "target": "one quantity, such as 'cyanuric_acid_mg_l=40'",
    "air": "above the water, such as 'temperature_c=30 relative_humidity_percent=60 people=20'",
    "per_day": "let out with all that is in it, such as 'backwash_m3=3 bathers_m3=6'",
}
CAUTION = (
    "Computed, not advice: leave to discharge and the basin's own limits come first; then test"
    " again."
)


def add_fresh_water(parser: argparse.ArgumentParser) -> None:
    """Describe the arguments that hold two waters and what is asked of them."""
    add_readings(parser)
    for name in ("volume_m3", "surface_m2"):
        parser.add_argument(f"--{name.replace('_', '-')}", type=number, metavar="N")
    for name, words in TEXTS.items():
        parser.add_argument(f"--{name.replace('_', '-')}", metavar="TEXT", help=words)
    parser.add_argument("--days", type=number, nargs="+", metavar="N")


def run_fresh_water(arguments: argparse.Namespace) -> int:
    """Answer how much water a target needs, and what the days bring."""
    k, k_low, plant = load_constants(), load_constants("WA2019"), load_table("plant")

    def answer(given: Any) -> dict[str, Any]:
        return describe_refill(k, k_low, plant, refill_from(given))

    flags = water_flags(arguments)
    for name in ("volume_m3", "surface_m2", "days"):
        if (value := getattr(arguments, name)) is not None:
            flags[name] = value
    for name in TEXTS:
        if (text := getattr(arguments, name)) is not None:
            flags[name] = named_words(text, f"--{name.replace('_', '-')}")
    required = (*REQUIRED, "volume_m3", "fresh_water", "target")
    return answer_question(arguments, flags, required, answer, told_refill)


def told_refill(given: dict[str, Any], answer: dict[str, Any]) -> list[str]:
    """Tell how much water, what evaporates, and what the days bring."""
    lines = []
    if (needed := answer["needed"]) is not None:
        drained, flowing = needed["drain_and_refill"], needed["flow_through"]
        span = f"{needed['now_mg_l']:g} to {needed['target_mg_l']:g}"
        lines += [
            f"{needed['quantity']}: {span}, fresh water {needed['fresh_mg_l']:g}",
            f"  let out and refilled: {drained['m3']:.0f} m3 ({drained['share_percent']:.0f} %)",
            f"  flowing through:      {flowing['m3']:.0f} m3",
        ]
        waters = [{**given, **answer["before"]}, drained["after"]]
        lines += table(waters, ["before", "after"])
    if (evaporation := answer["evaporation"]) is not None:
        lines.append(
            f"Evaporation: {evaporation['low_m3_day']:.2g} to {evaporation['high_m3_day']:.2g}"
            " m3 a day"
        )
        lines += [
            f"  {form['words']}: {form['kg_m2_h']:.3f} kg/m2h"
            for form in evaporation["forms"]
            if form["kg_m2_h"] is not None
        ]
    if (balance := answer["balance"]) is not None:
        lines += told_balance(balance)
    lines += [f"Assumed: {text}" for text in answer["assumed"]]
    return [*lines, *zeros(answer), *(noted(one) for one in answer["findings"]), CAUTION]


def told_balance(balance: dict[str, Any]) -> list[str]:
    """Tell what the days bring."""
    fresh = f"{balance['in_low_m3_day']:.3g} to {balance['in_high_m3_day']:.3g}"
    lines = [f"Let out {balance['out_m3_day']:.3g} m3 a day; in {fresh}"]
    for name, settled in balance["settles_at"].items():
        days = ", ".join(f"day {row['days']:g} {ends(row[name])}" for row in balance["course"])
        end = "" if settled is None else f"; in the end {ends(settled)}"
        lines.append(f"  {name}: {days}{end}")
    return lines


def ends(pair: list[float]) -> str:
    """Write a range, or one number where both ends are the same."""
    low, high = (f"{value:.0f}" for value in pair)
    return low if low == high else f"{low} to {high}"
