"""`lanewater site authority`: who decides what at this site, shown and changed."""

from __future__ import annotations

import argparse
import sys
from typing import Any

from lanewater.interfaces.cli.folder import sheet_head
from lanewater.interfaces.cli.lines import write_answer
from lanewater.service.actor import SHELL
from lanewater.service.book import Book
from lanewater.service.matrix import matrix_told, set_matrix
from lanewater.terms.words import DECISION_ANSWERS, DECISIONS, ROLES

WIDTH = 17


def add_authority(verbs: Any) -> None:
    """Describe the verb's arguments."""
    authority = verbs.add_parser("authority", help="who decides what here, by role")
    deeds = authority.add_subparsers(dest="deed", required=True)
    deeds.add_parser("show", help="the matrix of decisions and roles")
    setting = deeds.add_parser("set", help="change one answer, from now on")
    setting.add_argument("decision", choices=DECISIONS)
    setting.add_argument("role", choices=ROLES)
    setting.add_argument("answer", choices=DECISION_ANSWERS)


def run_authority(arguments: argparse.Namespace, book: Book) -> int:
    """Show or change the matrix."""
    if arguments.deed == "set":
        row = {key: getattr(arguments, key) for key in ("decision", "role", "answer")}
        answer = set_matrix(book, SHELL, {"rows": [row]})
        if not arguments.json:
            sys.stdout.write(f"{row['decision']}, {row['role']}: {row['answer']} from now on.\n")
            return 0
    else:
        answer = matrix_told(book)
    if arguments.json:
        write_answer(answer)
    else:
        sys.stdout.write(sheet_head(book) + table_of(answer["rows"]))
    return 0


def table_of(rows: list[dict[str, Any]]) -> str:
    """Write the matrix as a table; a star marks an answer that is not the default."""
    lines = ["".join(word.ljust(WIDTH) for word in ("", *ROLES)).rstrip()]
    for row in rows:
        cells = [row["answers"][role] + ("*" if role in row["changed"] else "") for role in ROLES]
        lines.append("".join(word.ljust(WIDTH) for word in (row["decision"], *cells)).rstrip())
    lines.append("delegated: where a person was delegated to open. competent: where a competence")
    lines.append("covers it. *: changed here. Recording, calling everyone out and starting an")
    lines.append("incident cannot be taken from anybody.")
    return "\n".join(lines) + "\n"
