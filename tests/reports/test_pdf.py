"""A printed sheet is one that archives keep, screen readers read, and anybody can check."""

from __future__ import annotations

import io
from dataclasses import replace
from functools import cache

import pytest
import typst
from pypdf import PdfReader
from tests.baths import GOOD, Baths
from tests.reports.sheet_cases import correct, sheet

from lanewater.records.stamps import read_stamp
from lanewater.reports import overview, pdf
from lanewater.reports.code import MODULE_MM, stamp_code
from lanewater.reports.glyphs import seen
from lanewater.reports.pdf import draws, pdf_of
from lanewater.reports.sheet import Sheet
from lanewater.service.rounds import record_round
from lanewater.terms.errors import RefusedError

A4, LETTER = (595, 842), (612, 792)
POINTS_A_MM = 72 / 25.4
HOSTILE = '#panic("x") *b* _i_ $x$ @ref <tag> `raw` \\ // /* [u] {v} #import "a": *'
UNKNOWN = "游泳池 \u202egnp.exe \U0001f44d\U0001f3fd \ue000"


def reader(content: bytes) -> PdfReader:
    """Open a PDF."""
    return PdfReader(io.BytesIO(content))


def text_of(content: bytes) -> str:
    """Give all text of a PDF, its lines joined."""
    return " ".join(page.extract_text() for page in reader(content).pages)


def flat(text: str) -> str:
    """Give a text without its spaces, which a line's end may take or give."""
    return "".join(text.split())


def noted(baths: Baths, note: str) -> Sheet:
    """Give the sheet of a day with a round that has a note."""
    record_round(baths.book, baths.who("tester"), {"pool": "main", "readings": GOOD, "note": note})
    return sheet(baths)


@cache
def signs_drawn() -> bool:
    """Tell whether this machine's fonts happen to draw Chinese."""
    return draws("游")


def test_it_says_of_itself_that_it_is_for_archives_and_for_screen_readers(baths: Baths) -> None:
    baths.round()
    found = reader(pdf_of(sheet(baths)))
    claims = found.trailer["/Root"]["/Metadata"].get_data().decode()
    assert "<pdfaid:part>3</pdfaid:part>" in claims
    assert "<pdfaid:conformance>A</pdfaid:conformance>" in claims
    assert "<pdfuaid:part>1</pdfuaid:part>" in claims
    root = found.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert root["/Lang"] == "en"
    assert "Harbour Baths" in found.metadata.title
    assert "/StructTreeRoot" in root


def test_the_same_data_is_printed_to_the_same_bytes(baths: Baths) -> None:
    entry = baths.round()["round"]
    correct(baths, entry, "ph", "7.34")
    first = sheet(baths)
    baths.wait(24 * 60)
    whole_day = sheet(baths)
    baths.wait(3 * 24 * 60)
    assert pdf_of(whole_day) == pdf_of(sheet(baths))
    assert pdf_of(replace(first, site="Other Baths")) != pdf_of(first)


def test_its_date_is_that_of_the_records_newest_line(baths: Baths) -> None:
    baths.round()
    baths.wait(3)
    found = reader(pdf_of(sheet(baths)))
    assert found.metadata.creation_date is not None
    assert found.metadata.creation_date.strftime("%Y-%m-%d %H:%M") == "2026-07-01 09:51"


def test_the_lines_stand_in_the_file_byte_for_byte(baths: Baths) -> None:
    baths.round()
    made = sheet(baths)
    assert dict(reader(pdf_of(made)).attachments) == {"events.jsonl": [made.events]}


def test_every_page_bears_the_stamp_as_text_and_as_a_code_and_its_own_number(
    baths: Baths,
) -> None:
    for _ in range(45):
        baths.round()
        baths.wait(30)
    made = sheet(baths)
    pages = reader(pdf_of(made)).pages
    assert len(pages) >= 3
    for number, page in enumerate(pages, 1):
        words = flat(page.extract_text())
        for line in made.stamp.splitlines()[:3]:
            assert flat(line) in words
        assert f"Page{number}/{len(pages)}" in words
    assert read_stamp(made.stamp).head.size == made.size


def test_a_module_of_the_code_is_half_a_millimetre_and_more(baths: Baths) -> None:
    made = sheet(baths)
    drawing, width_mm = stamp_code(made.stamp)
    modules = int(drawing.split('width="')[1].split('"')[0])
    assert width_mm / modules == MODULE_MM >= 0.5
    assert width_mm < 45


def test_a_sheet_without_a_stamp_says_so(baths: Baths) -> None:
    baths.round()
    assert flat("This sheet bears no stamp") in flat(text_of(pdf_of(sheet(baths, stamped=False))))


@pytest.mark.parametrize(("us_paper", "size"), [(False, A4), (True, LETTER)])
def test_it_is_a4_and_letter_where_units_are_of_the_us(
    baths: Baths, us_paper: bool, size: tuple[int, int]
) -> None:
    baths.round()
    made = replace(sheet(baths), us_paper=us_paper)
    for page in reader(pdf_of(made)).pages:
        assert (round(page.mediabox.width), round(page.mediabox.height)) == size


def test_what_somebody_typed_is_never_read_as_markup(baths: Baths) -> None:
    assert flat(HOSTILE) in flat(text_of(pdf_of(noted(baths, HOSTILE))))


def test_a_sign_that_no_font_has_is_shown_by_its_number_and_never_left_out(baths: Baths) -> None:
    words = flat(text_of(pdf_of(noted(baths, UNKNOWN))))
    shown = "游泳池" if signs_drawn() else "[U+6E38][U+6CF3][U+6C60]"
    assert shown in words
    for number in ("[U+202E]", "[U+E000]"):
        assert number in words
    assert flat("shown by their number") in words


def test_signs_that_fail_only_beside_each_other_are_all_shown_by_number(
    baths: Baths, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = noted(baths, "游泳池 é")
    monkeypatch.setattr(pdf, "draws", lambda _text: True)
    words = flat(text_of(pdf_of(made)))
    assert "[U+6E38]" in words or signs_drawn()


def test_a_fault_in_the_template_is_not_taken_for_a_missing_sign(
    baths: Baths, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = sheet(baths)
    monkeypatch.setattr(pdf, "FONTS", ({"covers": "x"},))
    with pytest.raises(typst.TypstError):
        pdf_of(made)


@pytest.mark.parametrize(
    "text", ["Tévé Őrs", "Ж", "Ω", "ạ", "→", "½", "“x”", "mg/L · °C", "–", "≥"]
)
def test_europes_scripts_are_drawn(text: str) -> None:
    assert draws(text)
    assert seen(text, frozenset()) == text


def test_a_sheet_too_long_to_print_is_refused_with_what_to_do(
    baths: Baths, monkeypatch: pytest.MonkeyPatch
) -> None:
    baths.round()
    monkeypatch.setattr(overview, "MOST_ROWS", 0)
    with pytest.raises(RefusedError, match="CSV"):
        pdf_of(sheet(baths))
