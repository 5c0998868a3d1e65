"""`lanewater due`: what is to be tested and done today, in the order of time."""

from __future__ import annotations

import argparse
import sys
from typing import Any

from lanewater.interfaces.cli.folder import sheet_head, shell_book
from lanewater.interfaces.cli.lines import write_answer
from lanewater.service.duties import due_page

TITLES = {"mine": "Due today", "others": "For others", "later": "Later"}
NO_WORDS = {"round": "Test the water.", "opened-before-test": "Opened before any test of the day."}


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Describe the command's arguments."""
    parser.add_argument("--person", default="", help="id of the person whose list it is")


def run(arguments: argparse.Namespace) -> int:
    """Print the list."""
    with shell_book(arguments) as book:
        answer = due_page(book, book.clock(), arguments.person)
        if arguments.json:
            write_answer(answer)
            return 0
        sys.stdout.write(sheet_head(book))
        for part, title in TITLES.items():
            if part == "mine" or answer[part]:
                sys.stdout.write(f"{title}:\n{lines_of(answer[part])}")
    return 0


def lines_of(rows: list[dict[str, Any]]) -> str:
    """Write rows, each in a line: state, until when, pool, what, clause."""
    if not rows:
        return "  nothing\n"
    return "".join(f"  {line_of(row)}\n" for row in rows)


def line_of(row: dict[str, Any]) -> str:
    """Write one row."""
    asked = "; ".join(reason["detail"] or reason["why"] for reason in row["reasons"])
    what = NO_WORDS["round"] if asked else row["words"] or NO_WORDS.get(row["kind"], row["kind"])
    clause = f"  [{asked or row['clause']}]" if asked or row["clause"] else ""
    return f"{row['state']:<8} {row['due'][:16]}Z  {row['name']}: {what}  ({row['id']}){clause}"
