"""Everything that the cause finder can say has words."""

from __future__ import annotations

import ast
import json

from tests.contracts.house import SOURCE

from lanewater.service.translation.generated import STATIC

WORDS = json.loads((STATIC / "words" / "en.json").read_text(encoding="utf-8"))
MODULES = sorted((SOURCE / "kernel" / "deciding").glob("causesof*.py"))
PLACES = {
    "cause_to_weigh": ("cause", 0),
    "speaks_for": ("evidence", 1),
    "speaks_against": ("evidence", 1),
}


def said() -> set[str]:
    """Name the words that the finder's ids ask for."""
    found = set()
    for path in MODULES:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
                kind, place = PLACES.get(node.func.id, ("", 0))
                if kind:
                    identity = ast.literal_eval(node.args[place])
                    found.add(f"{kind}.{identity}")
                    found |= {f"cause.{identity}.do"} if kind == "cause" else set()
            if isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "ask":
                found |= {f"ask.{identity}" for identity in ast.literal_eval(node.value)}
    return found


def test_every_cause_its_evidence_and_what_to_ask_have_words() -> None:
    assert len(said()) >= 100
    assert sorted(said() - set(WORDS)) == []


def test_no_words_stand_for_what_is_never_said() -> None:
    kinds = ("cause.", "evidence.", "ask.")
    # The form for a number ("~one") is said where its text is.
    ours = {key.partition("~")[0] for key in WORDS if key.startswith(kinds)}
    assert sorted(ours - said()) == []
