"""The engine's English sentences stand in the catalogue, letter for letter, to be said."""

from __future__ import annotations

import ast
import json
import re
from collections.abc import Iterator
from pathlib import Path

import lanewater.interfaces.web
import lanewater.kernel.deciding
from lanewater.dosing.cautions import CAUTIONS

DECIDING = Path(lanewater.kernel.deciding.__file__).parent
EN = Path(lanewater.interfaces.web.__file__).parent / "static" / "words" / "en.json"
WORDS: dict[str, str] = json.loads(EN.read_text(encoding="utf-8"))
TOLD = [text for key, text in WORDS.items() if key.startswith("told.")]
# Not on any page yet, or an id and no sentence.
NOT_SHOWN = {
    "plantold.py": "a volume's number and unit",
    "planrows.py": "the name of fresh water as a product",
    "comparing.py": "a value of the wire",
    "causesofcombined.py": "a code of the record",
    "carriedfacts.py": "a reason's code of the record, said by its stop",
}
CODES = {"Repeat the test", "house stop: "}


def sentences(path: Path) -> Iterator[str]:
    """Give the texts of a module that hold a space, but not what it documents or raises."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    quiet = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Raise):
            quiet.update(id(inner) for inner in ast.walk(node))
        if isinstance(node, (ast.Module, ast.FunctionDef)) and isinstance(node.body[0], ast.Expr):
            quiet.add(id(node.body[0].value))
    for node in ast.walk(tree):
        text = node.value if isinstance(node, ast.Constant) else None
        if isinstance(text, str) and " " in text.strip() and id(node) not in quiet:
            yield text


def test_every_sentence_of_the_engine_is_in_the_catalogue() -> None:
    missing = {
        f"{path.name}: {text}"
        for path in sorted(DECIDING.glob("*.py"))
        if path.name not in NOT_SHOWN
        for text in sentences(path)
        if text not in CODES and not any(text.strip() in told for told in TOLD)
    }
    assert missing == set()


def test_no_sentence_of_the_catalogue_is_one_that_the_engine_no_longer_says() -> None:
    said = " ".join(text for path in DECIDING.glob("*.py") for text in sentences(path))
    cautions = {text for one in CAUTIONS.values() for text in (one.text, one.why)}
    gone = []
    for text in TOLD:
        pieces = [piece.strip() for piece in re.split(r"\{\w+\}", text)]
        whole = text in cautions or all(piece in said for piece in pieces if " " in piece)
        if not whole:
            gone.append(text)
    assert gone == []


def test_every_caution_is_in_the_catalogue_under_its_own_name() -> None:
    for one in CAUTIONS.values():
        assert WORDS[f"told.caution.{one.id}"] == one.text
        assert WORDS[f"told.caution.{one.id}.why"] == one.why
