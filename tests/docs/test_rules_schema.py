"""The schema holds every pack, and what it refuses the compiler refuses too."""

from __future__ import annotations

import copy
import json
import tomllib
from collections.abc import Callable
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from tests.docs.rules_schema import FILE, text
from tests.rules.feature_pack import ALL_OF_IT

from lanewater.rules.pack import compile_raw
from lanewater.service.packs import FOLDER, pack_ids
from lanewater.terms.errors import InputError

SCHEMA = json.loads(FILE.read_text(encoding="utf-8"))
HOLDS = Draft202012Validator(SCHEMA)


def faults(raw: dict[str, Any]) -> list[str]:
    plain = json.loads(json.dumps(raw, default=str))
    return [f"{'.'.join(map(str, e.path))}: {e.message[:120]}" for e in HOLDS.iter_errors(plain)]


def pack(identity: str) -> dict[str, Any]:
    return tomllib.loads((FOLDER / f"{identity}.toml").read_text(encoding="utf-8"))


def test_the_schema_is_the_one_that_the_compiler_reads_by() -> None:
    assert FILE.read_text(encoding="utf-8") == text(), "python -m tests.docs.rules_schema"
    Draft202012Validator.check_schema(SCHEMA)


@pytest.mark.parametrize("identity", pack_ids())
def test_the_schema_holds_every_pack(identity: str) -> None:
    assert faults(pack(identity)) == []


def test_the_schema_holds_a_pack_that_says_everything() -> None:
    assert faults(tomllib.loads(ALL_OF_IT)) == []


def put(key: str, value: Any, *steps: str | int) -> Callable[[dict[str, Any]], None]:
    def mutate(raw: dict[str, Any]) -> None:
        held: Any = raw
        for step in steps:
            held = held[step]
        held[key] = value

    return mutate


def drop(key: str, *steps: str | int) -> Callable[[dict[str, Any]], None]:
    def mutate(raw: dict[str, Any]) -> None:
        held: Any = raw
        for step in steps:
            held = held[step]
        del held[key]

    return mutate


MUTATIONS = [
    drop("id"),
    put("status", "final"),
    put("law", "yes"),
    put("borrow_hours", 0),
    put("doubtful", "all of it"),
    put("colour", "red"),
    put("read_on", "25.11.2026"),
    drop("clarity", "coverage"),
    put("state", "perhaps", "coverage", "ph"),
    drop("clause", "rule", 0),
    drop("source", "rule", 0),
    put("evidence", "heard", "rule", 0),
    put("at_least", 3.0, "rule", 0),
    put("at_least", "three", "rule", 0),
    put("at_most", "9", "rule", 0),
    put("parameter", "acidity", "rule", 0),
    put("level", "panic", "rule", 0),
    put("scope", "street", "rule", 0),
    put("times", "0", "rule", 0, "modify", 1),
    put("add", "1", "rule", 0, "modify", 1),
    drop("words", "rule", 0, "modify", 0),
    put("within_hours", -1, "rule", 1, "then", 0),
    put("to", "press", "rule", 1, "then", 0),
    put("at_most", "visible", "rule", 4),
    put("times", [1, 0], "rule", 5),
    put("methods", [], "rule", 9),
    put("consecutive", 1, "rule", 11),
    put("for_more_than_hours", 2, "rule", 11),
    put("fails", 1, "rule", 12, "window"),
    put("unit", "weeks", "rule", 12, "window"),
    put("above_percent", 0, "rule", 13, "share"),
    put("when", {"kind": []}, "rule", 0),
    put("when_number", [{"fact": "volume_m3"}], "rule", 0),
    put("fact", "Not a name", "class", 1, "when_number", 0),
    put("every_hours", "4", "interval", 0),
    put("every_hours", 4, "schedule", 0),
    drop("within_minutes", "schedule", 1),
    put("clock", ["24:00"], "schedule", 2),
    put("test", ["acidity"], "schedule", 0),
    put("level", "panic", "checklist", 0),
    put("duty", "look", "reopening", 0),
    put("for", ["boredom"], "reopening", 0),
    put("on", "boredom", "deadline", 0),
    put("to", "press", "deadline", 0),
    put("routes", [], "procedures", 0),
    put("gate", {"parameter": "ph"}, "procedures", 0, "steps", 0),
    put("points_least", 0, "procedures", 0),
    drop("clause", "sampling"),
    put("keep_months", 2.5, "records"),
    put("fields", [], "records"),
    drop("chosen", "contradiction", 0),
    put("overall", "fine", "golden", 0),
    put("level", "panic", "golden", 0),
]


@pytest.mark.parametrize("number", range(len(MUTATIONS)))
def test_a_mutated_pack_is_refused_by_schema_and_compiler_alike(number: int) -> None:
    raw = copy.deepcopy(tomllib.loads(ALL_OF_IT))
    compile_raw(copy.deepcopy(raw))
    MUTATIONS[number](raw)
    assert faults(raw) != []
    with pytest.raises(InputError):
        compile_raw(raw)
