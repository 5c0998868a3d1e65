"""`lanewater judge --all-rules`: one round under every pack, as a table or as JSON Lines."""

from __future__ import annotations

import sys
from collections.abc import Callable
from typing import Any

from lanewater.interfaces.cli.lines import answer_lines, each_line, write_answer
from lanewater.rules.side_by_side import under_all
from lanewater.service.packs import load_pack, pack_ids
from lanewater.terms.errors import InputError, LanewaterError
from lanewater.terms.jsontext import read_json

SAYS = {
    "at-least": "at least",
    "at-most": "at most",
    "above": "above",
    "below": "below",
    "equals": "is to be",
}


def judge_under_all(case_of: Callable[[Any], dict[str, Any]], *, as_json: bool) -> int:
    """Judge every line of standard input under every pack.

    Parameters
    ----------
    case_of : callable
        From one parsed line to its case.
    as_json : bool
        One JSON answer a line, else a table a line.

    Returns
    -------
    int
        0, or 1 where some line could not be read.
    """
    packs = [load_pack(identity) for identity in pack_ids()]
    if as_json:
        return answer_lines(lambda given: under_all(packs, case_of(given)))
    code = 0
    for number, line in enumerate(each_line(sys.stdin.buffer), start=1):
        try:
            if line is None:
                raise InputError("", "the line is longer than a million characters")
            sys.stdout.write(table_of(under_all(packs, case_of(read_json(line)))))
        except LanewaterError as error:
            write_answer({"line": number, "error": str(error)})
            code = 1
    return code


def table_of(answer: dict[str, Any]) -> str:
    """Write the answer as a table: rules, how well they were read, the outcome, what fails."""
    lines = [f"Everyone out: {stop['why']}" for stop in answer["stops"]]
    for row in answer["under"]:
        status = row["status"] if row["law"] else "no law"
        lines.append(f"{row['rules']:<20} {status:<10} {row['overall']:<24} {why_of(row)}".rstrip())
    lines.append("Which rules apply is for you and your authority to say. Historic: not in force.")
    return "\n".join(lines) + "\n"


def why_of(row: dict[str, Any]) -> str:
    """Say in one line what fails, or else what is not judged."""
    if row["fails"]:
        return "; ".join(
            f"{fail['parameter']} {fail['value']}, {SAYS[fail['comparison']]} "
            f"{fail.get('worked') or fail['limit']} ({fail['clause']})"
            for fail in row["fails"]
        )
    if row["overall"] == "not-judged":
        return "; ".join(f"{gap['parameter']}: {gap['why']}" for gap in row["not_judged"][:2])
    return ""
