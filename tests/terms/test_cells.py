"""Cells: no text that somebody typed is taken for a formula where the table is opened."""

from __future__ import annotations

import csv
import io

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from lanewater.terms.cells import guarded

FORMULAS = [
    '=HYPERLINK("http://evil","x")',
    "+1+cmd|' /C calc'!A0",
    "-2+3",
    "@SUM(1)",
    "=1",
    "-",
    "+441234567",
    "-1.2.3",
    "-1E5",
    "=cmd|' /C calc'!'A1'",
]
FULL_WIDTH = str.maketrans("=+-@", "＝＋－＠")


@pytest.mark.parametrize("formula", FORMULAS)
@pytest.mark.parametrize("before", ["", " ", "\u00a0", "\u200b", "\ufeff", "\x00", "\u3000 "])
def test_a_formula_becomes_text(formula: str, before: str) -> None:
    assert guarded(before + formula).startswith("'" + before)
    assert guarded(before + formula.translate(FULL_WIDTH)).startswith("'" + before)


@pytest.mark.parametrize("sign", ["﹦", "﹢", "﹣", "﹫", "⁼", "₊", "−", "⁻"])
def test_small_raised_and_typographic_signs_are_seen(sign: str) -> None:
    assert guarded(f"{sign}A1").startswith("'")


@pytest.mark.parametrize("first", ["\t", "\r", "\n"])
def test_a_tab_or_a_line_end_never_comes_first(first: str) -> None:
    assert guarded(first + "plain").startswith("'")
    assert guarded(first).startswith("'")


@pytest.mark.parametrize(
    "text", ["-1.2", "-0.05", "-1,2", "−0.3", "7.4", "> 5", "<0.1", "-12", " -3"]
)
def test_a_measured_number_stays_as_it_was(text: str) -> None:
    assert guarded(text) == text


@pytest.mark.parametrize("text", ["", "Pump 2", "a=b", "pH 7.2 - 7.6", "Süd-Halle", "2024-05-01"])
def test_plain_text_stays_as_it_was(text: str) -> None:
    assert guarded(text) == text


@pytest.mark.parametrize("separator", [",", ";", "|", "\t", "\n", "\r"])
def test_a_cell_split_again_by_another_separator_holds_no_formula(separator: str) -> None:
    assert guarded(f"pump{separator}=1+1") == f"pump{separator}'=1+1"
    assert guarded(f"pump{separator} @x{separator}-2{separator}ok") == (
        f"pump{separator}' @x{separator}'-2{separator}ok"
    )


def dangerous(cell: str) -> bool:
    return cell.lstrip()[:1] in tuple("=+@") or (
        cell.lstrip()[:1] == "-"
        and not cell.strip()[1:].replace(".", "").replace(",", "").isdigit()
    )


@example(";-1")
@given(st.text(alphabet="=+-@'\" ,;\t\r\n1.xA", max_size=24))
def test_whatever_the_text_no_reader_finds_a_formula_and_guarding_twice_changes_nothing(
    text: str,
) -> None:
    cell = guarded(text)
    assert guarded(cell) == cell
    assert cell.replace("'", "") == text.replace("'", "")
    out = io.StringIO()
    csv.writer(out, quoting=csv.QUOTE_ALL).writerow(["first", cell])
    for separator in (",", ";", "\t"):
        for row in csv.reader(io.StringIO(out.getvalue(), newline=None), delimiter=separator):
            assert not any(dangerous(found) for found in row)
