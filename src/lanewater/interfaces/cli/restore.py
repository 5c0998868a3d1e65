"""`lanewater restore`: put a backup in place, or decide to go on from an older record."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import Any

from lanewater.interfaces.cli.folder import actor_named, config_of, shell_book
from lanewater.interfaces.cli.lines import write_answer
from lanewater.service.bundle_read import stamp_text
from lanewater.service.clock import system_clock
from lanewater.service.importing import import_bundle
from lanewater.service.restore import accept_restored, restore_backup
from lanewater.terms.errors import InputError


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Describe the command's arguments."""
    parser.add_argument("backup", nargs="?", help="the folder that `lanewater backup` made")
    parser.add_argument(
        "--bundle", action="store_true", help="the folder is what `lanewater export` made"
    )
    parser.add_argument(
        "--replace", action="store_true", help="move the record that is there aside"
    )
    parser.add_argument(
        "--stamp",
        action="append",
        default=[],
        metavar="FILE",
        help="a stamp held elsewhere that it must reach; may be given again",
    )
    parser.add_argument(
        "--accept-key",
        action="append",
        default=[],
        metavar="HEX",
        help="with --bundle: a log key somebody answers for",
    )
    parser.add_argument(
        "--accept", action="store_true", help="go on from an older record than was seen here"
    )
    parser.add_argument("--reason", default="", help="with --accept: why; it stands in the record")
    parser.add_argument("--by", help="who decides: id, initials or name")


def run(arguments: argparse.Namespace) -> int:
    """Put a backup in place, decide, or both."""
    if arguments.backup is None and not arguments.accept:
        raise InputError("backup", "name the backup's folder, or say --accept")
    told: dict[str, Any] = {}
    if arguments.backup is not None:
        told |= put_back(arguments)
    if arguments.accept:
        with shell_book(arguments) as book:
            actor = actor_named(book, arguments.by)
            told |= accept_restored(book, actor, arguments.reason) | {"trouble": ""}
    if arguments.json:
        write_answer(told)
    else:
        sys.stdout.write("".join(f"{line}\n" for line in in_words(told)))
    return 0


def put_back(arguments: argparse.Namespace) -> dict[str, Any]:
    """Put a backup or a bundle in place."""
    config, folder = config_of(arguments), Path(arguments.backup)
    stamps = [stamp_text(Path(name)) for name in arguments.stamp]
    if arguments.bundle:
        accepted = frozenset(arguments.accept_key)
        told = import_bundle(config, folder, outside=stamps, accepted=accepted)
        return {"restored": told["lines"], "moved": "", "trouble": "", "names": told["names"]}
    return restore_backup(
        config, folder, now_ms=system_clock(), replace=arguments.replace, outside=stamps
    )


def in_words(told: dict[str, Any]) -> list[str]:
    """Say what was done and what is to be done now."""
    lines = []
    if "restored" in told:
        lines.append(f"{told['restored']} lines are in place, verified line by line.")
    if told.get("moved"):
        lines.append(f"The record that was there lies in {told['moved']}.")
    if "names" in told:
        lines.append(
            "Keys are not in a bundle: bring keys/ over, or `lanewater keys rotate --lost`. "
            "PINs are not either: set them again."
        )
    if told.get("trouble"):
        lines.append(told["trouble"])
    if "held_size" in told:
        lines.append(
            f"Decided, and on record: it goes on from line {told['size']}; {told['held_size']} "
            "were seen before. Devices send again what is missing when they next connect. A "
            "device that was revoked since must be revoked again."
        )
    return lines
