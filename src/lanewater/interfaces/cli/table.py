"""A table of samples held against local rules, row by row, beside its official verdicts."""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, BinaryIO

from lanewater.interfaces.cli.lines import write_answer
from lanewater.service.limited import rows_in_child
from lanewater.terms.errors import InputError, LanewaterError, MissingError
from lanewater.terms.parameters import PARAMETERS

OFFICIAL = "official_compliant"
RowJudge = Callable[[dict[str, str], str | None], dict[str, Any]]


def judge_table(path: str, columns: str, judge: RowJudge, *, as_json: bool) -> int:
    """Judge every row of a CSV file and count the agreement with its official verdicts.

    Parameters
    ----------
    path : str
        CSV in UTF-8 with a header; commas, or semicolons, between cells.
    columns : str
        "name=parameter,..." for columns under another name.
    judge : callable
        From the readings of a row and its time to an answer.
    as_json : bool
        One JSON line a row on standard output; otherwise a summary in words.

    Returns
    -------
    int
        0, or 1 where some row could not be read.
    """
    tally: Counter[str] = Counter()
    with table_file(path) as file:
        for number, answer in judged_rows(file, mapping_of(columns), judge):
            count(tally, answer)
            if as_json:
                write_answer(answer)
            elif "error" in answer:
                sys.stderr.write(f"line {number}: {answer['error']}\n")
    (sys.stderr if as_json else sys.stdout).write(summary(tally))
    return 1 if tally["unread"] else 0


def table_file(path: str) -> BinaryIO:
    """Open a table."""
    try:
        return Path(path).open("rb", buffering=0)
    except OSError as error:
        raise MissingError(f"--table: {path} cannot be read: {error.strerror}") from None


def mapping_of(columns: str) -> dict[str, str]:
    """Read --columns."""
    mapping: dict[str, str] = {}
    for pair in filter(None, columns.split(",")):
        name, mark, parameter = pair.partition("=")
        if not mark or parameter not in PARAMETERS:
            known = ", ".join(PARAMETERS)
            raise InputError("--columns", f"{pair!r}: NAME=PARAMETER is wanted, one of {known}")
        if name in mapping or parameter in mapping.values():
            raise InputError("--columns", f"{pair!r} stands twice")
        mapping[name] = parameter
    return mapping


def judged_rows(
    file: BinaryIO, mapping: dict[str, str], judge: RowJudge
) -> Iterator[tuple[int, dict[str, Any]]]:
    """Give line number and answer of every row; an empty line is no row."""
    for line, row, why in table_rows(file, mapping):
        yield line, {"line": line, "error": why} if why else judged_row(row, judge, line)


def table_rows(
    file: BinaryIO, mapping: dict[str, str]
) -> Iterator[tuple[int, dict[str, str], str]]:
    """Give line number, cells by name, and why it cannot be read ("" where it can), of every row.

    An empty line is no row.
    """
    rows = rows_in_child(file, "--table")
    _, header, _ = next(rows, (0, [], ""))
    if not header:
        raise InputError("--table", "the file is empty")
    names = header_names(header, mapping)
    for line, cells, why in rows:
        if why:
            yield line, {}, why
        elif cells and len(cells) != len(names):
            yield line, {}, f"{len(cells)} cells, where the header has {len(names)}"
        elif cells:
            cell_of = zip(names, cells, strict=True)
            yield line, {name: cell.strip() for name, cell in cell_of}, ""


def readings_in(row: dict[str, str]) -> dict[str, str]:
    """Give what was read in a row."""
    return {name: cell for name, cell in row.items() if name in PARAMETERS and cell}


def header_names(header: list[str], mapping: dict[str, str]) -> list[str]:
    """Give each column's parameter, or its own name where it is carried along."""
    names = [name.strip() for name in header]
    for name in mapping:
        if name not in names:
            raise InputError("--columns", f"the table has no column {name!r}")
    mapped = [mapping.get(name, name) for name in names]
    for name in mapped:
        if mapped.count(name) > 1:
            raise InputError("--table", f"the column {name!r} stands twice")
    carried = [name for name in mapped if name not in PARAMETERS and name not in (OFFICIAL, "at")]
    if carried:
        sys.stderr.write(f"carried along, not judged: {', '.join(carried)}\n")
    return mapped


def judged_row(row: dict[str, str], judge: RowJudge, line: int) -> dict[str, Any]:
    """Judge one row."""
    try:
        answer = judge(readings_in(row), row.get("at") or None)
        official = official_of(row)
    except LanewaterError as error:
        return {"line": line, "error": str(error)}
    return {
        **answer,
        "row": {name: cell for name, cell in row.items() if name not in PARAMETERS},
        "agrees": agreement(official, answer["overall"]),
    }


def official_of(row: dict[str, str]) -> bool | None:
    """Read the official verdict of a row: 1, 0 or none."""
    text = row.get(OFFICIAL, "")
    if text not in ("", "0", "1"):
        raise InputError(OFFICIAL, f"{text!r}: 1 or 0 is wanted")
    return None if text == "" else text == "1"


def agreement(official: bool | None, overall: str) -> bool | None:
    """Tell whether the official verdict and ours agree; None where one of them is absent."""
    if official is None or overall == "not-judged":
        return None
    return official == overall.startswith("meets")


def count(tally: Counter[str], answer: dict[str, Any]) -> None:
    """Add one answer to the counts."""
    if "error" in answer:
        tally["unread"] += 1
        return
    tally["rows"] += 1
    tally[answer["overall"]] += 1
    if answer["agrees"] is not None:
        tally["compared"] += 1
        tally["agree"] += answer["agrees"]


def summary(tally: Counter[str]) -> str:
    """Write the counts in words."""
    verdicts = ", ".join(
        f"{name} {number}"
        for name, number in sorted(tally.items())
        if name not in {"rows", "unread", "compared", "agree"}
    )
    lines = [f"{tally['rows']} rows: {verdicts or 'none'}"]
    if tally["unread"]:
        lines.append(f"{tally['unread']} rows could not be read")
    if tally["compared"]:
        share = 100 * tally["agree"] / tally["compared"]
        lines.append(
            f"agreement with the official verdict: {tally['agree']} of {tally['compared']} "
            f"judged rows ({share:.1f} %); not judged: {tally['not-judged']}"
        )
    return "\n".join(lines) + "\n"
