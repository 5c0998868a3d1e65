"""`lanewater inspection`: links by which an inspector reads one period without an account."""

from __future__ import annotations

import argparse
import sys
from typing import Any

from lanewater.interfaces.cli.folder import shell_book
from lanewater.interfaces.cli.lines import write_answer
from lanewater.interfaces.cli.record import edge
from lanewater.service.actor import SHELL
from lanewater.service.book import Book
from lanewater.service.clock import DAY_MS, instant_text
from lanewater.service.inspection import MOST_HOURS, end_link, list_links, make_link
from lanewater.terms.errors import InputError

HOURS = 72
YEAR_DAYS = 366


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Describe the command's arguments."""
    verbs = parser.add_subparsers(dest="verb", required=True)
    new = verbs.add_parser("new", help="make a link to one period of the record")
    new.add_argument("--from", dest="since", help="a date at the site; a year ago if left out")
    new.add_argument("--to", dest="until", help="a date (included); today if left out")
    new.add_argument("--hours", default=str(HOURS), help=f"how long it opens; {HOURS} if left out")
    verbs.add_parser("list", help="the links that were made, and whether each still opens")
    end = verbs.add_parser("end", help="end a link before its time")
    end.add_argument("link", help="the link, as list names it")


def run(arguments: argparse.Namespace) -> int:
    """Run one verb."""
    with shell_book(arguments) as book:
        answer, words = VERBS[arguments.verb](book, arguments)
    if arguments.json:
        write_answer(answer)
    else:
        sys.stdout.write("".join(f"{line}\n" for line in words))
    return 0


def new(book: Book, arguments: argparse.Namespace) -> tuple[Any, list[str]]:
    """Make a link."""
    hours = arguments.hours
    if not (hours.isascii() and hours.isdigit() and len(hours) < 6):
        raise InputError("--hours", f"must be a whole number, {MOST_HOURS} at most")
    now = book.clock()
    since_ms = edge(book, arguments.since, "--from", end=False)
    until_ms = edge(book, arguments.until, "--to", end=True)
    given = {
        "from": instant_text(now - YEAR_DAYS * DAY_MS if since_ms is None else since_ms),
        "to": instant_text(now + DAY_MS if until_ms is None else until_ms),
        "hours": int(hours),
    }
    made = make_link(book, SHELL, given)
    return made, [
        "Shown this once. Put it behind the address of the site's pages and give it to the",
        "inspector; who has it reads this period until it runs out:",
        f"  /#/inspection/{made['token']}",
        f"Link {made['link']}: {made['since']} to {made['until']}, opens until {made['expires']}.",
    ]


def list_all(book: Book, _arguments: argparse.Namespace) -> tuple[Any, list[str]]:
    """List the links."""
    rows = list_links(book, SHELL)
    return rows, [
        f"{row['link']}  {row['since']} to {row['until']}  "
        + (f"opens until {row['expires']}" if row["opens"] else "opens nothing any more")
        for row in rows
    ]


def end(book: Book, arguments: argparse.Namespace) -> tuple[Any, list[str]]:
    """End a link."""
    return end_link(book, SHELL, arguments.link), ["Ended."]


VERBS = {"new": new, "list": list_all, "end": end}
