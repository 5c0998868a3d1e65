"""`lanewater calc`: chemistry from flags, from one JSON text, or from JSON Lines."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from typing import Any

from lanewater.chemistry.additions import additions_from, describe_additions
from lanewater.chemistry.water import BOUNDS, REQUIRED, describe, water_from
from lanewater.interfaces.cli.lines import answer_lines, write_answer
from lanewater.service.constants import load_constants
from lanewater.terms.errors import InputError
from lanewater.terms.jsontext import read_json

Answer = Callable[[Any], dict[str, Any]]

EXAMPLE = '{"ph": 7.4, "temperature_c": 28, "total_alkalinity_mg_l": 100}'
ADD_HELP = (
    "one product, such as 'product=hydrochloric-acid amount=2 unit=L strength_percent_w_w=31.45"
    " density_kg_l=1.157'; may stand several times"
)
CAUTION = (
    "Computed, not advice: label and data sheet come first, people out, pump running, one product"
    " at a time, then test again."
)

MEETING = "must_not_meet"

# Key, words, decimals.
WATER_ROWS = (
    ("ph", "pH", 2),
    ("total_alkalinity_mg_l", "total alkalinity, mg/L as CaCO3", 1),
    ("free_chlorine_mg_l", "free chlorine, mg/L", 2),
    ("calcium_hardness_mg_l", "calcium hardness, mg/L as CaCO3", 0),
    ("cyanuric_acid_mg_l", "cyanuric acid, mg/L", 1),
    ("hocl_mg_l", "HOCl, mg/L as Cl2 (estimate)", 4),
    ("hocl_low_mg_l", "HOCl by the lower estimate", 4),
    ("ocl_mg_l", "OCl-, mg/L as Cl2", 4),
    ("carbonate_alkalinity_mg_l", "carbonate alkalinity, mg/L as CaCO3", 1),
    ("dic_mmol_l", "dissolved carbon, mmol/L", 3),
    ("saturation_index", "saturation index", 2),
    ("handbook_index", "  by the handbook's table", 2),
    ("handbook_index_corrected", "  by the table, less CYA/3", 2),
    ("ccpp_mg_l", "calcium carbonate that can come out, mg/L", 1),
    ("buffer_meq_l_ph", "buffer, meq/L a pH", 3),
    ("co2_ceiling_ph", "pH that outdoor air leads to", 2),
    ("ionic_strength_mol_l", "ionic strength, mol/L", 4),
)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Describe the command's arguments."""
    kinds = parser.add_subparsers(dest="kind", required=True, metavar="water|addition")
    water = kinds.add_parser("water", help="what a water is made of")
    add_water_arguments(water)
    addition = kinds.add_parser("addition", help="the water after products are added")
    add_water_arguments(addition)
    addition.add_argument("--volume-m3", type=number, metavar="N")
    addition.add_argument("--add", action="append", metavar="TEXT", help=ADD_HELP)


def add_water_arguments(parser: argparse.ArgumentParser) -> None:
    """Describe the arguments that hold a water."""
    parser.description = (
        f"Takes flags, or one JSON text such as {EXAMPLE}, or JSON Lines on standard input"
        " (an answer a line)."
    )
    parser.add_argument("question", nargs="?", metavar="JSON", help="a question as one JSON text")
    for name, (low, high) in BOUNDS.items():
        parser.add_argument(
            f"--{name.replace('_', '-')}", type=number, metavar="N", help=f"{low:g} to {high:g}"
        )


def number(text: str) -> float:
    """Read a flag's number."""
    try:
        return float(text)
    except ValueError as error:
        raise argparse.ArgumentTypeError(f"{text!r} is not a number") from error


def run(arguments: argparse.Namespace) -> int:
    """Answer one question, or every line of standard input."""
    k, k_low = load_constants(), load_constants("WA2019")

    def water(given: Any) -> dict[str, Any]:
        return describe(k, k_low, water_from(given))

    def addition(given: Any) -> dict[str, Any]:
        return describe_additions(k, k_low, *additions_from(given))

    answer = water if arguments.kind == "water" else addition
    given = question_of(arguments)
    if given is None:
        if sys.stdin.isatty():
            wanted = " ".join(f"--{name.replace('_', '-')} N" for name in REQUIRED)
            raise InputError("", f"give {wanted}, or JSON Lines on standard input")
        return answer_lines(answer)
    answered = answer(given)
    if arguments.json:
        write_answer(answered)
    else:
        sys.stdout.write("\n".join(told(arguments.kind, given, answered)) + "\n")
    return 0


def question_of(arguments: argparse.Namespace) -> Any:
    """Give the question that the arguments hold, or None where there is none."""
    flags = {name: value for name in BOUNDS if (value := getattr(arguments, name)) is not None}
    if arguments.kind == "addition":
        if arguments.volume_m3 is not None:
            flags["volume_m3"] = arguments.volume_m3
        if arguments.add is not None:
            flags["additions"] = [addition_text(text) for text in arguments.add]
    if arguments.question is None:
        return flags or None
    if flags:
        raise InputError("", "give flags or one JSON text, not both")
    return read_json(arguments.question)


def addition_text(text: str) -> dict[str, Any]:
    """Read one --add text: words of the form name=value."""
    entry: dict[str, Any] = {}
    for word in text.split():
        name, mark, value = word.partition("=")
        if not mark:
            raise InputError("--add", f"{word[:40]!r} is not of the form name=value")
        try:
            entry[name] = value if name in {"product", "unit"} else float(value)
        except ValueError as error:
            raise InputError("--add", f"{name}: {value[:40]!r} is not a number") from error
    return entry


def told(kind: str, given: dict[str, Any], answer: dict[str, Any]) -> list[str]:
    """Tell an answer to a person: a short table, what was assumed, what to be wary of."""
    if kind == "water":
        lines = table([{**given, **answer}], [])
    else:
        waters = [{**given, **answer["before"]}, answer["after"], answer["after_use"]]
        lines = table(waters, ["before", "after", "after use"])
        lines += [f"Assumed: {text}" for text in answer["assumed"]]
        lines += [
            f"Caution: {added['product']} is {added['method']}."
            for added in answer["added"]
            if added["method"] != "by-hand"
        ]
    if answer["assumed_zero"]:
        lines.append(f"Not given, taken as zero: {', '.join(answer['assumed_zero'])}")
    findings = list(answer["findings"])
    if kind == "addition":
        findings += [one for one in answer["after"]["findings"] if one not in findings]
    lines += [noted(one) for one in findings if one["id"] != MEETING]
    if kind == "water":
        return lines
    meetings = [noted(one, "MUST NOT MEET") for one in findings if one["id"] == MEETING]
    return [*meetings, *lines, CAUTION]


def noted(found: dict[str, str], word: str = "Note") -> str:
    """Tell one finding."""
    return f"{word} ({found['about']}): {found['why']} {found['do']}"


def table(waters: list[dict[str, Any]], heads: list[str]) -> list[str]:
    """Lay waters side by side, a figure a line."""
    lines = [f"{'':<44}" + "".join(f"{head:>12}" for head in heads)] if heads else []
    for name, words, decimals in WATER_ROWS:
        cells = [cell(water.get(name), decimals) for water in waters]
        if any(cells):
            lines.append(f"{words:<44}" + "".join(f"{text:>12}" for text in cells))
    return lines


def cell(value: Any, decimals: int) -> str:
    """Write one figure; nothing where there is none."""
    return "" if value is None else f"{round(value, decimals) + 0.0:.{decimals}f}"
