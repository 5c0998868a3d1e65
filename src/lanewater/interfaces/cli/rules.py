"""`lanewater rules`: the packs, listed, shown, checked, begun, explained and compared."""

from __future__ import annotations

import argparse
import sys
from typing import Any

from lanewater.interfaces.cli.lines import write_answer
from lanewater.interfaces.cli.rules_words import add_word_verbs, run_words
from lanewater.rules.checking import golden_count, summary_of, troubles_of
from lanewater.rules.plainly import blanks_in, said_plainly, with_lines
from lanewater.service.packs import load_pack, pack_ids
from lanewater.service.packs_read import compiled_file, is_file_name, overlay_checked, text_of
from lanewater.terms.errors import InputError, LanewaterError, MissingError

DOES_NOT_HOLD = 4


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Describe the command's arguments."""
    verbs = parser.add_subparsers(dest="verb", required=True)
    for verb, about in (
        ("list", "every pack, its status and what it covers"),
        ("show", "one pack: its rules with clause, limit and evidence"),
        ("check", "judge the golden cases of one pack, or of all; of a file: what is missing"),
    ):
        command = verbs.add_parser(verb, help=about, description=about)
        if verb != "list":
            command.add_argument("id", nargs="?" if verb == "check" else None)
    add_word_verbs(verbs)


def run(arguments: argparse.Namespace) -> int:
    """Run one verb."""
    if arguments.verb == "list":
        return list_packs(as_json=arguments.json)
    if arguments.verb == "show":
        return show_pack(load_pack(arguments.id), as_json=arguments.json)
    if arguments.verb == "check":
        ids = [arguments.id] if arguments.id else pack_ids()
        return check_packs(ids, as_json=arguments.json)
    return run_words(arguments)


def list_packs(*, as_json: bool) -> int:
    """Print a row for every pack."""
    rows = [summary_of(load_pack(identity)) for identity in pack_ids()]
    if as_json:
        write_answer(rows)
        return 0
    for row in rows:
        unread = [item for item, state in row["coverage"].items() if state == "not-read"]
        covered = "covers disinfectant, pH and clarity"
        if not row["full_coverage"]:
            covered = "a round cannot meet these rules alone"
        sys.stdout.write(f"{row['id']:<16} {row['status']:<10} {covered}\n  {row['title']}\n")
        if unread:
            sys.stdout.write(f"  not read: {', '.join(unread)}\n")
    return 0


def show_pack(pack: dict[str, Any], *, as_json: bool) -> int:
    """Print one pack."""
    if as_json:
        write_answer(pack)
        return 0
    write = sys.stdout.write
    write(f"{pack['title']}\nid {pack['id']}, {pack['status']}, {pack['edition']}\n")
    write(f"Text read on {pack['read_on']}. Ask your authority for the text in force.\n")
    if pack["note"]:
        write(f"{pack['note']}\n")
    for rule in pack["rules"]:
        limit = f"{rule['comparison'].replace('-', ' ')} {rule['limit']}"
        if not rule["computable"]:
            limit = f"cannot be computed: {rule['why_not_computable']}"
        write(f"  {rule['clause']:<28} {rule['parameter']:<18} {limit}{where_of(rule)}\n")
        write(f"  {'':<28} {rule['id']} ({rule['level']}, {rule['evidence']})\n")
    for interval in pack["intervals"]:
        write(f"  {interval['clause']:<28} test {interval['words']}\n")
    for procedure in pack["procedures"]:
        show_procedure(procedure)
    return 0


def show_procedure(procedure: dict[str, Any]) -> None:
    """Print one incident procedure, its routes in the rules' own order."""
    write = sys.stdout.write
    archived = ", archived: ask for the one in force" if procedure["archived"] else ""
    write(f"  incident {procedure['id']} ({', '.join(procedure['for'])})\n")
    write(f"    {procedure['clause']} ({procedure['evidence']}{archived})\n")
    write(f"    {procedure['words']}\n")
    for number, route in enumerate(procedure["routes"], start=1):
        write(f"    {number}. {route['words']}\n")
    if procedure["reopen"]:
        write(f"    Reopening: {procedure['reopen']}\n")


def where_of(rule: dict[str, Any]) -> str:
    """Say in words when a rule applies."""
    parts = []
    for condition in rule["when"]:
        if condition["of"] == "fact":
            mark = "" if condition["wanted"] else "not "
            parts.append(f"{condition['name']} {mark}{' or '.join(condition['values'])}")
        else:
            comparison = condition["comparison"].replace("-", " ")
            parts.append(f"{condition['name']} {comparison} {condition['limit']}")
    if rule["lasting_seconds"]:
        parts.append(f"for more than {rule['lasting_seconds'] // 3600} h")
    return f" [{'; '.join(parts)}]" if parts else ""


def check_packs(ids: list[str], *, as_json: bool) -> int:
    """Check packs; exit code 4 where one does not hold."""
    rows: list[dict[str, Any]] = [checked(identity, alone=len(ids) == 1) for identity in ids]
    if as_json:
        write_answer(rows)
    else:
        for row in rows:
            cases = row["golden_cases"]
            sys.stdout.write(f"{row['id']:<16} {cases} golden case{'s' if cases != 1 else ''}\n")
            for trouble in row["troubles"]:
                sys.stdout.write(f"  does not hold: {trouble}\n")
            for remark in row["remarks"]:
                sys.stdout.write(f"  note: {remark}\n")
            if not row["troubles"]:
                sys.stdout.write("  nothing is missing, and every case comes out as written\n")
    return DOES_NOT_HOLD if any(row["troubles"] for row in rows) else 0


def checked(identity: str, *, alone: bool) -> dict[str, Any]:
    """Check one pack, or a file in which somebody writes one."""
    row: dict[str, Any] = {"id": identity, "golden_cases": 0, "troubles": [], "remarks": []}
    try:
        if is_file_name(identity):
            return row | checked_file(identity)
        pack = load_pack(identity)
    except InputError as error:
        return row | {"troubles": [said_plainly(error, text_of(identity))]}
    except LanewaterError as error:
        if alone and isinstance(error, MissingError):
            raise
        return row | {"troubles": [str(error)]}
    return row | {"golden_cases": golden_count(pack), "troubles": troubles_of(pack)}


def checked_file(named: str) -> dict[str, Any]:
    """Check a file in which somebody writes a pack, or a site its own rules."""
    text = text_of(named)
    blanks = blanks_in(text)
    if blanks:
        return {"troubles": blanks}
    own = overlay_checked(named)
    if own is not None:
        return {"troubles": own[0], "remarks": own[1]}
    pack = compiled_file(named)
    troubles = with_lines(troubles_of(pack), text)
    return {"golden_cases": golden_count(pack), "troubles": troubles}
