"""`lanewater sheet`: the record of a day, a month or any period, to print or to open in a table.

`lanewater sheet blank` is the paper for when no tablet is at hand, `lanewater sheet sign` the sign
for the public that a pool is closed.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

from lanewater.interfaces.cli.folder import shell_book
from lanewater.interfaces.cli.lines import write_answer
from lanewater.reports.sheet import Sheet
from lanewater.reports.sign_words import LANGUAGES, REASONS
from lanewater.service.blank_sheets import blank_of
from lanewater.service.book import Book
from lanewater.service.sheet_days import day_at, day_named, days_of_month, sheet_wanted
from lanewater.service.sheets import Wanted, sheet_of
from lanewater.service.stamping import stamp
from lanewater.terms.errors import InputError, LanewaterError, MissingError

FORMATS = ("pdf", "csv", "xlsx")
TITLES = {"day": "Day sheet", "month": "Month sheet", "period": "Sheet"}


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Describe the command's arguments."""
    verbs = parser.add_subparsers(dest="verb", required=True)
    day = verbs.add_parser("day", help="one day at the site")
    day.add_argument("--date", help="such as 2026-11-25; today where left out")
    month = verbs.add_parser("month", help="one month")
    month.add_argument("--month", help="such as 2026-11; this month where left out")
    period = verbs.add_parser("period", help="from one day to another, both included")
    period.add_argument("--from", dest="since", required=True, help="such as 2025-12-01")
    period.add_argument("--to", dest="until", help="today where left out")
    for verb in (day, month, period):
        verb.add_argument("--pool", action="append", default=[], help="only this pool; repeatable")
        verb.add_argument("--format", choices=FORMATS, help="default: as --out ends, else pdf")
        verb.add_argument("--out", metavar="FILE", help="default: a name made from the period")
    blank = verbs.add_parser("blank", help="an empty sheet in the site's columns, as PDF")
    blank.add_argument("--pool", action="append", default=[], help="only this pool; repeatable")
    blank.add_argument("--out", metavar="FILE", help="default: lanewater-blank.pdf")
    sign = verbs.add_parser("sign", help="a sign that a pool is closed, for the public, as PDF")
    sign.add_argument("pool", help="the pool's id")
    sign.add_argument("--language", action="append", default=[], choices=LANGUAGES)
    sign.add_argument("--reason", choices=tuple(REASONS), help="default: as the record says")
    sign.add_argument("--out", metavar="FILE", help="default: lanewater-sign-POOL.pdf")


def run(arguments: argparse.Namespace) -> int:
    """Make a sheet and write it to a file."""
    if arguments.verb == "blank":
        return run_blank(arguments)
    if arguments.verb == "sign":
        return run_sign(arguments)
    form = format_of(arguments.format, arguments.out)
    with shell_book(arguments) as book:
        first, last = days_of(book, arguments)
        wanted = sheet_wanted(
            TITLES[arguments.verb],
            book.state.site.timezone,
            first,
            last,
            tuple(dict.fromkeys(arguments.pool)),
        )
        days = str(first) if first == last else f"{first}-to-{last}"
        path = Path(arguments.out or f"lanewater-{arguments.verb}-{days}.{form}")
        signed = stamp_or_none(book)
        sheet = sheet_of(book, wanted, signed)
        written = [
            keep(path.with_name(f"{path.stem}{name}{path.suffix}"), content)
            for name, content in contents(book, wanted, sheet, signed, form)
        ]
    answer = answer_of(sheet, written, form)
    if arguments.json:
        write_answer(answer)
    else:
        sys.stdout.write("\n".join(in_words(answer)) + "\n")
    return 0


def run_blank(arguments: argparse.Namespace) -> int:
    """Make a blank sheet and write it to a file; the printer is fetched only here."""
    from lanewater.reports.blank import blank_pdf  # noqa: PLC0415 - the printer is heavy

    with shell_book(arguments) as book:
        blank = blank_of(book, arguments.pool)
    name, size = keep(Path(arguments.out or "lanewater-blank.pdf"), blank_pdf(blank))
    pools = [pool.name for pool in blank.pools]
    if arguments.json:
        write_answer({"file": name, "format": "pdf", "bytes": size, "pools": pools})
    else:
        sys.stdout.write(f"{name}: blank sheet for {', '.join(pools)}\n")
    return 0


