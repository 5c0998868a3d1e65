"""`lanewater round`: put a round of readings on record, or correct one."""

from __future__ import annotations

import argparse
import re
import sys
from collections.abc import Iterator
from itertools import chain
from typing import Any, BinaryIO

from lanewater.interfaces.cli.folder import actor_named, open_file, shell_book
from lanewater.interfaces.cli.lines import each_line, write_answer
from lanewater.interfaces.cli.site_items import whole_number
from lanewater.service.book import Book
from lanewater.service.rounds import correct_reading, record_round
from lanewater.terms.errors import InputError, LanewaterError
from lanewater.terms.jsontext import LONGEST, read_json

READINGS = {
    "--free": "free_chlorine",
    "--total": "total_chlorine",
    "--combined": "combined_chlorine",
    "--bromine": "total_bromine",
    "--ph": "ph",
    "--temperature": "temperature_c",
    "--alkalinity": "total_alkalinity",
    "--calcium": "calcium_hardness",
    "--cyanuric-acid": "cyanuric_acid",
    "--salt": "salt",
    "--orp": "orp_mv",
    "--turbidity": "turbidity_ntu",
    "--clarity": "clarity",
    "--circulation": "circulation",
}
PLAIN = ("at", "source", "reason", "purpose", "note", "id")
AGAINST = {
    "meets": "meets",
    "meets-borderline": "meets, borderline",
    "does-not-meet-borderline": "does not meet, borderline",
    "does-not-meet": "does not meet",
    "close": "rules say close",
    "evacuate": "rules say: everyone out and close",
    "not-judged": "Not judged. Not a pass.",
}
PLACE = re.compile(r"readings\[(\d+)\]")
COMPARED = {"at-least": "at least", "at-most": "at most", "equals": "must be"}


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Describe the command's arguments."""
    verbs = parser.add_subparsers(dest="verb", required=True)
    adding = verbs.add_parser(
        "add", help="save a round; JSON on standard input where no reading is given"
    )
    adding.add_argument("--pool", help="the pool's id")
    for flag, parameter in READINGS.items():
        adding.add_argument(flag, dest=f"reading_{parameter}", metavar="VALUE", help=parameter)
    adding.add_argument("--fahrenheit", action="store_true", help="--temperature is in F")
    adding.add_argument("--reading", action="append", default=[], metavar="PARAMETER=VALUE[@POINT]")
    adding.add_argument("--point", help="where in the pool the sample was taken")
    adding.add_argument("--kit", help="the test kit's id")
    adding.add_argument("--at", help="when it was taken, such as 2026-07-01T05:51:00+02:00")
    adding.add_argument("--by", help="who tested: id, initials or name")
    adding.add_argument("--source", help="direct, late or paper")
    adding.add_argument("--reason", help="why it is entered late")
    adding.add_argument("--purpose", help="round or sample")
    adding.add_argument("--bathers", help="how many were in")
    adding.add_argument("--note", help="a remark; no names")
    adding.add_argument("--id", help="an id of your own (UUID 7): a resend then stands once")
    adding.add_argument(
        "--from", dest="file", metavar="FILE", help="JSON or JSON Lines; - is stdin"
    )
    change = verbs.add_parser("correct", help="put a correction beside a reading; both stay")
    change.add_argument("round", help="the round's id")
    for flag in ("--parameter", "--value", "--reason"):
        change.add_argument(flag, required=True)
    change.add_argument("--point")
    change.add_argument("--by", help="who corrects: id, initials or name")


def run(arguments: argparse.Namespace) -> int:
    """Run one verb."""
    with shell_book(arguments) as book:
        actor = actor_named(book, arguments.by)
        if arguments.verb == "correct":
            given = {key: getattr(arguments, key) for key in ("round", "parameter", "value")}
            given["reason"] = arguments.reason
            if arguments.point is not None:
                given["point"] = arguments.point
            return tell(arguments, correct_reading(book, actor, given))
        given = round_of(arguments)
        if arguments.file or not given["readings"]:
            return from_stream(book, arguments)
        try:
            return tell(arguments, record_round(book, actor, given))
        except InputError as error:
            raise by_flag(error, given["readings"]) from None


def by_flag(error: InputError, rows: list[dict[str, Any]]) -> InputError:
    """Name the flag of a reading that does not fit, instead of its place in the list."""
    found = PLACE.match(error.field)
    if found is None:
        return error
    parameter = rows[int(found[1])]["parameter"]
    flags = {value: key for key, value in READINGS.items()}
    message = str(error).removeprefix(f"{error.field}: ")
    return InputError(flags.get(parameter, f"--reading {parameter}"), message)


