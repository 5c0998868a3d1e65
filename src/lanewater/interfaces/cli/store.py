"""`lanewater store`: make a PostgreSQL server ready to hold the record."""

from __future__ import annotations

import argparse
import os
import sys

from lanewater.interfaces.cli.folder import config_of
from lanewater.interfaces.cli.lines import write_answer
from lanewater.service.preparing import prepare

OWNER_SETTING = "LANEWATER_STORE_OWNER"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Describe the command's arguments."""
    verbs = parser.add_subparsers(dest="verb", required=True)
    ready = verbs.add_parser(
        "prepare", help="make the tables as their owner, or bring them to the present form"
    )
    ready.add_argument(
        "--owner",
        metavar="ADDRESS",
        help=f"how the owner of the tables signs in (default: {OWNER_SETTING})",
    )


def run(arguments: argparse.Namespace) -> int:
    """Prepare the store."""
    owner = arguments.owner or os.environ.get(OWNER_SETTING, "")
    made = prepare(config_of(arguments), owner)
    if arguments.json:
        write_answer(made)
    else:
        sys.stdout.write(
            f"The schema {made['schema']} is ready, form {made['form']}. The role {made['role']} "
            "may add to the record and cannot change it.\n"
        )
    return 0
