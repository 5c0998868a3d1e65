"""`lanewater incident`: begin one, say what was done, see what is met, end it."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from typing import Any

from lanewater.interfaces.cli.folder import actor_named, bytes_of, sheet_head, shell_book
from lanewater.interfaces.cli.lines import write_answer
from lanewater.interfaces.cli.site_items import whole_number
from lanewater.records.kinds_events import INCIDENT_NOTES, STEP_ANSWERS
from lanewater.service.access import check_pin
from lanewater.service.actor import Actor
from lanewater.service.book import Book
from lanewater.service.incidents import (
    choose_route,
    end_incident,
    note_incident,
    start_incident,
    step_incident,
)
from lanewater.service.incidents_told import incident_told, incidents_told
from lanewater.terms.errors import InputError
from lanewater.terms.words import INCIDENT_KINDS

Answer = tuple[Any, list[str]]
# Wrong PINs on the shell are counted as on one device.
SHELL_DEVICE = "shell"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Describe the command's arguments."""
    verbs = parser.add_subparsers(dest="verb", required=True)
    new = verbs.add_parser("start", help="begin an incident; every pool on its filter is stopped")
    new.add_argument("kind", choices=INCIDENT_KINDS, metavar="KIND", help=", ".join(INCIDENT_KINDS))
    new.add_argument("pool", help="the pool's id")
    new.add_argument("--pools", help="every pool that is stopped, between commas")
    new.add_argument("--at", help="when, such as 2026-07-01T05:51:00+02:00; now if left out")
    new.add_argument("--nobody-in", action="store_true", help="nobody was in")
    new.add_argument("--words", help="what was seen; no names")
    verbs.add_parser("list", help="the incidents that are open, and the last that were ended")
    show = verbs.add_parser("show", help="its steps, the rules' own clocks, and what is met")
    step = verbs.add_parser("step", help="say that a step is done")
    route = verbs.add_parser("route", help="choose one of the rules' own routes")
    note = verbs.add_parser("note", help="seen or heard again, how many people, or words")
    end = verbs.add_parser("end", help="end it where all is met; each pool stays closed")
    for verb in (show, step, route, note, end):
        verb.add_argument("incident", help="its id, or that of a pool with one open incident")
    step.add_argument("step", help="the step, as show names it")
    step.add_argument("--answer", choices=STEP_ANSWERS, default="done", help="done if left out")
    step.add_argument("--words", help="who was asked and what they said; no more names than that")
    route.add_argument("procedure", help="the procedure, as show names it")
    route.add_argument("route", help="the route, as show names it")
    note.add_argument("what", choices=INCIDENT_NOTES)
    note.add_argument("--count", help="how many")
    note.add_argument("--words", help="in words; no names")
    end.add_argument("--false-alarm", action="store_true", help="nothing was met; takes --reason")
    end.add_argument("--reason", help="why")
    for verb in (new, step, route, note, end):
        verb.add_argument("--by", help="who says so: id, initials or name")
        verb.add_argument(
            "--pin-from", metavar="FILE", help="where their PIN stands; - is standard input"
        )


def run(arguments: argparse.Namespace) -> int:
    """Run one verb."""
    with shell_book(arguments) as book:
        if "incident" in arguments:
            arguments.incident = incident_meant(book, arguments.incident)
        answer, words = VERBS[arguments.verb](book, arguments)
        head = sheet_head(book)
    if arguments.json:
        write_answer(answer)
    else:
        sys.stdout.write(head + "".join(f"{line}\n" for line in words))
    return 0


def incident_meant(book: Book, named: str) -> str:
    """Give the id of the one incident that is open at a pool; any other name stays as it is."""
    if named not in book.state.pools:
        return named
    rows = incidents_told(book, book.clock())["incidents"]
    found = [str(row["incident"]) for row in rows if named in row["pools"]]
    if len(found) != 1:
        open_ones = f"{len(found)} incidents are open at {named}"
        raise InputError("incident", f"{open_ones}: {', '.join(found) or 'name one by its id'}")
    return found[0]


def actor_of(book: Book, arguments: argparse.Namespace) -> Actor:
    """Give who acts; with their PIN, which never stands in the command itself, it is proved."""
    found = actor_named(book, arguments.by)
    if arguments.pin_from is None:
        return found
    if not found.listed:
        raise InputError("--by", "is missing: whose PIN is it?")
    pin = bytes_of(arguments.pin_from, "--pin-from").decode("ascii", "replace").strip()
    check_pin(book, SHELL_DEVICE, found.person, pin)
    return Actor(found.person, "pin", verified=True)


