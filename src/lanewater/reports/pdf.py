"""A sheet as a PDF that archives keep and screen readers read, with its record inside."""

from __future__ import annotations

import json
from importlib.resources import files
from typing import Any

import typst

from lanewater.reports.glyphs import all_seen, doubtful, texts_in, undrawn
from lanewater.reports.overview import MOST_ROWS, fits, rows_in
from lanewater.reports.pages import pages_of
from lanewater.reports.sheet import Sheet
from lanewater.reports.words import BY_NUMBER
from lanewater.terms.errors import RefusedError

STANDARDS: list[typst.PDFStandard] = ["a-3a", "ua-1"]
FONTS = ("Libertinus Serif", "DejaVu Sans Mono", "New Computer Modern")
PROBE = (
    '#set document(title: "probe", date: datetime(year: 2000, month: 1, day: 1))\n'
    '#set text(font: json(bytes(sys.inputs.fonts)), lang: "en")\n#sys.inputs.text'
)


def pdf_of(sheet: Sheet) -> bytes:
    """Print a sheet.

    Parameters
    ----------
    sheet : Sheet
        The same sheet gives the same bytes, with the same fonts on the machine.

    Returns
    -------
    bytes
        PDF/A-3a and PDF/UA-1, the lines attached as events.jsonl. What the machine's fonts have no
        sign for is shown by its number, and the sheet says so.

    Raises
    ------
    RefusedError
        Where it would be too long to print at once.
    """
    if not fits(sheet):
        raise RefusedError(
            f"{rows_in(sheet)} rows are too many for one PDF (at most {MOST_ROWS}): ask for one"
            " pool or a shorter time, or for CSV"
        )
    pages = pages_of(sheet)
    missing = undrawn(doubtful(texts_in(pages)), draws)
    try:
        return compiled(seen_pages(pages, missing), sheet.events)
    except typst.TypstError:
        # Signs that are drawn alone and not beside each other: every doubtful one by its number.
        everything = frozenset(doubtful(texts_in(pages)))
        return compiled(seen_pages(pages, everything), sheet.events)


def seen_pages(pages: dict[str, Any], missing: frozenset[str]) -> dict[str, Any]:
    """Give the pages with nothing unseen on them; the sheet says where a sign is missing."""
    found: dict[str, Any] = all_seen(pages, missing)
    if found != pages:
        found["explained"] = [*found["explained"], BY_NUMBER]
    return found | {"fonts": list(FONTS)}


def compiled(pages: dict[str, Any], events: bytes) -> bytes:
    """Run the template over the pages."""
    source = files("lanewater.reports").joinpath("sheet.typ").read_bytes()
    given = {"data": json.dumps(pages, ensure_ascii=False), "events": events.decode()}
    return bytes(typst.compile(source, sys_inputs=given, pdf_standards=STANDARDS))


def draws(text: str) -> bool:
    """Tell whether the fonts have every sign of a text."""
    given = {"text": text, "fonts": json.dumps(list(FONTS))}
    try:
        typst.compile(PROBE.encode(), sys_inputs=given, pdf_standards=STANDARDS)
    except typst.TypstError:
        return False
    return True
