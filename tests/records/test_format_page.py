"""The page about the record's form names every type and every field of the envelope."""

from __future__ import annotations

from pathlib import Path

import pytest

from lanewater.records.entries import ENVELOPE
from lanewater.records.kinds import KINDS

PAGE = (Path(__file__).parents[2] / "docs" / "reference" / "record-format.md").read_text("utf-8")


@pytest.mark.parametrize("word", [*KINDS, *ENVELOPE.required, *ENVELOPE.optional])
def test_the_page_names_it(word: str) -> None:
    assert f"`{word}`" in PAGE
