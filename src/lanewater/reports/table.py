"""A sheet as one flat table: the same rows and every value of them, for CSV and for XLSX."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence
from datetime import UTC, datetime

import xlsxwriter

from lanewater.reports.sheet import Row, Sheet, Value
from lanewater.reports.words import HEADS, KINDS, TIMINGS, parameter_words
from lanewater.terms.cells import guarded
from lanewater.terms.instants import instant_text
from lanewater.terms.parameters import PARAMETERS

START = (
    "line",
    "entry",
    "pool",
    "what",
    "time at the site",
    "time UTC",
    "on record not before UTC",
    "on record by UTC",
    "time",
    "point",
    "by",
)
END = ("bathers", "against the rules", "what happened", "marks", "numbers before corrections")
USUAL = ("free_chlorine", "total_chlorine", "combined_chlorine", "ph", "temperature_c", "clarity")
# A cell of a workbook holds no more; what is longer is cut visibly, and whole in CSV.
LONGEST_CELL = 32_000
CUT = " [cut here; whole in CSV]"
BYTE_ORDER_MARK = "\ufeff"
TEXT_ALONE = {"strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}


def table_of(sheet: Sheet) -> Iterator[list[str]]:
    """Give a sheet's head and rows; no cell of it is taken for a formula where it is opened."""
    columns = columns_of(sheet)
    yield [*START, *(column_head(name) for name in columns), *END]
    for pool in sheet.pools:
        for row in pool.rows:
            yield [guarded(text) for text in cells_of(row, pool.name, columns)]
    for row in sheet.others:
        yield [guarded(text) for text in cells_of(row, row.pool, columns)]


def columns_of(sheet: Sheet) -> list[str]:
    """Give the parameters that have a column: the usual ones, and whatever was read."""
    read = {name for pool in sheet.pools for row in pool.rows for name in row.values}
    order = [*HEADS, *(name for name in PARAMETERS if name not in HEADS)]
    return [name for name in order if name in read or name in USUAL]


def column_head(name: str) -> str:
    """Give a column's head, with the unit that its numbers are in where none stands beside them."""
    unit = PARAMETERS[name].unit
    return f"{parameter_words(name)} [{unit}]" if unit else parameter_words(name)


def cells_of(row: Row, pool: str, columns: Sequence[str]) -> list[str]:
    """Give a row's cells."""
    return [
        "" if row.line is None else str(row.line),
        row.entry,
        pool,
        KINDS.get(row.kind, row.kind),
        row.at,
        instant_text(row.at_ms),
        "" if row.known_from_ms is None else instant_text(row.known_from_ms),
        "" if row.received_ms is None else instant_text(row.received_ms),
        TIMINGS.get(row.timing, row.timing) or (row.timing and "on time"),
        row.point,
        row.by,
        *(" / ".join(map(cell_text, row.values.get(name, ()))) for name in columns),
        row.bathers,
        row.outcome,
        row.text,
        ", ".join(row.flags),
        "; ".join(before_words(row)),
    ]


def cell_text(value: Value) -> str:
    """Write a reading as it stands; one that was worked out stands in brackets."""
    return f"({value.text})" if value.computed else value.text


def before_words(row: Row) -> Iterator[str]:
    """Give every number that stood before a correction."""
    for name, values in row.values.items():
        for value in values:
            if value.was:
                yield f"{parameter_words(name)} {', then '.join(value.was)}, now {value.text}"


def csv_of(sheet: Sheet) -> bytes:
    """Write a sheet as CSV: UTF-8 with a byte order mark, as spreadsheets ask for."""
    stream = io.StringIO()
    stream.write(BYTE_ORDER_MARK)
    csv.writer(stream).writerows(table_of(sheet))
    return stream.getvalue().encode()


def xlsx_of(sheet: Sheet) -> bytes:
    """Write a sheet as a workbook; every cell is text, exactly as on record."""
    stream = io.BytesIO()
    book = xlsxwriter.Workbook(stream, {"constant_memory": True, **TEXT_ALONE})
    book.set_properties(
        {
            "title": f"{sheet.site}: {sheet.title}, {sheet.period}",
            "created": datetime.fromtimestamp(sheet.recorded_ms // 1000, UTC).replace(tzinfo=None),
        }
    )
    bold = book.add_format({"bold": True, "text_wrap": True, "valign": "top"})
    rows = book.add_worksheet("Rows")
    rows.freeze_panes(1, 0)
    rows.set_column(0, len(START) + len(columns_of(sheet)) + len(END), 14)
    for place, cells in enumerate(table_of(sheet)):
        for column, text in enumerate(cells):
            rows.write_string(place, column, fitting(text), bold if place == 0 else None)
    about = book.add_worksheet("About")
    about.set_column(0, 0, 24)
    about.set_column(1, 1, 90)
    for place, (name, text) in enumerate(about_of(sheet)):
        about.write_string(place, 0, guarded(name), bold)
        about.write_string(place, 1, fitting(guarded(text)))
    book.close()
    return stream.getvalue()


def fitting(text: str) -> str:
    """Cut a text that no cell of a workbook holds, visibly."""
    return text if len(text) <= LONGEST_CELL else text[:LONGEST_CELL] + CUT


def about_of(sheet: Sheet) -> Iterator[tuple[str, str]]:
    """Give what belongs to a sheet beside its rows."""
    yield "site", sheet.site + (" (DEMO, not your pool)" if sheet.demo else "")
    yield "sheet", f"{sheet.title}: {sheet.period}"
    yield "time zone", sheet.timezone
    yield "on record", f"{sheet.size} lines, the newest of {sheet.as_of}"
    for line in sheet.stamp.splitlines():
        if line:
            yield "stamp", line
    for pool in sheet.pools:
        for text in (*pool.intervals, *pool.rules, *pool.limits):
            yield pool.name, text
    yield from sheet.people
    for device, identity, signs in sheet.devices:
        yield f"device {device}", f"{identity}, {signs}"
    for kit, lots in sheet.kits:
        yield f"kit {kit}", lots
