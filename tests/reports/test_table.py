"""The same rows as a table: text as it is on record, and nothing that a spreadsheet would run."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from typing import Any

import pytest
from openpyxl import load_workbook
from tests.baths import GOOD, Baths
from tests.reports.sheet_cases import correct, sheet

from lanewater.reports.sheet import Sheet
from lanewater.reports.table import CUT, LONGEST_CELL, csv_of, table_of, xlsx_of
from lanewater.service.rounds import record_round

FORMULAS = ["=1+1", "+1+1", "-1+1", "@SUM(A1)", "\t=1", "＝1+1", "＋1", '=HYPERLINK("http://x")']
STARTS = ("=", "+", "@", "\t", "\r", "＝", "＋", "－", "＠")


def csv_rows(made: Sheet) -> list[list[str]]:
    """Read a sheet's CSV."""
    text = csv_of(made).decode("utf-8-sig")
    return list(csv.reader(io.StringIO(text, newline="")))


def xlsx_cells(made: Sheet, name: str = "Rows") -> list[list[Any]]:
    """Read the cells of a sheet's workbook."""
    book = load_workbook(io.BytesIO(xlsx_of(made)))
    return [list(row) for row in book[name].iter_rows()]


def test_both_forms_hold_the_same_rows(baths: Baths) -> None:
    entry = baths.round()["round"]
    correct(baths, entry, "ph", "7.34")
    made = sheet(baths)
    rows = list(table_of(made))
    assert csv_rows(made) == rows
    read = [[cell.value or "" for cell in row] for row in xlsx_cells(made)]
    assert read == rows
    assert len(rows) > 2


@pytest.mark.parametrize("note", FORMULAS)
def test_what_was_typed_is_never_run_where_the_table_is_opened(baths: Baths, note: str) -> None:
    record_round(baths.book, baths.who("tester"), {"pool": "main", "readings": GOOD, "note": note})
    made = sheet(baths)
    named = replace(made, pools=(replace(made.pools[0], name=note), *made.pools[1:]))
    for row in csv_rows(named)[1:]:
        assert not any(cell.startswith(STARTS) for cell in row)
    for cells in (*xlsx_cells(named), *xlsx_cells(named, "About")):
        for cell in cells:
            assert cell.data_type in ("s", "n")
            assert cell.value is None or cell.data_type == "s"
            assert cell.hyperlink is None
            assert not str(cell.value or "").startswith(STARTS)


def test_the_same_data_is_written_to_the_same_bytes(baths: Baths) -> None:
    baths.round()
    made = sheet(baths)
    assert csv_of(made) == csv_of(sheet(baths))
    assert xlsx_of(made) == xlsx_of(sheet(baths))


def test_csv_begins_with_a_byte_order_mark_and_ends_its_lines_as_the_standard_says(
    baths: Baths,
) -> None:
    found = csv_of(sheet(baths))
    assert found.startswith(b"\xef\xbb\xbfline,")
    assert found.count(b"\n") == found.count(b"\r\n")


def test_a_text_that_no_cell_holds_is_cut_visibly_in_a_workbook_and_whole_in_csv(
    baths: Baths,
) -> None:
    baths.round()
    made = sheet(baths)
    row = replace(made.pools[0].rows[0], text="x" * (LONGEST_CELL + 1))
    long = replace(made, pools=(replace(made.pools[0], rows=(row,)),))
    assert any(str(cell.value).endswith(CUT) for cells in xlsx_cells(long) for cell in cells)
    assert any("x" * (LONGEST_CELL + 1) in cell for cells in csv_rows(long) for cell in cells)


def test_the_workbook_says_which_record_it_is_of(baths: Baths) -> None:
    baths.round()
    made = sheet(baths)
    about = [[cell.value for cell in row] for row in xlsx_cells(made, "About")]
    assert ["site", "Harbour Baths"] in about
    assert [row[1] for row in about if row[0] == "stamp"] == [
        line for line in made.stamp.splitlines() if line
    ]
