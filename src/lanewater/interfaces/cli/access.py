"""`lanewater access`: keys for new devices, locked people let in again, who else may open."""

from __future__ import annotations

import argparse
import sys
from typing import Any

from lanewater.interfaces.cli.folder import shell_book
from lanewater.interfaces.cli.lines import write_answer
from lanewater.service.access import make_first_key, unlock
from lanewater.service.actor import SHELL
from lanewater.service.authority import authorities, end_authority, give_authority
from lanewater.service.book import Book
from lanewater.service.directory import devices
from lanewater.service.enrolment import revoke_device
from lanewater.terms.errors import InputError


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Describe the command's arguments."""
    verbs = parser.add_subparsers(dest="verb", required=True)
    verbs.add_parser("new", help="make a first key, good once, for a day")
    verbs.add_parser("devices", help="list the enrolled browsers")
    lost = verbs.add_parser("revoke", help="end a device: nothing it sends is recorded any more")
    lost.add_argument("device", help="the device's id")
    lost.add_argument("--lost-at", metavar="TIME", help="since when it is out of sight")
    locked = verbs.add_parser("unlock", help="let a locked person try again on a device")
    locked.add_argument("person", help="the person's id")
    locked.add_argument("device", help="the device's id")
    add_standing(verbs.add_parser("standing", help="who may open though it is not their part"))


def add_standing(parser: argparse.ArgumentParser) -> None:
    """Describe the arguments about standing permission to open."""
    deeds = parser.add_subparsers(dest="deed", required=True)
    giving = deeds.add_parser("give", help="let somebody open where every reading meets")
    giving.add_argument("person", help="the person's id")
    giving.add_argument("pools", nargs="+", metavar="pool", help="a pool's id")
    giving.add_argument("--from", dest="since", required=True, metavar="TIME", help="with offset")
    giving.add_argument("--until", required=True, metavar="TIME", help="at most 92 days later")
    deeds.add_parser("list", help="list what holds now or will")
    ending = deeds.add_parser("end", help="end one before its time")
    ending.add_argument("authority", help="its id, as the list gives it")


def run(arguments: argparse.Namespace) -> int:
    """Run one verb."""
    with shell_book(arguments) as book:
        answer, words = VERBS[arguments.verb](book, arguments)
    if arguments.json:
        write_answer(answer)
    else:
        sys.stdout.write("".join(f"{line}\n" for line in words))
    return 0


def new(book: Book, _arguments: argparse.Namespace) -> tuple[Any, list[str]]:
    """Make a first key."""
    key = make_first_key(book)
    return {"first_key": key}, [f"First key, shown this once, good for a day: {key}"]


def list_devices(book: Book, _arguments: argparse.Namespace) -> tuple[Any, list[str]]:
    """List the enrolled browsers."""
    rows = devices(book)
    return rows, [f"{row['id']}  {row['kind']}  {row['name']}" for row in rows]


def free(book: Book, arguments: argparse.Namespace) -> tuple[Any, list[str]]:
    """Let a locked person try again."""
    if arguments.person not in book.state.people:
        raise InputError("person", f"{arguments.person!r} is not on the list")
    if arguments.device not in {row["id"] for row in devices(book)}:
        raise InputError("device", f"{arguments.device!r} is not enrolled")
    unlock(book, SHELL, arguments.person, arguments.device)
    return {"person": arguments.person, "device": arguments.device}, ["Unlocked."]


def revoke(book: Book, arguments: argparse.Namespace) -> tuple[Any, list[str]]:
    """End a device."""
    if arguments.device not in {row["id"] for row in devices(book)}:
        raise InputError("device", f"{arguments.device!r} is not enrolled")
    revoke_device(book, SHELL, arguments.device, arguments.lost_at)
    return {"device": arguments.device}, ["Revoked. What it still sends is kept, not recorded."]


def standing(book: Book, arguments: argparse.Namespace) -> tuple[Any, list[str]]:
    """Give, list or end standing permission to open."""
    if arguments.deed == "list":
        found = authorities(book, book.clock())
        return found, [
            f"{row['authority']}  {row['person']}  {', '.join(row['pools'])}  "
            f"{row['from']} to {row['until']}"
            for row in found
        ]
    if arguments.deed == "end":
        end_authority(book, SHELL, {"authority": arguments.authority})
        return {"authority": arguments.authority}, ["Ended."]
    given = {
        "person": arguments.person,
        "pools": arguments.pools,
        "from": arguments.since,
        "until": arguments.until,
    }
    made = give_authority(book, SHELL, given)
    words = f"{arguments.person} may open where every reading meets: {made['authority']}"
    return made, [words]


VERBS = {
    "new": new,
    "devices": list_devices,
    "unlock": free,
    "revoke": revoke,
    "standing": standing,
}
