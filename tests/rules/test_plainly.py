"""What is wrong with a pack is said with the table, its number and the line."""

from __future__ import annotations

import pytest

from lanewater.rules.pack import compile_pack
from lanewater.rules.plainly import blanks_in, said_plainly, with_lines
from lanewater.rules.skeleton import skeleton_of
from lanewater.service.packs import FOLDER
from lanewater.terms.errors import InputError

TEXT = (FOLDER / "au-sa.toml").read_text(encoding="utf-8")


def said(text: str) -> str:
    with pytest.raises(InputError) as caught:
        compile_pack(text)
    return said_plainly(caught.value, text)


def line_of(text: str, begins: str, place: int = 0) -> int:
    lines = [number for number, line in enumerate(text.splitlines(), 1) if line.startswith(begins)]
    return lines[place]


def test_a_skeleton_says_every_line_that_is_still_empty() -> None:
    text = skeleton_of("us-tx-dallas")
    found = blanks_in(text)
    empty = text.count('= ""') - sum(
        line.count('= ""') for line in text.splitlines() if line.startswith("#")
    )
    assert len(found) == empty
    assert f"The head, line {line_of(text, 'title')}: `title` is still empty" in found[0]
    assert any("Rule 2 (ph-minimum)" in row for row in found)


def test_a_pack_without_its_coverage_is_refused_in_words() -> None:
    text = TEXT.replace("[coverage]", "[coverage_of]")
    assert "The table [coverage] is missing: it says of each of" in blanks_in(text)[0]


def test_a_rule_without_its_clause_is_named_by_number_id_and_line() -> None:
    text = TEXT.replace('clause = "8(1)(b)(ii)"\nsource', "source", 1)
    where = line_of(text, 'id = "combined-chlorine"') - 1
    assert said(text) == (
        f"Rule 7 (combined-chlorine), line {where}: `clause` is missing: the number of the "
        "section, as the law prints it."
    )


def test_a_wrong_word_is_named_by_its_own_line() -> None:
    text = TEXT.replace('parameter = "combined_chlorine"', 'parameter = "bound_chlorine"', 1)
    where = line_of(text, 'parameter = "bound_chlorine"')
    assert said(text).startswith(f"Rule 7 (combined-chlorine), line {where}: `parameter` ")


def test_a_limit_that_is_no_text_is_named() -> None:
    text = TEXT.replace('at_most = "7.6"', "at_most = 7.6", 1)
    assert f"line {line_of(text, 'at_most = 7.6')}: `at_most` " in said(text)


def test_a_line_that_cannot_be_read_is_named() -> None:
    text = TEXT.replace('place = "AU-SA"', "place = AU-SA", 1)
    assert said(text).startswith(f"Line {line_of(text, 'place')}, column ")


def test_a_state_of_coverage_is_named_by_its_line() -> None:
    text = TEXT.replace('clarity = { state = "not-read" }', 'clarity = { state = "open" }', 1)
    assert f"line {line_of(text, 'clarity')}: `clarity.state` " in said(text)


def test_a_golden_case_is_named_by_its_line_only_where_it_has_a_table_of_its_own() -> None:
    trouble = ["golden case 1: overall is not-judged, printed meets"]
    told = with_lines(trouble, 'id = "a"\n\n[[golden]]\noverall = "meets"\n')
    assert told == ["Golden case 1, line 3: overall is not-judged, printed meets"]
    assert with_lines(trouble, 'golden = [{ overall = "meets" }]\n') == trouble
