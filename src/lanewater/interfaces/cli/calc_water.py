"""`lanewater calc water` and `calc addition`: a water's equilibrium, before and after products."""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from typing import Any

from lanewater.chemistry.additions import additions_from, describe_additions
from lanewater.chemistry.sea import BOUNDS as SEA_BOUNDS
from lanewater.chemistry.sea import SALINITY, describe_sea, sea_from
from lanewater.chemistry.water import BOUNDS, REQUIRED, describe, water_from
from lanewater.interfaces.cli.calc_question import add_question, answer_question, noted, number
from lanewater.service.constants import load_constants, load_table
from lanewater.terms.errors import InputError

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
# What of an --add text is a word, not a number.
WORDS = {"product", "unit", "way", "heat", "form", "strength_counts", "at"}
FRESH_HELP = (
    "what comes in with product=fresh-water, such as"
    " 'ph=7.9 temperature_c=15 total_alkalinity_mg_l=60'"
)

# Key, words, decimals.
WATER_ROWS = (
    ("ph", "pH", 2),
    ("temperature_c", "temperature, C", 1),
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
    ("sea_salt_calcium_hardness_mg_l", "sea salt's calcium hardness, mg/L as CaCO3", 0),
    ("ph_total_scale", "pH on the total scale", 2),
    ("co2_mmol_l", "carbon dioxide, mmol/L", 3),
    ("co2_pressure_uatm", "  its pressure, uatm (outdoor air holds 420)", 0),
)


def add_water(parser: argparse.ArgumentParser) -> None:
    """Describe the arguments that hold a water, fresh or of the sea."""
    add_readings(parser)
    low, high = SEA_BOUNDS[SALINITY]
    parser.add_argument(
        f"--{SALINITY.replace('_', '-')}",
        type=number,
        metavar="N",
        help=f"natural sea water, {low:g} to {high:g}; no chlorine, no cyanuric acid, no amounts",
    )


def add_readings(parser: argparse.ArgumentParser) -> None:
    """Describe the arguments that hold a fresh or salted water."""
    add_question(parser, EXAMPLE)
    for name, (low, high) in BOUNDS.items():
        parser.add_argument(
            f"--{name.replace('_', '-')}", type=number, metavar="N", help=f"{low:g} to {high:g}"
        )


def add_addition(parser: argparse.ArgumentParser) -> None:
    """Describe the arguments that hold a water and what is added to it."""
    add_readings(parser)
    parser.add_argument("--volume-m3", type=number, metavar="N")
    parser.add_argument("--add", action="append", metavar="TEXT", help=ADD_HELP)
    parser.add_argument("--fresh-water", metavar="TEXT", help=FRESH_HELP)


def run_water(arguments: argparse.Namespace) -> int:
    """Answer what a water is made of."""
    k, k_low = load_constants(), load_constants("WA2019")

    def answer(given: Any) -> dict[str, Any]:
        if of_the_sea(given):
            return describe_sea(load_table("sea"), sea_from(given))
        return describe(k, k_low, water_from(given))

    flags = water_flags(arguments)
    if arguments.salinity_g_kg is not None:
        flags[SALINITY] = arguments.salinity_g_kg
    return answer_question(arguments, flags, REQUIRED, answer, told_water)


def of_the_sea(given: Any) -> bool:
    """Tell whether a question is of natural sea water."""
    return isinstance(given, Mapping) and SALINITY in given


def run_addition(arguments: argparse.Namespace) -> int:
    """Answer what the water is after products are added."""
    k, k_low = load_constants(), load_constants("WA2019")

    def answer(given: Any) -> dict[str, Any]:
        if of_the_sea(given):
            raise InputError(SALINITY, "nothing is computed of products in sea water")
        return describe_additions(k, k_low, *additions_from(given))

    flags = water_flags(arguments)
    if arguments.volume_m3 is not None:
        flags["volume_m3"] = arguments.volume_m3
    if arguments.add is not None:
        flags["additions"] = [named_words(text, "--add") for text in arguments.add]
    if arguments.fresh_water is not None:
        flags["fresh_water"] = named_words(arguments.fresh_water, "--fresh-water")
    return answer_question(arguments, flags, REQUIRED, answer, told_addition)


def water_flags(arguments: argparse.Namespace) -> dict[str, Any]:
    """Give the water that stands in flags."""
    return {name: value for name in BOUNDS if (value := getattr(arguments, name)) is not None}


def named_words(text: str, flag: str) -> dict[str, Any]:
    """Read one flag's text: words of the form name=value."""
    entry: dict[str, Any] = {}
    for word in text.split():
        name, mark, value = word.partition("=")
        if not mark:
            raise InputError(flag, f"{word[:40]!r} is not of the form name=value")
        try:
            entry[name] = value if name in WORDS else float(value)
        except ValueError as error:
            raise InputError(flag, f"{name}: {value[:40]!r} is not a number") from error
    return entry


def told_water(given: dict[str, Any], answer: dict[str, Any]) -> list[str]:
    """Tell a water: a short table, what was taken as zero, what to be wary of."""
    lines = table([{**given, **answer}], []) + zeros(answer)
    return lines + [noted(one) for one in answer["findings"]]


def told_addition(given: dict[str, Any], answer: dict[str, Any]) -> list[str]:
    """Tell the water before, after and after use; what must not meet stands first."""
    waters = [{**given, **answer["before"]}, answer["after"], answer["after_use"]]
    heads = ["before", "after", "after use"]
    if answer["after_other_route"] is not None:
        waters.append(answer["after_other_route"])
        heads.append("other route")
    lines = table(waters, heads)
    lines += [f"Assumed: {text}" for text in answer["assumed"]]
    lines += [
        f"Caution: {added['product']} is {added['method']}."
        for added in answer["added"]
        if added["method"] != "by-hand"
    ]
    findings = list(answer["findings"])
    findings += [one for one in answer["after"]["findings"] if one not in findings]
    lines += zeros(answer) + [noted(one) for one in findings if one["id"] != MEETING]
    meetings = [noted(one, "MUST NOT MEET") for one in findings if one["id"] == MEETING]
    return [*meetings, *lines, CAUTION]


def zeros(answer: dict[str, Any]) -> list[str]:
    """Tell what was not given."""
    names = ", ".join(answer["assumed_zero"])
    return [f"Not given, taken as zero: {names}"] if names else []


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
