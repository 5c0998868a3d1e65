"""A run-time with a fault planted in it is found out by the rows that hold it to CPython.

Each fault is what JavaScript would do of itself, or what a tired hand would write.
"""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser, Page
from tests.parity.sides import CLOSE, Sides, open_harness
from tests.parity.test_constructs import HERE, ROWS, STOREYS, TEXT

from lanewater.service.translation.generated import RUN_TIME
from lanewater.service.translation.script import translate

# What stands in the run-time, what is put there, and the construct that must notice.
FAULTS = {
    "rest with the sign of the dividend": (
        "return rest !== 0 && rest < 0 !== y < 0 ? rest + y : rest;",
        "return rest;",
        "rest_of",
    ),
    "quotient rounded to zero": ("Math.floor(x / y)", "Math.trunc(x / y)", "whole_over"),
    "division by zero gives infinity": (
        'if (y === 0) throw error("ZeroDivisionError", "division by zero");\n  return x / y;',
        "return x / y;",
        "over",
    ),
    "a missing key gives nothing": (
        'if (found === undefined) throw error("KeyError", String(index));',
        "if (found === undefined) return null;",
        "taken",
    ),
    "indices do not count from the end": (
        "const found = at < 0 ? at + length : at;",
        "const found = at;",
        "taken",
    ),
    "an index beyond the end gives nothing": (
        'throw error("IndexError", "index out of range");',
        "return 0;",
        "taken",
    ),
    "None is zero in a sum": (
        'if (typeof a === "object" || typeof b === "object") throw unfit(what, a, b);',
        "if (a === null || b === null) return [a ?? 0, b ?? 0];",
        "plus",
    ),
    "None is zero in a comparison": (
        'const [x, y] = both(a, b, "<");\n  return x < y;',
        "return a < b;",
        "below",
    ),
    "a number equals its text": (
        'if (typeof a === "string" || typeof b === "string") return a === b;',
        'if (typeof a === "string" || typeof b === "string") return a == b;',
        "same",
    ),
    "True is not 1": ("return Number(a) === Number(b);", "return a === b;", "same"),
    "sorting by text": (
        "return [...values].sort((a, b) => (lt(a, b) ? -1 : Number(lt(b, a))));",
        "return [...values].sort();",
        "in_order",
    ),
    "sorting changes the list": ("return [...values].sort", "return values.sort", "in_order"),
    "texts in order of their halves": (
        "if (!PAIRED.test(a) && !PAIRED.test(b)) return",
        "return",
        "below",
    ),
    "texts as long as their halves": (
        "if (PAIRED.test(text)) return Array.from(text);",
        "",
        "size_of",
    ),
    "the first of two equal ones is not kept": (
        "if (lt(other, least)) least = other;",
        "if (!lt(least, other)) least = other;",
        "with_odd_numbers",
    ),
    "a logarithm of nothing": (
        'if (x <= 0) throw error("ValueError", "logarithm of zero or less");',
        "",
        "logarithm",
    ),
    "a root of less than nothing": (
        'if (x < 0) throw error("ValueError", "root of a negative number");',
        "",
        "root",
    ),
    "an exponential without end": (
        "if (result === Infinity && x !== Infinity) throw",
        "if (false) throw",
        "exponential",
    ),
    "a constant can grow": ("return Object.freeze(values);", "return values;", "appended"),
    "a dict may change while it is walked through": (
        "if (held.size !== size) throw",
        "if (false) throw",
        "growing_dict",
    ),
    "rows of any length are unpacked": (
        "if (held.length !== wanted) {",
        "if (false) {",
        "unpacked",
    ),
    "1 and True are two keys": (
        'if (typeof value === "boolean") return Number(value);\n  throw unfit("a key", value);',
        'if (typeof value === "boolean") return value;\n  throw unfit("a key", value);',
        "keyed_by",
    ),
    "a list as a key": ('throw unfit("a key", value);', "return value;", "keyed_by"),
    "a part of a text is not in it": (
        "return held.includes(value);",
        "return held === value;",
        "within",
    ),
    "the last digit but three": (
        "= Math.exp",
        "= 1.000000000002 * Math.exp",
        "exponential",
    ),
}


@pytest.fixture(scope="module")
def faulty(chromium: Browser) -> Page:
    """A page with the torture module over every faulty run-time."""
    text = RUN_TIME.read_text(encoding="utf-8")
    scripts = {}
    for number, (there, put, _) in enumerate(FAULTS.values()):
        assert text.count(there) >= 1, there
        scripts[f"/strict-{number}.js"] = text.replace(there, put).replace(
            "export class KernelError extends Error {",
            'import { KernelError } from "/static/strict.js";\nclass Unused extends Error {',
        )
        run_time = f"/strict-{number}.js"
        scripts[f"/faulty-{number}.js"] = translate({STOREYS["water"]: TEXT}, run_time=run_time)
    return open_harness(chromium, scripts)


@pytest.mark.parametrize("number", range(len(FAULTS)), ids=FAULTS)
def test_a_planted_fault_is_found(faulty: Page, number: int) -> None:
    _, _, name = list(FAULTS.values())[number]
    assert Sides(faulty, f"/faulty-{number}.js", HERE).faults(name, ROWS[name], CLOSE) != []
