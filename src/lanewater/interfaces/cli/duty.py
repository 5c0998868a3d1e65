"""`lanewater duty`: say that a duty was done, was not needed, or was not done; that it rained."""

from __future__ import annotations

import argparse
import sys
from typing import Any

from lanewater.interfaces.cli.folder import shell_book
from lanewater.interfaces.cli.lines import write_answer
from lanewater.service.actor import shell_as
from lanewater.service.duties import ANSWERS, duty_done, note_event
from lanewater.terms.words import NOTED_EVENTS


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Describe the command's arguments."""
    verbs = parser.add_subparsers(dest="verb", required=True)
    done = verbs.add_parser("done", help="a duty was done; `lanewater due` gives its id")
    done.add_argument("duty", help="such as site:backwash or rules:stabiliser")
    done.add_argument("--answer", choices=ANSWERS, default="done")
    event = verbs.add_parser("event", help="something happened: rain, dust, a shutdown, a crowd")
    event.add_argument("what", choices=NOTED_EVENTS)
    for verb in (done, event):
        verb.add_argument("--pool", help="id of the pool; left out for the whole site")
        verb.add_argument("--words", help="in your own words")
        verb.add_argument("--person", help="id of the person who says it")


def run(arguments: argparse.Namespace) -> int:
    """Keep what was said."""
    names = ("duty", "answer") if arguments.verb == "done" else ("what",)
    given: dict[str, Any] = {name: getattr(arguments, name) for name in names}
    for name in ("pool", "words"):
        if getattr(arguments, name) is not None:
            given[name] = getattr(arguments, name)
    keep = duty_done if arguments.verb == "done" else note_event
    with shell_book(arguments) as book:
        answer = keep(book, shell_as(arguments.person or "unlisted"), given)
    if arguments.json:
        write_answer(answer)
    else:
        sys.stdout.write("It is on the record.\n")
    return 0
