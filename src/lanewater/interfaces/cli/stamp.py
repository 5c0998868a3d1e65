"""`lanewater stamp`: show the record's stamp, send it out of the building, compare an older one."""

from __future__ import annotations

import argparse
import os
import sys
from pathlib import Path
from typing import Any

from lanewater.interfaces.cli.folder import actor_named, bytes_of, shell_book
from lanewater.interfaces.cli.lines import write_answer
from lanewater.reports.code import BORDER, code_of
from lanewater.service.book import Book
from lanewater.service.stamp_out import by_relay, compare, relay_of, send_stamp
from lanewater.service.stamping import stamp
from lanewater.terms.errors import InputError, MissingError

DOES_NOT_HOLD = 4
RELAY = "LANEWATER_SMTP"
OUTCOMES = {
    "goes-on": "The record goes on from this stamp: its first {size} lines are what they were.",
    "rolled-back": "ROLLED BACK. The stamp covers {size} lines; the record has {lines}.",
    "changed": "CHANGED. The first {size} lines are no longer those that the stamp covers.",
    "another-record": "ANOTHER RECORD. The stamp is not of this site's record.",
    "not-signed": "NOT SIGNED by a key of this record, though it fits its first {size} lines.",
}


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Describe the command's arguments."""
    verbs = parser.add_subparsers(dest="verb", required=True)
    show = verbs.add_parser("show", help="the stamp of the record as it is now")
    show.add_argument("--qr", metavar="FILE", help="draw it too, as .svg or .png")
    send = verbs.add_parser("send", help="e-mail it to a mailbox that the site does not keep")
    send.add_argument("--to", required=True, metavar="ADDRESS")
    send.add_argument("--from", dest="sender", required=True, metavar="ADDRESS")
    send.add_argument("--smtp", metavar="HOST[:PORT]", help=f"the mail server (or {RELAY})")
    send.add_argument("--by", help="who sends: id, initials or name")
    held = verbs.add_parser("compare", help="hold the record to an older stamp")
    held.add_argument("stamp", metavar="FILE", help="a file, or - for standard input")


def run(arguments: argparse.Namespace) -> int:
    """Run one verb."""
    with shell_book(arguments) as book:
        if arguments.verb == "show":
            return show(book, arguments)
        if arguments.verb == "send":
            return send(book, arguments)
        return held_to(book, arguments)


def show(book: Book, arguments: argparse.Namespace) -> int:
    """Show the stamp."""
    note = stamp(book)
    if arguments.qr:
        draw(note, Path(arguments.qr))
    if arguments.json:
        write_answer({"stamp": note})
    else:
        sys.stdout.write(note)
    return 0


def draw(note: str, path: Path) -> None:
    """Draw a stamp as a QR code of medium error correction."""
    if path.suffix not in (".svg", ".png"):
        raise InputError("--qr", "must end in .svg or .png")
    try:
        code_of(note).save(str(path), scale=6, border=BORDER)
    except OSError as error:
        raise MissingError(f"{path} cannot be written: {error.strerror}") from None


def send(book: Book, arguments: argparse.Namespace) -> int:
    """Send the stamp."""
    named = arguments.smtp or os.environ.get(RELAY, "")
    if not named:
        raise InputError("--smtp", f"name the mail server, or set {RELAY}")
    told = send_stamp(
        book,
        actor_named(book, arguments.by),
        arguments.to,
        arguments.sender,
        by_relay(relay_of(named, "--smtp")),
    )
    say(arguments, told, f"Sent: the stamp of {told['size']} lines.")
    return 0


def held_to(book: Book, arguments: argparse.Namespace) -> int:
    """Compare an older stamp."""
    try:
        text = bytes_of(arguments.stamp, "stamp").decode()
    except UnicodeDecodeError:
        raise InputError("stamp", "is no text") from None
    told = compare(book, text)
    say(arguments, told, OUTCOMES[told["outcome"]].format(**told))
    return 0 if told["outcome"] == "goes-on" else DOES_NOT_HOLD


def say(arguments: argparse.Namespace, told: dict[str, Any], words: str) -> None:
    """Give an answer for a program or for a person."""
    if arguments.json:
        write_answer(told)
    else:
        sys.stdout.write(words + "\n")
