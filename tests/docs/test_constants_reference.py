"""The page of constants is what constants.toml says."""

from __future__ import annotations

from tests.docs.constants_reference import PAGE, TEXT, page


def test_the_page_is_written_from_the_constants() -> None:
    assert PAGE.read_text(encoding="utf-8") == page(), "python -m tests.docs.constants_reference"


def test_every_constant_and_its_source_stands_on_the_page() -> None:
    shown = page()
    for line in TEXT.read_text(encoding="utf-8").splitlines():
        if line.startswith("source = "):
            assert line.split('"')[1] in shown
