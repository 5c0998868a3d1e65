"""The page of who may use what is the table that is tested."""

from __future__ import annotations

from tests.docs.authority_reference import PAGE, page


def test_the_page_is_the_table_as_it_is_tested() -> None:
    assert PAGE.read_text(encoding="utf-8") == page()
