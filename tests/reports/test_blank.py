"""Blank sheets: the site's own columns and nothing in them."""

from __future__ import annotations

from io import BytesIO

import pytest
from pypdf import PdfReader

from lanewater.reports.blank import ROWS, Blank, BlankPool, blank_pdf, columns_of


def test_the_columns_are_those_of_the_pool_in_the_order_of_a_round() -> None:
    pool = BlankPool("Main", "chlorine", ("shallow end", "deep end"))
    names = [one.name for one in columns_of(pool, fahrenheit=False)]
    read = ["Where", "Free", "pH", "Total"]
    assert names[:4] == ["Time", "Bottom seen", "Water", "Pump running"]
    assert names[4:8] == read


@pytest.mark.parametrize(
    ("disinfectant", "has", "lacks"),
    [("bromine", "Bromine", "Free"), ("other", "pH", "Total"), ("chlorine", "Free", "Bromine")],
)
def test_a_column_is_there_only_for_what_the_pool_is_tested_for(
    disinfectant: str, has: str, lacks: str
) -> None:
    names = {one.name for one in columns_of(BlankPool("Spa", disinfectant), fahrenheit=True)}
    assert has in names
    assert lacks not in names


def test_a_blank_sheet_has_a_page_a_pool_and_no_number_on_it() -> None:
    pools = [BlankPool("Main", "chlorine"), BlankPool("Spa", "bromine")]
    made = blank_pdf(Blank("Harbour Baths", pools, False, False, (2026, 11, 26)))
    pages = [page.extract_text() for page in PdfReader(BytesIO(made)).pages]
    assert len(pages) == 2
    assert "Main" in pages[0]
    assert "Bromine" in pages[1]
    # Only the notes at its foot hold digits, and they say how to write, not what.
    table = pages[0].partition("Bottom not seen, cannot")[0]
    assert not any(sign.isdigit() for sign in table)


def test_the_same_blank_sheet_gives_the_same_bytes() -> None:
    blank = Blank("Harbour Baths", [BlankPool("Main", "chlorine")], False, True, (2026, 11, 26))
    assert blank_pdf(blank) == blank_pdf(blank)


def test_there_is_room_for_a_day_of_rounds() -> None:
    assert ROWS >= 12
