"""`lanewater keys`: which keys the record names, and a new one for its stamps."""

from __future__ import annotations

import argparse
import sys
from typing import Any

from lanewater.interfaces.cli.folder import actor_named, shell_book
from lanewater.interfaces.cli.lines import write_answer
from lanewater.records.signing import ALGORITHM
from lanewater.service.book import Book
from lanewater.service.log_key import rotate_log_key
from lanewater.service.stamping import signs
from lanewater.terms.instants import instant_text


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Describe the command's arguments."""
    verbs = parser.add_subparsers(dest="verb", required=True)
    verbs.add_parser("list", help="every key that the record names, public halves only")
    rotate = verbs.add_parser("rotate", help="a new key for stamps and receipts, on record")
    rotate.add_argument("--lost", action="store_true", help="the old key is gone")
    rotate.add_argument("--by", help="who decides: id, initials or name")


def run(arguments: argparse.Namespace) -> int:
    """Run one verb."""
    with shell_book(arguments) as book:
        answer, words = VERBS[arguments.verb](book, arguments)
    if arguments.json:
        write_answer(answer)
    else:
        sys.stdout.write("".join(f"{line}\n" for line in words))
    return 0


def list_keys(book: Book, _arguments: argparse.Namespace) -> tuple[Any, list[str]]:
    """List the keys of the log and of the devices, oldest first."""
    state = book.state
    log = [
        {
            "public_key": key.public_key,
            "algorithm": ALGORITHM,
            "since_line": key.since_index,
            "until_line": key.until_index,
        }
        for key in state.log_keys
    ]
    devices = [
        {
            "device": device.id,
            "name": device.name,
            "kind": device.kind,
            "algorithm": device.algorithm,
            "public_key": device.public_key,
            "revoked_at": None if device.revoked_ms is None else instant_text(device.revoked_ms),
        }
        for device in state.devices.values()
    ]
    here = signs(book)
    return {"log": log, "devices": devices, "log_key_here": here}, [
        *[log_words(row) for row in log],
        *[device_words(row) for row in devices],
        *([] if here else ["The log's key on record is not here: nothing is stamped."]),
    ]


def log_words(row: dict[str, Any]) -> str:
    """Say what one key of the log signed."""
    until = "in use" if row["until_line"] is None else f"until line {row['until_line']}"
    since = f"since line {row['since_line']}, {until}"
    return f"log     {since}  {row['algorithm']}  {row['public_key']}"


def device_words(row: dict[str, Any]) -> str:
    """Say what one device signs with."""
    key = row["public_key"] or "signs nothing; the server signs for it"
    gone = f", revoked {row['revoked_at']}" if row["revoked_at"] else ""
    return (
        f"device  {row['device']} ({row['name']}, {row['kind']}{gone})  {row['algorithm']}  {key}"
    )


def rotate(book: Book, arguments: argparse.Namespace) -> tuple[Any, list[str]]:
    """Make a new key of the log."""
    made = rotate_log_key(book, actor_named(book, arguments.by), lost=arguments.lost)
    words = [f"The record is stamped with a new key from here on: {made['public_key']}"]
    if not made["word"]:
        words.append(
            "The old key gave no word for it: every verifier asks for it by a person. Write it "
            "down, sign for it, and hand it to whoever holds older stamps."
        )
    return made, words


VERBS = {"list": list_keys, "rotate": rotate}
