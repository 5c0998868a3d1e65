"""`lanewater site rules` and `lanewater site overlay`: newer rules accepted, own rules laid on."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import Any

from lanewater.interfaces.cli.lines import write_answer
from lanewater.interfaces.cli.proved import proved
from lanewater.service.book import Book
from lanewater.service.packs_read import text_of
from lanewater.service.rules_accept import accept_rules, rules_waiting
from lanewater.service.rules_overlay import add_overlay, end_overlay, overlays
from lanewater.service.rules_texts import text_hash
from lanewater.terms.errors import InputError, MissingError, RefusedError

BY = "who decides it: id, initials or name; the PIN is asked for, or read from stdin"


def add_rules_verbs(verbs: Any) -> None:
    """Describe these verbs' arguments."""
    rules = verbs.add_parser("rules", help="newer texts of the chosen rules, and accepting them")
    steps = rules.add_subparsers(dest="step", required=True)
    steps.add_parser("waiting", help="what would change, for which pools")
    accept = steps.add_parser("accept", help="accept the newer text, from now on")
    accept.add_argument("--pool", help="where a pool has rules of its own")
    accept.add_argument("--by", required=True, help=BY)
    overlay = verbs.add_parser("overlay", help="the site's own rules upon the law")
    parts = overlay.add_subparsers(dest="step", required=True)
    add = parts.add_parser("add", help="lay rules of the site's own upon the law; they tighten")
    add.add_argument("file", help="TOML with id, title, extends and [[rule]]")
    add.add_argument("--pool", help="for this pool alone")
    add.add_argument("--from", dest="since", help="from when; now where left out")
    add.add_argument("--document", metavar="FILE", help="what the authority wrote, for loosening")
    add.add_argument("--document-name", help="what it is called")
    add.add_argument("--by", required=True, help=BY)
    end = parts.add_parser("end", help="end rules of the site's own; older rounds keep them")
    end.add_argument("id", help="their id")
    end.add_argument("--by", required=True, help=BY)
    parts.add_parser("list", help="the site's own rules, those that ended with them")


def run_rules(arguments: argparse.Namespace, book: Book) -> int:
    """Run `site rules`."""
    waiting = rules_waiting(book)
    if arguments.step == "waiting":
        if arguments.json:
            write_answer(waiting)
        else:
            show_waiting(waiting)
        return 0
    wanted = arguments.pool or ""
    row = next((row for row in waiting if row["pool"] == wanted), None)
    if row is None:
        raise RefusedError("no newer text of the rules waits here")
    if not arguments.json:
        show_waiting([row])
    given = {"rules": row["rules"], "hash": row["hash"]} | ({"pool": wanted} if wanted else {})
    answer = accept_rules(book, proved(book, arguments.by), given)
    return tell(arguments, answer, f"Accepted: {answer['rules']}, {answer['edition']}.")


def run_overlay(arguments: argparse.Namespace, book: Book) -> int:
    """Run `site overlay`."""
    if arguments.step == "list":
        found = overlays(book)
        if arguments.json:
            write_answer(found)
        else:
            show_overlays(found)
        return 0
    if arguments.step == "end":
        answer = end_overlay(book, proved(book, arguments.by), {"overlay": arguments.id})
        return tell(arguments, answer, f"{answer['overlay']} ended.")
    given: dict[str, Any] = {"text": text_of(arguments.file)}
    given |= {"pool": arguments.pool} if arguments.pool else {}
    given |= {"from": arguments.since} if arguments.since else {}
    if arguments.document:
        given["document"] = document_of(arguments)
    answer = add_overlay(book, proved(book, arguments.by), given)
    words = [f"{answer['overlay']} holds upon {answer['extends']}.", *answer["remarks"]]
    return tell(arguments, answer, "\n".join(words))


def document_of(arguments: argparse.Namespace) -> dict[str, str]:
    """Give the name and the hash of what the authority wrote; the file itself stays where it is."""
    if not arguments.document_name:
        raise InputError("--document-name", "say what it is called and of which day it is")
    try:
        content = Path(arguments.document).read_bytes()
    except OSError as error:
        raise MissingError(f"--document: cannot be read: {error.strerror}") from None
    return {"name": arguments.document_name, "sha256": text_hash(content)}


def tell(arguments: argparse.Namespace, answer: dict[str, Any], words: str) -> int:
    """Print an answer for a program or for a person."""
    if arguments.json:
        write_answer(answer)
    else:
        sys.stdout.write(words + "\n")
    return 0


def show_waiting(rows: list[dict[str, Any]]) -> None:
    """Print what waits to be accepted."""
    write = sys.stdout.write
    if not rows:
        write("No newer text of the rules waits.\n")
    for row in rows:
        whose = f"pool {row['pool']}" if row["pool"] else "the site"
        write(f"{row['rules']} for {whose}: {row['title']}\n")
        write(f"  accepted: {row['edition_was']}\n  newer:    {row['edition']} ({row['status']})\n")
        if row["unknown"]:
            write("  The accepted text is not kept here: what changes cannot be shown.\n")
        for change in row["changes"]:
            write(f"  {change['text']}\n    touches: {', '.join(change['pools']) or 'no pool'}\n")
        if row["why_not"]:
            write(f"  It cannot be accepted: {row['why_not']}\n")


def show_overlays(rows: list[dict[str, Any]]) -> None:
    """Print the site's own rules."""
    write = sys.stdout.write
    if not rows:
        write("The site has no rules of its own.\n")
    for row in rows:
        until = f" until {row['until']}" if row["until"] else ""
        whose = f", pool {row['pool']}" if row["pool"] else ""
        write(f"{row['overlay']}  {row['title']}, upon {row['extends']}{whose}\n")
        write(f"  from {row['from']}{until}\n")
        write(f"  holds for: {', '.join(row['pools']) or 'no pool now'}\n")
        if row["document"]:
            write(f"  by the authority's document: {row['document']}\n")
        for remark in row["remarks"]:
            write(f"  {remark}\n")
