"""Whatever was typed stands in every form of a sheet, corrected or not."""

from __future__ import annotations

import csv
import io
import random
from datetime import timedelta

from openpyxl import load_workbook
from pypdf import PdfReader
from tests.baths import Baths
from tests.reports.sheet_cases import FIRST_DAY, sheet

from lanewater.reports.pdf import pdf_of
from lanewater.reports.sheet import Sheet
from lanewater.reports.table import csv_of, xlsx_of
from lanewater.service.actor import SHELL
from lanewater.service.rounds import correct_reading, record_round

SEED = 20261125
ROUNDS = 50
POOLS = ("main", "teaching", "plunge")
RANGES = {
    "free_chlorine": (0, 8),
    "total_chlorine": (0, 9),
    "ph": (6, 9),
    "temperature_c": (20, 39),
    "total_alkalinity": (40, 240),
    "cyanuric_acid": (0, 99),
    "orp_mv": (400, 900),
    "turbidity_ntu": (0, 4),
    "controller_free": (0, 8),
    "nitrate": (1, 60),
}


def typed(chance: random.Random, parameter: str) -> str:
    """Make a number that stands nowhere else by chance, over range now and then."""
    low, high = RANGES[parameter]
    text = f"{chance.uniform(low, high):.3f}"
    return f">{text}" if chance.random() < 0.08 else text


def fifty_rounds(baths: Baths, chance: random.Random) -> list[str]:
    """Record random rounds with corrections, and give every number that was ever typed."""
    values: list[str] = []
    for _ in range(ROUNDS):
        read = chance.sample(sorted(RANGES), chance.randint(1, len(RANGES)))
        points = chance.sample(["shallow", "deep"], chance.randint(1, 2))
        readings = [
            {"parameter": name, "value": typed(chance, name), "point": point}
            for point in points
            for name in read
        ]
        given = {"pool": chance.choice(POOLS), "readings": readings}
        if chance.random() < 0.3:
            before = {**readings[0], "value": typed(chance, read[0])}
            given["changed_after_result"] = [before]
            values.append(before["value"])
        entry = record_round(baths.book, baths.who("tester"), given)["round"]
        values += [row["value"] for row in readings]
        if len(points) == 1 and chance.random() < 0.5:
            for name in chance.sample(read, chance.randint(1, len(read))):
                for _ in range(chance.randint(1, 2)):
                    values.append(typed(chance, name))
                    change_point(baths, entry, name, values[-1], points[0])
        baths.wait(chance.randint(20, 240))
    return values


def change_point(baths: Baths, entry: str, name: str, value: str, point: str) -> None:
    """Correct a reading at a point."""
    given = {"round": entry, "parameter": name, "value": value, "reason": "r", "point": point}
    correct_reading(baths.book, SHELL, given)


def missing(values: list[str], text: str) -> list[str]:
    """Give the numbers that do not stand in a text."""
    packed = "".join(text.split())
    return [value for value in values if value not in packed]


def pdf_text(made: Sheet) -> str:
    """Give the text of a sheet's pages, without what is attached."""
    pages = PdfReader(io.BytesIO(pdf_of(made))).pages
    return " ".join(page.extract_text() for page in pages)


def xlsx_text(made: Sheet) -> str:
    """Give the text of a workbook's rows."""
    rows = load_workbook(io.BytesIO(xlsx_of(made)))["Rows"].iter_rows(values_only=True)
    return " ".join(str(cell) for row in rows for cell in row if cell is not None)


def test_every_number_that_was_ever_typed_stands_in_every_form(baths: Baths) -> None:
    values = fifty_rounds(baths, random.Random(SEED))  # noqa: S311 - no secret, a repeatable test
    made = sheet(baths, FIRST_DAY, FIRST_DAY + timedelta(days=10))
    assert len(values) > 300
    table = csv.reader(io.StringIO(csv_of(made).decode("utf-8-sig"), newline=""))
    forms = {
        "PDF": pdf_text(made),
        "CSV": " ".join(cell for row in table for cell in row),
        "XLSX": xlsx_text(made),
        "lines": made.events.decode(),
    }
    lacking = {name: missing(values, text) for name, text in forms.items()}
    assert not any(lacking.values()), lacking
    # The check itself sees a number that is not there.
    assert missing(["99.999"], forms["PDF"]) == ["99.999"]
