"""`lanewater backup`: copy the record so that the copy is proved whole."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from lanewater.interfaces.cli.folder import actor_named, config_of, shell_book
from lanewater.interfaces.cli.lines import write_answer
from lanewater.service.backup import make_backup


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Describe the command's arguments."""
    parser.add_argument("folder", help="a folder that is not there yet, on another disk")
    parser.add_argument(
        "--without-keys", action="store_true", help="leave out what signs in the site's name"
    )
    parser.add_argument("--by", help="who makes it: id, initials or name")


def run(arguments: argparse.Namespace) -> int:
    """Make the backup."""
    with shell_book(arguments) as book:
        told = make_backup(
            book,
            config_of(arguments),
            actor_named(book, arguments.by),
            Path(arguments.folder),
            with_keys=not arguments.without_keys,
        )
    if arguments.json:
        write_answer(told)
    else:
        sys.stdout.write(
            f"{told['lines']} lines in {told['backup']}, verified line by line. It holds names"
            f"{'' if arguments.without_keys else ' and keys'}: keep it as you keep the record.\n"
        )
    return 0
