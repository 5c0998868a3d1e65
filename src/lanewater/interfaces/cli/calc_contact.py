"""`lanewater calc contact-time`: what readings add up to, what is left, and not before when."""

from __future__ import annotations

import argparse
from functools import cache
from typing import Any

from lanewater.interfaces.cli.calc_question import add_question, answer_question, noted
from lanewater.rules.contact_time import answer_contact
from lanewater.service.constants import load_table
from lanewater.service.packs import load_pack
from lanewater.terms.errors import InputError

EXAMPLE = (
    '{"rules": "ca-qc", "procedure": "loose-stool", "readings":'
    ' [{"at": "2026-07-01T20:00:00-04:00", "free_chlorine": "20.4", "point": "deep"}]}'
)
READING_HELP = (
    "one reading, such as 'at=2026-07-01T20:00:00-04:00 free_chlorine=20.4 ph=7.3"
    " temperature_c=27.5 point=deep'; may stand several times"
)
TEXTS = (
    "target-ct-mg-min-l",
    "pathogen",
    "edition",
    "log-inactivation",
    "rules",
    "procedure",
    "route",
    "cyanuric-acid",
)
CAUTION = (
    "Everyone stays out. The rules' own steps stand, in their order and in full; this adds up"
    " readings and ends nothing. Who may reopen decides, when what the rules ask is met."
)


def add_contact(parser: argparse.ArgumentParser) -> None:
    """Describe the arguments that hold a question about a contact time."""
    add_question(parser, EXAMPLE)
    for name in TEXTS:
        parser.add_argument(f"--{name}", metavar="TEXT")
    parser.add_argument("--reading", action="append", metavar="TEXT", help=READING_HELP)


def run_contact(arguments: argparse.Namespace) -> int:
    """Answer what a contact time has come to."""
    k = load_table("contact_time")
    pack = cache(load_pack)

    def answer(given: Any) -> dict[str, Any]:
        return answer_contact(k, pack, given)

    keys = [name.replace("-", "_") for name in TEXTS]
    flags = {key: value for key in keys if (value := getattr(arguments, key)) is not None}
    if arguments.reading is not None:
        flags["readings"] = [reading_text(text) for text in arguments.reading]
    return answer_question(arguments, flags, ("reading",), answer, told_contact)


def reading_text(text: str) -> dict[str, str]:
    """Read one --reading text: words of the form name=value."""
    entry = {}
    for word in text.split():
        name, mark, value = word.partition("=")
        if not mark:
            raise InputError("--reading", f"{word[:40]!r} is not of the form name=value")
        entry[name] = value
    return entry


def told_contact(_given: dict[str, Any], answer: dict[str, Any]) -> list[str]:
    """Tell a contact time: the figures, every route in the rules' order, what to be wary of."""
    lines = []
    if "procedure" in answer:
        lines += [
            f"{answer['rules']} ({answer['status']}), {answer['clause']}: {answer['words']}",
            *(f"  {told_route(route)}" for route in answer["routes"]),
            f"Reopening: {answer['reopen'] or 'see the rules'}",
        ]
    else:
        lines.append(told_route({**answer, "words": "Contact time"}))
    counted, straight = answer["ct_conservative_mg_min_l"], answer["ct_trapezoid_mg_min_l"]
    lines += [
        f"Counted: {counted:.1f} mg min/L, the lowest point, each stretch at its lower end.",
        f"Note: by straight lines it would be {straight:.1f}; that drives nothing.",
    ]
    lines += [f"Assumed: {text}" for text in answer["assumed"]]
    lines += told_findings(answer)
    return [*lines, CAUTION]


def told_route(route: dict[str, Any]) -> str:
    """Tell one route in a line."""
    target = route["target_ct_mg_min_l"]
    head = route["words"] + ("" if target is None else f", {target:.0f} mg min/L")
    if route["reachable"] is False:
        return f"{head}: cannot be reached from here."
    if route["reached_at"] is not None:
        return f"{head}: complete at {route['reached_at']}."
    if route["not_before"] is None:
        return f"{head}: no time can be told."
    left = f"{route['remaining_mg_min_l']:.1f} left"
    return f"{head}: {left}, not before {route['not_before']}, if the next reading holds."


def told_findings(answer: dict[str, Any]) -> list[str]:
    """Tell the findings; those of one route alone under its name."""
    routes = answer.get("routes", [])
    shared = [
        one for one in answer["findings"] if all(one in route["findings"] for route in routes)
    ]
    lines = [noted(one) + told_times(one) for one in shared]
    for route in routes:
        own = [one for one in route["findings"] if one not in shared]
        lines += [noted(one, route["route"]) + told_times(one) for one in own]
    return lines


def told_times(finding: dict[str, Any]) -> str:
    """Tell which readings a finding is about."""
    return f" [{', '.join(finding['at'])}]" if finding.get("at") else ""