def run_sign(arguments: argparse.Namespace) -> int:
    """Make a sign and write it to a file; the printer is fetched only here."""
    from lanewater.reports.sign import sign_pdf  # noqa: PLC0415 - the printer is heavy
    from lanewater.service.sign_sheets import sign_of  # noqa: PLC0415

    with shell_book(arguments) as book:
        sign = sign_of(book, arguments.pool, arguments.language, arguments.reason or "")
    path = Path(arguments.out or f"lanewater-sign-{arguments.pool}.pdf")
    name, size = keep(path, sign_pdf(sign))
    if arguments.json:
        told = {"reason": sign.reason, "languages": list(sign.languages)}
        write_answer({"file": name, "format": "pdf", "bytes": size} | told)
    else:
        sys.stdout.write(f"{name}: sign for {sign.pool} in {', '.join(sign.languages)}\n")
    return 0


def format_of(named: str | None, out: str | None) -> str:
    """Give the form to write: as named, as the file's name ends, else PDF."""
    ending = Path(out).suffix[1:].lower() if out else ""
    if named is None and out and ending not in FORMATS:
        raise InputError("--out", f"must end in .{', .'.join(FORMATS)}, or give --format")
    return named or ending or "pdf"


def days_of(book: Book, arguments: argparse.Namespace) -> tuple[date, date]:
    """Give the first and the last day that are wanted."""
    today = day_at(book.state.site.timezone, book.clock())
    if arguments.verb == "day":
        day = today if arguments.date is None else day_named(arguments.date, "--date")
        return day, day
    if arguments.verb == "month":
        return days_of_month(arguments.month or str(today)[:7], "--month")
    first = day_named(arguments.since, "--from")
    return first, today if arguments.until is None else day_named(arguments.until, "--to")


def stamp_or_none(book: Book) -> str:
    """Give the record's stamp; without one the sheet is printed all the same and says so."""
    try:
        return stamp(book)
    except LanewaterError as error:
        sys.stderr.write(f"Without a stamp: {error}\n")
        return ""


def contents(
    book: Book, wanted: Wanted, sheet: Sheet, signed: str, form: str
) -> Iterator[tuple[str, bytes]]:
    """Give what is written, by what goes behind the file's name.

    The printer is fetched only where it is asked for.
    """
    if form == "pdf":
        from lanewater.service.sheet_files import printed  # noqa: PLC0415 - the printer is heavy

        yield from printed(book, wanted, sheet, signed)
        return
    from lanewater.reports.table import csv_of, xlsx_of  # noqa: PLC0415 - only for a table

    yield "", csv_of(sheet) if form == "csv" else xlsx_of(sheet)


def keep(path: Path, content: bytes) -> tuple[str, int]:
    """Write a file whole or not at all, and give its name and how long it is."""
    half = path.with_name(f".{path.name}.half")
    try:
        half.write_bytes(content)
        half.replace(path)
    except OSError as error:
        half.unlink(missing_ok=True)
        raise MissingError(f"--out: {path} cannot be written: {error.strerror}") from None
    return os.fspath(path), len(content)


def answer_of(sheet: Sheet, written: list[tuple[str, int]], form: str) -> dict[str, Any]:
    """Say what was written."""
    counts = [pool.counts for pool in sheet.pools]
    return {
        "file": written[0][0],
        "format": form,
        "bytes": written[0][1],
        "also": [name for name, _ in written[1:]],
        "period": sheet.period,
        "rounds": sum(count["rounds"] for count in counts),
        "missed": sum(count["missed"] for count in counts),
        "failures": sum(count["failures"] for count in counts),
        "corrected": sum(count["corrected"] for count in counts),
        "lines": sheet.size,
        "stamped": bool(sheet.stamp),
    }


def in_words(answer: dict[str, Any]) -> list[str]:
    """Say for people what was written."""
    counted = (
        f"{answer['rounds']} rounds, {answer['missed']} due and not done, {answer['failures']} not"
        f" met or not judged, {answer['corrected']} corrected"
    )
    also = [f"with {len(answer['also'])} month sheets beside it" for _ in answer["also"][:1]]
    return [f"{answer['file']}: {answer['period']}", *also, counted]