def round_of(arguments: argparse.Namespace) -> dict[str, Any]:
    """Give the round that the flags spell."""
    given: dict[str, Any] = {
        key: getattr(arguments, key) for key in PLAIN if getattr(arguments, key) is not None
    }
    if arguments.pool is not None:
        given["pool"] = arguments.pool
    if arguments.bathers is not None:
        given["bathers"] = whole_number(arguments.bathers, "--bathers")
    rows = [
        {"parameter": parameter, "value": getattr(arguments, f"reading_{parameter}")}
        for parameter in READINGS.values()
        if getattr(arguments, f"reading_{parameter}") is not None
    ]
    rows += [spelled(text) for text in arguments.reading]
    for row in rows:
        if arguments.point is not None:
            row.setdefault("point", arguments.point)
        if arguments.kit is not None and row["parameter"] not in ("clarity", "circulation"):
            row["kit"] = arguments.kit
        if arguments.fahrenheit and row["parameter"] == "temperature_c":
            row["unit"] = "F"
    given["readings"] = rows
    return given


def spelled(text: str) -> dict[str, str]:
    """Read PARAMETER=VALUE or PARAMETER=VALUE@POINT."""
    parameter, mark, rest = text.partition("=")
    if not mark:
        raise InputError("--reading", f"{text[:40]!r}: write PARAMETER=VALUE or ...=VALUE@POINT")
    value, _, point = rest.partition("@")
    row = {"parameter": parameter, "value": value}
    return row | ({"point": point} if point else {})


def from_stream(book: Book, arguments: argparse.Namespace) -> int:
    """Save one JSON round, or one a line; lines are answered one to one."""
    if arguments.file in (None, "-"):
        return answer_stream(book, arguments, sys.stdin.buffer)
    with open_file(arguments.file, "--from") as stream:
        return answer_stream(book, arguments, stream)


def answer_stream(book: Book, arguments: argparse.Namespace, stream: BinaryIO) -> int:
    """Read a stream: JSON Lines where the first line is JSON, else one JSON text."""
    lines = each_line(stream)
    first = next(lines, b"")
    if first is not None and not first.strip():
        raise InputError("readings", "are missing: give --free, --ph and so on, or JSON on stdin")
    if not readable(first):
        whole = (first or b"") + stream.read(LONGEST + 1)
        return tell(arguments, save(book, arguments, read_json(whole)))
    return save_lines(book, arguments, chain([first], lines))


def readable(line: bytes | None) -> bool:
    """Tell whether a line is JSON by itself."""
    try:
        read_json(line or b"")
    except LanewaterError:
        return False
    return True


def save_lines(book: Book, arguments: argparse.Namespace, lines: Iterator[bytes | None]) -> int:
    """Save a round a line; a bad line gives its error in its place."""
    code = 0
    for number, line in enumerate(lines, start=1):
        try:
            if line is None:
                raise InputError("", "the line is longer than a million characters")
            write_answer(save(book, arguments, read_json(line)))
        except LanewaterError as error:
            if not book.recording:
                raise
            write_answer({"line": number, "error": str(error)})
            code = 1
    return code


def save(book: Book, arguments: argparse.Namespace, given: Any) -> dict[str, Any]:
    """Save one round that came as JSON; flags fill in what it does not say."""
    if not isinstance(given, dict):
        raise InputError("", 'an object is wanted, such as {"pool": "main", "readings": {...}}')
    if arguments.pool is not None:
        given = {"pool": arguments.pool, **given}
    named = given.pop("by", arguments.by)
    if named is not None and not isinstance(named, str):
        raise InputError("by", "must be a person's id, initials or name")
    return record_round(book, actor_named(book, named), given)


def tell(arguments: argparse.Namespace, answer: dict[str, Any]) -> int:
    """Print an answer for a program or for a person."""
    if arguments.json:
        write_answer(answer)
    else:
        sys.stdout.write("\n".join(in_words(answer)) + "\n")
    return 0


def in_words(answer: dict[str, Any]) -> list[str]:
    """Say what came of a round: people first, then what fails, then what was doubtful."""
    again = " (it was on record already)" if answer["repeated"] else ""
    words = [f"Saved {answer['recorded_at']}{again}: {answer['round']}"]
    found = answer["verdict"]
    if found is None:
        return [*words, answer.get("why_not_judged", "Not judged. Not a pass.")]
    words += [f"EVERYONE OUT. {stop['why']} {stop['do']}" for stop in found["stops"]]
    words.append(f"Against the rules: {AGAINST[found['overall']]}")
    for row in found["results"]:
        if row["verdict"] not in ("meets", "meets-borderline", "not-judged"):
            compared = COMPARED.get(row["comparison"], row["comparison"])
            words.append(
                f"  {row['parameter']} {row['value']}, {compared} {row['limit']}, {row['clause']}: "
                f"{AGAINST[row['verdict']]}"
            )
    words += [f"  {gap['parameter']}: not judged, {gap['why']}" for gap in found["not_judged"]]
    words += [f"  {row['about']}: {row['why']} {row['do']}" for row in found["findings"]]
    if answer["repeat_asked"]:
        words.append("Test again before anything else.")
    return words
