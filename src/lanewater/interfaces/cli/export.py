"""`lanewater export`: write the whole record as a bundle that anybody can verify."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from lanewater.interfaces.cli.folder import actor_named, shell_book
from lanewater.interfaces.cli.lines import write_answer
from lanewater.service.export import export_bundle


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Describe the command's arguments."""
    parser.add_argument("bundle", help="a folder that is not there yet")
    parser.add_argument(
        "--with-names", action="store_true", help="put names and phones in beside the record"
    )
    parser.add_argument("--by", help="who exports: id, initials or name")


def run(arguments: argparse.Namespace) -> int:
    """Write the bundle."""
    with shell_book(arguments) as book:
        told = export_bundle(
            book,
            actor_named(book, arguments.by),
            Path(arguments.bundle),
            with_names=arguments.with_names,
        )
    if arguments.json:
        write_answer(told)
    else:
        sys.stdout.write(
            f"{told['lines']} lines in {told['bundle']}. Verify: lanewater verify "
            f"{told['bundle']}, or verify.py or verify.html of the documentation.\n"
        )
    return 0