def given_by(arguments: argparse.Namespace, *names: str) -> dict[str, Any]:
    """Give the arguments that were said."""
    return {name: value for name in names if (value := getattr(arguments, name)) not in (None, "")}


def start(book: Book, arguments: argparse.Namespace) -> Answer:
    """Begin one."""
    given = given_by(arguments, "kind", "pool", "at", "words")
    given |= {"pools": arguments.pools.split(",")} if arguments.pools else {}
    given |= {"nobody_in": True} if arguments.nobody_in else {}
    made = start_incident(book, actor_of(book, arguments), given)
    return made, [f"{made['incident']}  stopped: {', '.join(made['pools'])}"]


def list_all(book: Book, _arguments: argparse.Namespace) -> Answer:
    """List them."""
    found = incidents_told(book, book.clock())
    rows = [f"{row['incident']}  {head_of(row)}" for row in found["incidents"]]
    rows += [
        f"{row['incident']}  {head_of(row)}  ended {row['ended']['at']}: {row['ended']['outcome']}"
        for row in found["ended"]
    ]
    return found, rows or ["No incident is on record."]


def head_of(row: dict[str, Any]) -> str:
    """Say what happened, where and since when."""
    return f"{row['kind']}  {', '.join(row['pools'])}  since {row['since']}"


def show(book: Book, arguments: argparse.Namespace) -> Answer:
    """Show one."""
    found = incident_told(book, arguments.incident, book.clock())
    rows = [head_of(found)]
    for row in found["steps"]:
        waits = f" waits: {row['gate']}" if row["gate"] else ""
        rows.append(f"  {row['state']:<11} {row['id']}{waits}  {row['words']}".rstrip())
    for procedure in found["procedures"]:
        rows.append(f"{procedure['id']} ({procedure['clause']}): {procedure['words']}")
        rows += [route_line(route) for route in procedure["routes"]]
    if found["quiet_until"]:
        rows.append(f"quiet until {found['quiet_until']} ({found['quiet_minutes']} minutes)")
    rows += [
        f"  {row['met']:<11} {row['id']}  {', '.join(row['why'])}".rstrip()
        for row in found["criteria"]
    ]
    return found, [*rows, ending_line(found)]


def route_line(row: dict[str, Any]) -> str:
    """Say one of the rules' routes, with its clock."""
    if row["reached"]:
        clock = f"complete {row['reached']}"
    elif row["not_before"]:
        clock = f"not before {row['not_before']}, if the next reading holds"
    else:
        clock = "no time"
    return f"  {'chosen' if row['chosen'] else '-':<7} {row['id']}: {row['words']}; {clock}"


def ending_line(row: dict[str, Any]) -> str:
    """Say whether it could be ended."""
    if row["ended"]:
        return f"Ended {row['ended']['at']}: {row['ended']['outcome']}."
    if row["may_end"]:
        return "All is met; somebody who may can end it. Each pool then waits to be opened."
    return f"Not met: {', '.join(row['why_not'])}."


def step(book: Book, arguments: argparse.Namespace) -> Answer:
    """Say that a step is done."""
    given = given_by(arguments, "incident", "step", "answer", "words")
    return step_incident(book, actor_of(book, arguments), given), ["Saved."]


def route(book: Book, arguments: argparse.Namespace) -> Answer:
    """Choose a route."""
    given = given_by(arguments, "incident", "procedure", "route")
    return choose_route(book, actor_of(book, arguments), given), ["Saved."]


def note(book: Book, arguments: argparse.Namespace) -> Answer:
    """Note something."""
    given = given_by(arguments, "incident", "what", "words")
    if arguments.count is not None:
        given["count"] = whole_number(arguments.count, "--count")
    return note_incident(book, actor_of(book, arguments), given), ["Saved."]


def end(book: Book, arguments: argparse.Namespace) -> Answer:
    """End one."""
    given = given_by(arguments, "incident", "reason")
    given |= {"false_alarm": True} if arguments.false_alarm else {}
    made = end_incident(book, actor_of(book, arguments), given)
    return made, [f"Ended: {made['outcome']}. Closed until opened: {', '.join(made['pools'])}."]


VERBS: dict[str, Callable[[Book, argparse.Namespace], Answer]] = {
    "start": start,
    "list": list_all,
    "show": show,
    "step": step,
    "route": route,
    "note": note,
    "end": end,
}
