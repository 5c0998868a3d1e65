"""`lanewater site`: set a site up, show it, carry its set-up to another."""

from __future__ import annotations

import argparse
import sys
from typing import Any

from lanewater.interfaces.cli.folder import (
    bytes_of,
    config_of,
    json_file,
    sheet_head,
    shell_book,
)
from lanewater.interfaces.cli.lines import write_answer
from lanewater.interfaces.cli.site_authority import add_authority, run_authority
from lanewater.interfaces.cli.site_duties import add_duties, run_closed_days, run_duty
from lanewater.interfaces.cli.site_items import FLAGS, add_item_flags, item_of, whole_number
from lanewater.interfaces.cli.site_rules import add_rules_verbs, run_overlay, run_rules
from lanewater.service.actor import SHELL
from lanewater.service.authority import allow_telephone
from lanewater.service.incidents import set_quiet
from lanewater.service.limited import json_in_child
from lanewater.service.rules_held import rules_missing
from lanewater.service.set_up import add, new_site
from lanewater.service.transfer import export_set_up, import_set_up

ELSEWHERE = {
    "rules": run_rules,
    "overlay": run_overlay,
    "authority": run_authority,
    "duty": run_duty,
    "closed-days": run_closed_days,
}
LISTS = ("circuits", "pools", "kits", "reagents", "products", "people", "contacts")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Describe the command's arguments."""
    verbs = parser.add_subparsers(dest="verb", required=True)
    new = verbs.add_parser("new", help="make the record of a new site")
    new.add_argument("name", help="what the site is called")
    new.add_argument("--rules", default="none", help="id of a rules pack (see `rules list`)")
    new.add_argument("--timezone", required=True, help="such as America/Toronto")
    new.add_argument("--volume-unit", help="m3, L, us-gal or imp-gal")
    new.add_argument("--temperature-unit", help="C or F")
    new.add_argument("--dose-unit", help="metric or us")
    adding = verbs.add_parser("add", help="set up one thing; the same id again supersedes it")
    things = adding.add_subparsers(dest="what", required=True)
    for what in FLAGS:
        thing = things.add_parser(what, help=f"set up a {what}")
        thing.add_argument("--from", dest="source", metavar="FILE", help="JSON; - is stdin")
        add_item_flags(thing, what)
    for verb, about in (
        ("show", "what is set up"),
        ("export", "the whole set-up as JSON, for another site"),
    ):
        verbs.add_parser(verb, help=about)
    telephone = verbs.add_parser("telephone", help="whether a word by telephone opens a pool")
    telephone.add_argument("allowed", choices=("yes", "no"))
    thunder = verbs.add_parser("thunder", help="minutes to wait after lightning or thunder")
    thunder.add_argument("minutes", help="1 to 240; 30 is widely used, as long as none is set")
    add_authority(verbs)
    add_duties(verbs)
    add_rules_verbs(verbs)
    carry = verbs.add_parser("import", help="add everything of an exported set-up, or nothing")
    carry.add_argument("file", help="JSON; - is stdin")


def run(arguments: argparse.Namespace) -> int:
    """Run one verb."""
    if arguments.verb == "new":
        return make(arguments)
    with shell_book(arguments) as book:
        if arguments.verb == "add":
            item = (
                json_file(arguments.source, "--from")
                if arguments.source
                else item_of(arguments, arguments.what)
            )
            return show_added(arguments, add(book, SHELL, arguments.what, item))
        if arguments.verb in ELSEWHERE:
            return ELSEWHERE[arguments.verb](arguments, book)
        if arguments.verb == "telephone":
            allowed = arguments.allowed == "yes"
            words = "opens" if allowed else "does not open"
            answer = allow_telephone(book, SHELL, {"allowed": allowed})
            return tell(arguments, answer, f"A word by telephone {words} a pool here.")
        if arguments.verb == "thunder":
            minutes = whole_number(arguments.minutes, "minutes")
            quiet = set_quiet(book, SHELL, {"minutes": minutes})
            return tell(arguments, quiet, f"{minutes} minutes after the last of it.")
        if arguments.verb == "import":
            added = import_set_up(
                book, SHELL, json_in_child(bytes_of(arguments.file, "file"), "file")
            )
            return tell(arguments, added, f"Added {added['added']}.")
        answer = export_set_up(book)
        if arguments.verb == "export" or arguments.json:
            write_answer(answer)
        else:
            sys.stdout.write(sheet_head(book))
            show(answer, rules_missing(book))
    return 0


def make(arguments: argparse.Namespace) -> int:
    """Make a new site and print its first key, this once."""
    units = {
        "volume": arguments.volume_unit,
        "temperature": arguments.temperature_unit,
        "dose": arguments.dose_unit,
    }
    command: dict[str, Any] = {
        "name": arguments.name,
        "timezone": arguments.timezone,
        "rules": arguments.rules,
        "units": {key: value for key, value in units.items() if value is not None},
    }
    config = config_of(arguments)
    answer = new_site(config, command)
    without = "" if arguments.rules != "none" else "No local rules chosen: nothing is judged.\n"
    words = (
        f"{arguments.name} is set up in {config.data}.\n{without}"
        f"First key, shown this once: {answer['first_key']}\n"
        "Type it on the first device within a day; `lanewater access new` makes another."
    )
    return tell(arguments, answer, words)


def show_added(arguments: argparse.Namespace, answer: dict[str, str]) -> int:
    """Print what was set up; a PIN is shown this once."""
    words = f"{arguments.what} {answer['id']} is set up."
    if "pin" in answer:
        words += f"\nPIN, shown this once: {answer['pin']}"
    return tell(arguments, answer, words)


def tell(arguments: argparse.Namespace, answer: dict[str, Any], words: str) -> int:
    """Print an answer for a program or for a person."""
    if arguments.json:
        write_answer(answer)
    else:
        sys.stdout.write(words + "\n")
    return 0


def show(answer: dict[str, Any], missing: dict[str, str]) -> None:
    """Print a set-up for people, and where nothing is judged although rules are chosen."""
    site = answer["site"]
    sys.stdout.write(f"{site['name']} ({site['timezone']}), rules: {site['rules']}\n")
    for pool, why in missing.items():
        sys.stdout.write(f"{pool}: NO ROUND IS JUDGED. {why}\n")
    for part in LISTS:
        sys.stdout.write(f"{part}: {len(answer[part])}\n")
        for item in answer[part]:
            sys.stdout.write(f"  {line_of(part, item)}\n")


def line_of(part: str, item: dict[str, Any]) -> str:
    """Write one thing in a line."""
    identity = next(iter(item[key] for key in KEYS[part] if key in item))
    words = [str(identity), str(item.get("name", item.get("lot", "")))]
    if part in ("pools", "circuits") and "volume_m3" in item:
        words.append(f"{item['volume_m3']} m3 ({item['volume_known']})")
    if part == "pools":
        words += [str(value) for key, value in item["facts"].items() if key != "facts"]
    words += [str(item[key]) for key in ("kind", "substance", "expires_on", "phone") if key in item]
    return "  ".join([*words, *item.get("roles", ())])


KEYS = {
    "circuits": ("circuit",),
    "pools": ("pool",),
    "kits": ("kit",),
    "reagents": ("reagent",),
    "products": ("product",),
    "people": ("person",),
    "contacts": ("contact",),
}
