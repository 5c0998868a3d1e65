"""`lanewater rules new, explain, diff and table`: packs for people who are no programmers."""

from __future__ import annotations

import argparse
import os
import sys
from pathlib import Path
from typing import Any

from lanewater.interfaces.cli.lines import write_answer
from lanewater.rules.differences import differences
from lanewater.rules.explaining import explain_pack, explained_text
from lanewater.rules.features import FEATURES
from lanewater.rules.skeleton import skeleton_of
from lanewater.service.book import open_book
from lanewater.service.config import load_config
from lanewater.service.packs import IDENTITY
from lanewater.service.packs_read import compiled_file, is_file_name, sound_pack, whole_raw
from lanewater.service.packs_table import table_markdown, table_of
from lanewater.service.rules_touched import touched
from lanewater.terms.errors import InputError, MissingError, RefusedError

MARKS = {"added": "+", "taken-away": "-", "tighter": "^", "looser": "v", "changed": "~"}


def add_word_verbs(verbs: Any) -> None:
    """Describe these verbs' arguments."""
    pack = "id of a pack, or a file that ends in .toml"
    new = verbs.add_parser("new", help="begin a pack of your own: a file to fill in")
    new.add_argument("id", help="such as us-tx-dallas: the place by ISO 3166, then whose it is")
    new.add_argument("--to", metavar="FILE", help="where it is written; ID.toml where left out")
    explain = verbs.add_parser("explain", help="one pack in sentences, to read beside the law")
    explain.add_argument("id", help=pack)
    diff = verbs.add_parser("diff", help="what changes from one pack or edition to another")
    diff.add_argument("one", help=f"what holds now: {pack}")
    diff.add_argument("other", help=f"what would hold: {pack}")
    diff.add_argument(
        "--site", action="store_true", help="say which of the site's pools each change touches"
    )
    table = verbs.add_parser("table", help="every pack: what it covers, which features it uses")
    table.add_argument("--markdown", action="store_true", help="as docs/reference/rules-packs.md")


def run_words(arguments: argparse.Namespace) -> int:
    """Run one of these verbs."""
    if arguments.verb == "new":
        return begin_pack(arguments)
    if arguments.verb == "explain":
        told = explain_pack(sound_raw(arguments.id))
        if arguments.json:
            write_answer(told)
        else:
            sys.stdout.write(explained_text(told))
        return 0
    if arguments.verb == "diff":
        return show_differences(arguments)
    return show_table(arguments)


def sound_raw(named: str) -> dict[str, Any]:
    """Give a pack's whole text; a file is held to the format first."""
    if is_file_name(named):
        sound_pack(named, compiled_file)
    return whole_raw(named)


def begin_pack(arguments: argparse.Namespace) -> int:
    """Write the file in which a new pack begins; one that is there stays as it is."""
    if not IDENTITY.fullmatch(arguments.id):
        raise InputError("ID", "small letters and hyphens are wanted, such as us-tx-dallas")
    path = Path(arguments.to or f"{arguments.id}.toml")
    try:
        with path.open("x", encoding="utf-8") as file:
            file.write(skeleton_of(arguments.id))
    except FileExistsError:
        raise RefusedError(f"{path} is there already; name another file with --to") from None
    except OSError as error:
        raise MissingError(f"{path} cannot be written: {error.strerror}") from None
    if arguments.json:
        write_answer({"id": arguments.id, "file": str(path)})
    else:
        sys.stdout.write(
            f"{path} is begun. Fill it in beside the law, then:\n"
            f"  lanewater rules check {path}\n  lanewater rules explain {path}\n"
        )
    return 0


def show_differences(arguments: argparse.Namespace) -> int:
    """Print what changes, and which pools it touches."""
    one, other = sound_raw(arguments.one), sound_raw(arguments.other)
    rows: list[dict[str, Any]] = [dict(row) for row in differences(one, other)]
    if arguments.site or arguments.data:
        book = open_book(load_config(arguments.data, os.environ, store=arguments.store), "shell")
        try:
            rows = touched(book.state, one, other, rows)
        finally:
            book.close()
    if arguments.json:
        write_answer({"one": one["id"], "other": other["id"], "changes": rows})
        return 0
    write = sys.stdout.write
    write(f"From {one['id']} ({one['edition']})\nto   {other['id']} ({other['edition']})\n\n")
    for row in rows:
        write(f"{MARKS[row['change']]} {row['text']}\n")
        if "pools" in row:
            names = ", ".join(row["pools"]) or "none of the pools here"
            write(f"    touches: {names}\n")
    write("Nothing changes.\n" if not rows else "\n+ new  - gone  ^ tighter  v LOOSER  ~ changed\n")
    return 0


def show_table(arguments: argparse.Namespace) -> int:
    """Print the table of packs, coverage and features."""
    rows = table_of()
    if arguments.json:
        features = [{"number": row.number, "name": row.name} for row in FEATURES]
        write_answer({"features": features, "packs": rows})
    elif arguments.markdown:
        sys.stdout.write(table_markdown(rows))
    else:
        for row in rows:
            covered = [item for item, state in row["coverage"].items() if state != "not-read"]
            sys.stdout.write(
                f"{row['id']:<20} {row['status']:<10} {row['rules']:>3} rules, "
                f"{row['golden_cases']} golden cases\n"
                f"  covers: {', '.join(covered) or 'nothing'}\n"
                f"  features: {' '.join(map(str, row['features']))}\n"
            )
    return 0
