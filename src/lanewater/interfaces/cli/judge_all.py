"""`lanewater judge --all-rules`: one round under every pack, as a table or as JSON Lines."""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Callable
from typing import Any

from lanewater.interfaces.cli.lines import answer_lines, each_line, write_answer
from lanewater.interfaces.cli.table import mapping_of, readings_in, table_file, table_rows
from lanewater.rules.side_by_side import under_all
from lanewater.terms.errors import InputError, LanewaterError
from lanewater.terms.jsontext import read_json
from lanewater.terms.words import VERDICTS

ASIDE = "Which rules apply is for you and your authority to say. Historic: not in force."
SAYS = {
    "at-least": "at least",
    "at-most": "at most",
    "above": "above",
    "below": "below",
    "equals": "is to be",
}


def judge_under_all(
    case_of: Callable[[Any], dict[str, Any]], packs: list[dict[str, Any]], *, as_json: bool
) -> int:
    """Judge every line of standard input under every pack.

    Parameters
    ----------
    case_of : callable
        From one parsed line to its case.
    packs : list of dict
        Compiled packs, in the order in which they are told.
    as_json : bool
        One JSON answer a line, else a table a line.

    Returns
    -------
    int
        0, or 1 where some line could not be read.
    """
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


def judge_table_under_all(
    path: str,
    columns: str,
    case_of: Callable[[dict[str, str], str | None], dict[str, Any]],
    packs: list[dict[str, Any]],
    *,
    as_json: bool,
) -> int:
    """Judge every row of a CSV file under every pack, and count what comes out.

    Parameters
    ----------
    path, columns : str
        As `judge_table` takes them.
    case_of : callable
        From the readings of a row and its time to its case.
    packs : list of dict
        Compiled packs, in the order in which they are told.
    as_json : bool
        One JSON line a row; otherwise how often each outcome came, a line a pack.

    Returns
    -------
    int
        0, or 1 where some row could not be read.
    """
    tallies = [Counter[str]() for _ in packs]
    rows = unread = 0
    with table_file(path) as file:
        for line, row, why in table_rows(file, mapping_of(columns)):
            try:
                if why:
                    raise InputError("", why)
                answer = under_all(packs, case_of(readings_in(row), row.get("at") or None))
            except LanewaterError as error:
                unread += 1
                sys.stderr.write(f"line {line}: {error}\n")
                continue
            rows += 1
            for tally, under in zip(tallies, answer["under"], strict=True):
                tally[under["overall"]] += 1
            if as_json:
                write_answer({"line": line, **answer})
    if not as_json:
        sys.stdout.write(counted(packs, tallies, rows))
    return 1 if unread else 0


def counted(packs: list[dict[str, Any]], tallies: list[Counter[str]], rows: int) -> str:
    """Write how often each outcome came under each pack."""
    lines = [f"{rows} rows under each of {len(packs)} packs"]
    for pack, tally in zip(packs, tallies, strict=True):
        came = ", ".join(f"{name} {tally[name]}" for name in VERDICTS if tally[name])
        lines.append(f"{pack['id']:<20} {status_of(pack):<10} {came or 'none'}")
    return "\n".join([*lines, ASIDE]) + "\n"


def status_of(row: dict[str, Any]) -> str:
    """Say how well a pack was read, or that it is no law."""
    return str(row["status"]) if row["law"] else "no law"


def table_of(answer: dict[str, Any]) -> str:
    """Write the answer as a table: rules, how well they were read, the outcome, what fails."""
    lines = [f"Everyone out: {stop['why']}" for stop in answer["stops"]]
    for row in answer["under"]:
        begun = f"{row['rules']:<20} {status_of(row):<10} {row['overall']:<24}"
        lines.append(f"{begun} {why_of(row)}".rstrip())
    return "\n".join([*lines, ASIDE]) + "\n"


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
