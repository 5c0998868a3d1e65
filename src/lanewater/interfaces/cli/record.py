"""`lanewater record`: show what is on record."""

from __future__ import annotations

import argparse
import re
import sys
from datetime import UTC, datetime
from typing import Any

from lanewater.interfaces.cli.folder import sheet_head, shell_book
from lanewater.interfaces.cli.lines import write_answer
from lanewater.service.book import Book
from lanewater.service.clock import DAY_MS, instant_ms, offset_minutes
from lanewater.service.record import lines
from lanewater.terms.errors import InputError

DATE = re.compile(r"\d{4}-\d\d-\d\d", re.ASCII)
MINUTE_MS = 60_000
OF_INCIDENT = ("kind", "step", "answer", "procedure", "route", "what", "count", "words", "outcome")
IDS = ("name", "rules", "circuit", "kit", "reagent", "product", "person", "device", "answer")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Describe the command's arguments."""
    verbs = parser.add_subparsers(dest="verb", required=True)
    show = verbs.add_parser("show", help="the record's lines, oldest first")
    show.add_argument("--pool", help="only this pool")
    show.add_argument("--from", dest="since", help="a date at the site, or a time with offset")
    show.add_argument("--to", dest="until", help="a date (included), or a time (not included)")
    show.add_argument("--limit", help="only so many, the latest")


def run(arguments: argparse.Namespace) -> int:
    """Run one verb."""
    with shell_book(arguments) as book:
        if arguments.pool is not None and arguments.pool not in book.state.pools:
            raise InputError("--pool", f"{arguments.pool!r} is not set up here")
        found = lines(
            book,
            pool=arguments.pool,
            since_ms=edge(book, arguments.since, "--from", end=False),
            until_ms=edge(book, arguments.until, "--to", end=True),
            limit=limit_of(arguments.limit),
        )
        head = sheet_head(book)
    if arguments.json:
        write_answer(found)
        return 0
    sys.stdout.write(head)
    for line in found:
        sys.stdout.write(in_words(line) + "\n")
    return 0


def limit_of(text: str | None) -> int | None:
    """Read how many lines are wanted."""
    if text is None:
        return None
    if not text.isascii() or not text.isdigit() or len(text) > 9:
        raise InputError("--limit", "must be a whole number")
    return int(text)


def edge(book: Book, text: str | None, flag: str, *, end: bool) -> int | None:
    """Read the edge of a stretch of time; a date is a whole day at the site."""
    if text is None:
        return None
    if DATE.fullmatch(text) is None:
        return instant_ms(text, flag)
    try:
        start = datetime.fromisoformat(text).replace(tzinfo=UTC)
    except ValueError:
        raise InputError(flag, f"{text!r} is no date") from None
    local = int(start.timestamp()) * 1000 + (DAY_MS if end else 0)
    timezone = book.state.site.timezone
    guess = local - offset_minutes(timezone, local) * MINUTE_MS
    return local - offset_minutes(timezone, guess) * MINUTE_MS


def in_words(line: dict[str, Any]) -> str:
    """Write one line of the record for people."""
    words = [f"{line['index']:>6}", line["at"], f"{line['type']:<18}", line.get("pool", "")]
    if line["type"] == "round-recorded":
        words += [reading_words(row) for row in line["readings"]]
        words.append(f"[{line['overall'] or 'not judged yet'}]")
    elif line["type"] == "reading-corrected":
        body = line["body"]
        words.append(f"{body['parameter']} {body['was']} corrected to {body['value']}")
    elif line["type"] == "round-judged":
        words.append(line["body"]["overall"])
    elif line["type"] in ("pool-closed", "everyone-out", "house-stop-ended"):
        body = line["body"]
        words.append(str(body.get("kind") or body.get("stop") or ", ".join(body["stops"])))
    elif line["type"].startswith("incident-"):
        body = line["body"]
        words += [str(body[key]) for key in OF_INCIDENT if key in body]
    else:
        words += [str(line["body"][key]) for key in IDS if key in line["body"]]
    if "reason" in line:
        words.append(f"({line['reason']})")
    through = "" if line["verified"] or line["by"] == "lanewater" else f" ({line['method']})"
    words.append(f"by {line['by']}{through}")
    if "after_reported_loss" in line:
        words.append("AFTER REPORTED LOSS of its device")
    if "without_authority" in line:
        words.append("WITHOUT AUTHORITY")
    return "  ".join(word for word in words if word)


def reading_words(row: dict[str, Any]) -> str:
    """Write one reading with its corrections beside it."""
    point = f"@{row['point']}" if "point" in row else ""
    changed = "".join(f" -> {change['value']}" for change in row.get("corrected", ()))
    return f"{row['parameter']}{point} {row['value']}{changed}"
