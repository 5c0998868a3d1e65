"""`lanewater calc air`: where the pH drifts in air, and how fast by the pool's own nights."""

from __future__ import annotations

import argparse
from typing import Any

from lanewater.chemistry.aircourse import describe_air, in_air_from
from lanewater.chemistry.water import REQUIRED
from lanewater.interfaces.cli.calc_question import answer_question, noted, number
from lanewater.interfaces.cli.calc_water import add_readings, named_words, water_flags, zeros
from lanewater.service.constants import load_constants, load_table

NIGHT_HELP = (
    "two readings of one night, such as 'ph_before=7.42 ph_after=7.58 hours=10"
    " free_chlorine_before_mg_l=1.8 free_chlorine_after_mg_l=1.5'; may stand several times"
)
PLAIN = ("depth_m", "volume_m3", "surface_m2", "air_co2_ppm", "rate_cm_h", "ph_error", "wind_m_s")


def add_air(parser: argparse.ArgumentParser) -> None:
    """Describe the arguments that hold a water and the air above it."""
    add_readings(parser)
    for name in PLAIN:
        parser.add_argument(f"--{name.replace('_', '-')}", type=number, metavar="N")
    parser.add_argument("--night", action="append", metavar="TEXT", help=NIGHT_HELP)
    parser.add_argument("--hours", type=number, nargs="+", metavar="N")


def run_air(arguments: argparse.Namespace) -> int:
    """Answer where the pH drifts in air."""
    k, k_low, plant = load_constants(), load_constants("WA2019"), load_table("plant")

    def answer(given: Any) -> dict[str, Any]:
        return describe_air(k, k_low, plant, in_air_from(given))

    flags = water_flags(arguments)
    for name in PLAIN:
        if (value := getattr(arguments, name)) is not None:
            flags[name] = value
    if arguments.night is not None:
        flags["nights"] = [named_words(text, "--night") for text in arguments.night]
    if arguments.hours is not None:
        flags["hours"] = arguments.hours
    required = (*REQUIRED, "depth_m", "air_co2_ppm", "rate_cm_h")
    return answer_question(arguments, flags, required, answer, told_air)


def told_air(_given: dict[str, Any], answer: dict[str, Any]) -> list[str]:
    """Tell the rate, the course, and what it rests on."""
    lines = []
    if answer["rate_cm_h"] is not None:
        rate = f"{answer['rate_cm_h']:.2g}"
        low, high = answer["rate_low_cm_h"], answer["rate_high_cm_h"]
        if answer["rate_from"] == "nights":
            rate += f" ({low:.2g} to {'no end' if high is None else f'{high:.2g}'})"
        lines.append(f"Rate of exchange, cm/h, {answer['rate_from']}: {rate}")
    for place, night in enumerate(answer["nights"], 1):
        rate = "none" if night["rate_cm_h"] is None else f"{night['rate_cm_h']:.2g}"
        lines.append(f"  night {place}: {rate}{'' if night['counted'] else ', left out'}")
    for row in answer["course"]:
        ends = [f"{row[name]:.2f}" for name in ("ph_slow", "ph_fast") if row[name] is not None]
        band = f" ({' to '.join(ends)})" if len(ends) > 1 else ""
        lines.append(f"after {row['hours']:g} h: pH {row['ph']:.2f}{band}")
    if answer["air_ph"] is not None:
        lines.append(f"this air leads to pH {answer['air_ph']:.2f}")
    if answer["open_water_rate_cm_h"] is not None:
        lines.append(f"For comparison only, open water: {answer['open_water_rate_cm_h']:.2g} cm/h")
    lines += [f"Assumed: {text}" for text in answer["assumed"]]
    return lines + zeros(answer) + [noted(one) for one in answer["findings"]]
