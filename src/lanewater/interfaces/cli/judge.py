"""`lanewater judge`: readings held against local rules, from JSON Lines or from a table."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from lanewater.interfaces.cli.lines import answer_lines
from lanewater.rules.case import case_from
from lanewater.rules.judging import judge_case
from lanewater.service.editions import editions_then
from lanewater.service.packs import load_pack, pack_ids
from lanewater.terms.errors import InputError, MissingError
from lanewater.terms.jsontext import LONGEST, read_json

OWN = ".toml"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Describe the command's arguments."""
    parser.description = (
        "Reads one question a line on standard input and writes one answer a line: "
        '{"rules": "ca-qc", "pool": {"location": "indoor"}, "readings": {"free_chlorine": "0.62"}}'
    )
    parser.add_argument(
        "--rules",
        metavar="ID",
        help="rules pack for lines that name none, or a file of your own that ends in .toml",
    )
    parser.add_argument(
        "--all-rules",
        action="store_true",
        help="each line, or each row of --table, under every pack; --rules FILE.toml adds your own",
    )
    parser.add_argument("--purpose", choices=("round", "sample"), help="default: round")
    parser.add_argument("--pool", metavar="FILE", help="JSON file with the pool's facts")
    parser.add_argument(
        "--table",
        metavar="FILE",
        help="CSV file, one sample a row; with --json an answer a row, else a summary",
    )
    parser.add_argument(
        "--columns", metavar="NAME=PARAMETER,...", default="", help="columns under another name"
    )


def run(arguments: argparse.Namespace) -> int:
    """Judge what was handed in; exit code 1 where some line could not be read."""
    judged = Judge(arguments.rules, arguments.purpose, pool_file(arguments.pool))
    if arguments.table is None and arguments.columns:
        raise InputError("--columns", "goes with --table")
    if arguments.all_rules:
        return run_all(arguments, judged)
    if arguments.table is not None:
        # csv is only wanted here; the line-by-line path stays light.
        from lanewater.interfaces.cli.table import judge_table  # noqa: PLC0415

        return judge_table(arguments.table, arguments.columns, judged.row, as_json=arguments.json)
    return answer_lines(judged.line)


def run_all(arguments: argparse.Namespace, judged: Judge) -> int:
    """Judge each line, or each row of a table, under every pack held here and a file's own."""
    # Wanted by this flag alone; the line-by-line path stays light.
    from lanewater.interfaces.cli.judge_all import (  # noqa: PLC0415
        judge_table_under_all,
        judge_under_all,
    )

    own = judged.packs.get(arguments.rules)
    if arguments.rules is not None and not arguments.rules.endswith(OWN):
        raise InputError("--all-rules", f"holds {arguments.rules} already; leave --rules out")
    packs = [*([own] if own else []), *map(load_pack, pack_ids())]
    if arguments.table is not None:
        return judge_table_under_all(
            arguments.table, arguments.columns, judged.row_case, packs, as_json=arguments.json
        )
    return judge_under_all(judged.case, packs, as_json=arguments.json)


def pool_file(path: str | None) -> dict[str, Any] | None:
    """Read the pool's facts from a file."""
    if path is None:
        return None
    try:
        with Path(path).open("rb") as file:
            facts = read_json(file.read(LONGEST + 1))
    except OSError as error:
        raise MissingError(f"--pool: {path} cannot be read: {error.strerror}") from error
    except InputError as error:
        raise InputError("--pool", f"{path}: {error}") from error
    if not isinstance(facts, dict):
        raise InputError("--pool", f"{path}: an object of facts is wanted")
    return facts


class Judge:
    """Defaults of one run, and the packs that it has loaded."""

    def __init__(self, rules: str | None, purpose: str | None, pool: dict[str, Any] | None) -> None:
        self.rules = rules
        self.purpose = purpose
        self.pool = pool
        self.packs: dict[str, dict[str, Any]] = {}
        if rules is not None and rules.endswith(OWN):
            # A file is compiled, and that is seldom wanted: the path of the packs stays light.
            from lanewater.service.packs_read import judging_file, sound_pack  # noqa: PLC0415

            self.packs[rules] = sound_pack(rules, judging_file)
        elif rules is not None:
            self.pack(rules)

    def pack(self, identity: str | None) -> dict[str, Any] | None:
        """Give a pack, loaded once."""
        if identity is None:
            return None
        if not isinstance(identity, str):
            raise InputError("rules", "the id of a rules pack is wanted")
        if identity not in self.packs:
            self.packs[identity] = load_pack(identity)
        return self.packs[identity]

    def case(self, given: Any) -> dict[str, Any]:
        """Give the case of one question of a JSON line, with what the run says of all lines."""
        if isinstance(given, dict):
            given = {**given}
            if self.purpose is not None:
                given.setdefault("purpose", self.purpose)
            if self.pool is not None:
                given.setdefault("pool", self.pool)
        return case_from(given)

    def line(self, given: Any) -> dict[str, Any]:
        """Judge one question of a JSON line."""
        case = self.case(given)
        return self.judged(given.get("rules", self.rules), case)

    def judged(self, rules: str | None, case: dict[str, Any]) -> dict[str, Any]:
        """Judge a case; where the rules were not in force then, say which edition was."""
        pack = self.pack(rules)
        answer = judge_case(pack, case)
        if pack is not None:
            answer["findings"] += editions_then(pack, case)
        return answer

    def row_case(self, readings: dict[str, str], at: str | None) -> dict[str, Any]:
        """Give the case of one row of a table, which holds samples unless it is said otherwise."""
        return case_from(
            {
                "purpose": self.purpose or "sample",
                "pool": self.pool or {"kind": "pool", "disinfectant": "chlorine"},
                "readings": readings,
                "at": at,
            }
        )

    def row(self, readings: dict[str, str], at: str | None) -> dict[str, Any]:
        """Judge one row of a table."""
        return self.judged(self.rules, self.row_case(readings, at))
