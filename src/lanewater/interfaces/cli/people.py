"""`lanewater people`: forget a person's name for good."""

from __future__ import annotations

import argparse
import sys
from typing import Any

from lanewater.interfaces.cli.folder import shell_book
from lanewater.interfaces.cli.lines import write_answer
from lanewater.service.actor import SHELL
from lanewater.service.people_forget import forget_person

DOES_NOT_HOLD = 4


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Describe the command's arguments."""
    verbs = parser.add_subparsers(dest="verb", required=True)
    forget = verbs.add_parser("forget", help="name, initials, phone, PIN and sessions go for good")
    forget.add_argument("person", help="the person's id, which stays on record")


def run(arguments: argparse.Namespace) -> int:
    """Forget a person."""
    with shell_book(arguments) as book:
        told = forget_person(book, SHELL, arguments.person)
    if arguments.json:
        write_answer(told)
    else:
        sys.stdout.write("".join(f"{line}\n" for line in words_for(told)))
    if told["traces"] == "left":
        sys.stderr.write(
            "Traces of the name still lie in the store's files: another program reads them, or "
            "the disk is full. Run the same command again.\n"
        )
        return DOES_NOT_HOLD
    return 0


def words_for(told: dict[str, Any]) -> list[str]:
    """Say what went and what did not."""
    lines = [f"Forgotten: pages and sheets now show {told['shown_as']!r}."]
    if told["contacts"]:
        lines.append(f"Gone from the phone list too: {', '.join(told['contacts'])}.")
    if told["stands_in"]:
        lines.append(
            "The name or the phone was typed into entries that cannot be changed: "
            f"{', '.join(told['stands_in'])}."
        )
    return [*lines, "Older backups, exports and prints still hold the name."]
