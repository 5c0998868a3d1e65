"""`lanewater site duty` and `lanewater site closed-days`: what the site has done, and when not."""

from __future__ import annotations

import argparse
import sys
from typing import Any

from lanewater.interfaces.cli.folder import sheet_head
from lanewater.interfaces.cli.lines import write_answer
from lanewater.service.actor import SHELL
from lanewater.service.book import Book
from lanewater.service.duties import closed_days_told, duties_told
from lanewater.service.set_up import add
from lanewater.terms.errors import InputError, MissingError
from lanewater.terms.words import DUTY_KINDS, ROLES

UNITS = ("days", "weeks", "months", "years")


def add_duties(verbs: Any) -> None:
    """Describe the arguments of both verbs."""
    duty = verbs.add_parser("duty", help="what the site has done every so often")
    deeds = duty.add_subparsers(dest="deed", required=True)
    deeds.add_parser("list", help="the duties of the site")
    adding = deeds.add_parser("add", help="set a duty up; the same id again supersedes it")
    adding.add_argument("name", help="what is to be done")
    adding.add_argument("--kind", choices=DUTY_KINDS, required=True)
    adding.add_argument("--every", metavar="N-UNIT", help="such as 1-weeks or 3-months")
    adding.add_argument("--from", dest="first", metavar="DATE", help="when it is due first")
    adding.add_argument("--pool", help="id of the pool; left out for the whole site")
    adding.add_argument("--role", choices=ROLES, help="who is asked")
    adding.add_argument("--id", dest="duty", help="made from the name where left out")
    ending = deeds.add_parser("end", help="ask for a duty no more")
    ending.add_argument("duty", help="its id")
    closed = verbs.add_parser("closed-days", help="days on which nothing opens")
    closed.add_argument("days", nargs="*", metavar="DATE", help="all of them; none shows them")
    closed.add_argument("--none", action="store_true", help="there are none any more")
    closed.add_argument("--pool", help="id of the pool; left out for the whole site")


def run_duty(arguments: argparse.Namespace, book: Book) -> int:
    """Set up, end or list duties."""
    if arguments.deed == "list":
        return show_rows(arguments, book, duties_told(book.state), duty_line)
    if arguments.deed == "end":
        known = {row["duty"]: row for row in duties_told(book.state)}
        if arguments.duty not in known:
            raise MissingError(f"there is no duty {arguments.duty!r} here")
        answer = add(book, SHELL, "duty", known[arguments.duty] | {"gone": True})
        return said(arguments, answer, f"{arguments.duty} is asked for no more.")
    typed = {
        "name": arguments.name,
        "kind": arguments.kind,
        "duty": arguments.duty,
        "pool": arguments.pool,
        "role": arguments.role,
        "from": arguments.first,
        "every": every_of(arguments.every),
    }
    item = {key: value for key, value in typed.items() if value is not None}
    answer = add(book, SHELL, "duty", item)
    return said(arguments, answer, f"The duty {answer['id']} is set up.")


def every_of(text: str | None) -> dict[str, int] | None:
    """Read how often: 1-weeks."""
    if text is None:
        return None
    number, _, unit = text.partition("-")
    if not number.isdecimal() or unit not in UNITS:
        raise InputError("--every", f"{text!r} is not such as 1-weeks; units: {', '.join(UNITS)}")
    return {unit: int(number)}


def run_closed_days(arguments: argparse.Namespace, book: Book) -> int:
    """Set the closed days anew, or show them."""
    if not arguments.days and not arguments.none:
        return show_rows(arguments, book, closed_days_told(book.state), closed_line)
    item: dict[str, Any] = {"days": [{"day": day} for day in arguments.days]}
    if arguments.pool is not None:
        item["pool"] = arguments.pool
    answer = add(book, SHELL, "closed-days", item)
    return said(arguments, answer, f"{len(arguments.days)} closed days are set.")


def duty_line(row: dict[str, Any]) -> str:
    """Write one duty."""
    every = " ".join(f"every {count} {unit}" for unit, count in row.get("every", {}).items())
    parts = (row["duty"], row["name"], row["kind"], every, row.get("from", ""))
    return "  ".join(part for part in (*parts, row.get("pool", ""), row.get("role", "")) if part)


def closed_line(row: dict[str, Any]) -> str:
    """Write the closed days of the site or of a pool."""
    return f"{row.get('pool', 'site')}: {', '.join(one['day'] for one in row['days'])}"


def show_rows(arguments: argparse.Namespace, book: Book, rows: Any, write: Any) -> int:
    """Print rows for a program or for a person."""
    if arguments.json:
        write_answer(rows)
    else:
        sys.stdout.write(sheet_head(book) + "".join(f"{write(row)}\n" for row in rows))
    return 0


def said(arguments: argparse.Namespace, answer: dict[str, str], words: str) -> int:
    """Print what was set up."""
    if arguments.json:
        write_answer(answer)
    else:
        sys.stdout.write(f"{words}\n")
    return 0
