"""Every kind of entry has words on the page of the record; a bare name is for programs."""

from __future__ import annotations

import json

import pytest

from lanewater.interfaces.web.files import FOLDER
from lanewater.records.kinds import KINDS

WORDS = json.loads((FOLDER / "words" / "en.json").read_text(encoding="utf-8"))


@pytest.mark.parametrize("kind", KINDS)
def test_a_line_of_this_kind_is_told_in_words(kind: str) -> None:
    assert any(key == f"line.{kind}" or key.startswith(f"line.{kind}.") for key in WORDS)
