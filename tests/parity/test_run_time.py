"""Where the browser is stricter than CPython, and what crosses between JSON and the kernel.

In each of these places CPython would go on, with a value the subset has no use for. The browser
throws: on a tablet no result is better than a wrong one.
"""

from __future__ import annotations

import json
from typing import Any

import pytest
from playwright.sync_api import Browser, Page
from tests.parity.sides import open_harness

from lanewater.service.translation.script import translate

MODULE = "lanewater.kernel.deciding.strict"
SCRIPT = "/strict-module.js"
SOURCE = """
from typing import Any


def same(a: Any, b: Any) -> Any:
    return a == b


def times(a: Any, b: Any) -> Any:
    return a * b


def plus(a: Any, b: Any) -> Any:
    return a + b


def rest(a: Any, b: Any) -> Any:
    return a % b


def tested(a: Any) -> Any:
    if a:
        return "yes"
    return "no"


def not_tested(a: Any) -> Any:
    return not a


def both(a: Any, b: Any) -> Any:
    return a and b


def least(a: Any) -> Any:
    return min(a)


def ordered(a: Any) -> Any:
    return sorted(a)


def parted(a: Any) -> Any:
    first, second = a
    return [second, first]


def power(a: Any) -> Any:
    return a**3


def below(a: Any, b: Any) -> Any:
    return a < b
"""
STRICTER = [
    ("same", [[1], [1]], "TypeError"),
    ("same", [{}, []], "TypeError"),
    ("times", ["a", 2], "TypeError"),
    ("times", [[1], 2], "TypeError"),
    ("plus", [[1], [2]], "TypeError"),
    ("rest", ["%s", 1], "TypeError"),
    ("below", [[1], [2]], "TypeError"),
    ("tested", [None], "TypeError"),
    ("tested", [0], "TypeError"),
    ("tested", [""], "TypeError"),
    ("tested", [[]], "TypeError"),
    ("tested", [{"a": 1}], "TypeError"),
    ("not_tested", [1], "TypeError"),
    ("not_tested", ["a"], "TypeError"),
    ("both", [True, 1], "TypeError"),
    ("both", [None, True], "TypeError"),
    ("least", ["ba"], "TypeError"),
    ("least", [{"b": 1}], "TypeError"),
    ("ordered", ["ba"], "TypeError"),
    ("ordered", [{"b": 1}], "TypeError"),
    ("parted", ["ba"], "TypeError"),
    ("parted", [{"b": 1, "a": 2}], "TypeError"),
    ("plus", [2**53 - 1, 1], "OverflowError"),
    ("plus", [1 - 2**53, -1], "OverflowError"),
    ("times", [94906267, 94906267], "OverflowError"),
    ("power", [208064], "OverflowError"),
]
EXACT = [
    ("plus", [2**53 - 2, 1], 2**53 - 1),
    ("times", [94906265, 94906265], 94906265**2),
    ("power", [208063], 208063**3),
    ("power", [-208063], -(208063**3)),
]


@pytest.fixture(scope="module")
def strict_page(chromium: Browser) -> Page:
    """A page with the module above and the run-time."""
    script = translate({MODULE: SOURCE}, run_time="/static/strict.js")
    return open_harness(chromium, {SCRIPT: script})


def outcome(strict_page: Page, name: str, row: list[Any]) -> dict[str, Any]:
    """Give what comes of one call in the browser."""
    held = [json.dumps(argument) for argument in row]
    batch = json.dumps({"held": held, "rows": [[list(range(len(row))), None]]})
    call = "([path, name, batch]) => parity.run(path, name, batch)"
    (found,) = json.loads(strict_page.evaluate(call, [SCRIPT, name, batch]))["outcomes"]
    return dict(found)


@pytest.mark.parametrize(("name", "row", "error"), STRICTER)
def test_the_browser_throws_where_cpython_would_go_on(
    strict_page: Page, name: str, row: list[Any], error: str
) -> None:
    scope: dict[str, Any] = {}
    exec(SOURCE, scope)  # noqa: S102 - the same text, as CPython runs it
    scope[name](*row)
    assert outcome(strict_page, name, row)["error"] == error


@pytest.mark.parametrize(("name", "row", "value"), EXACT)
def test_whole_numbers_are_exact_up_to_the_last(
    strict_page: Page, name: str, row: list[Any], value: int
) -> None:
    assert outcome(strict_page, name, row) == {"value": value}


def test_an_argument_that_is_missing_throws(strict_page: Page) -> None:
    assert outcome(strict_page, "plus", [1])["error"] == "TypeError"


def evaluate(strict_page: Page, body: str) -> Any:
    """Run a few lines with the run-time as `strict`."""
    return strict_page.evaluate(
        f"async () => {{ const strict = await import('/static/strict.js'); {body} }}"
    )


@pytest.mark.parametrize(
    "value",
    [
        None,
        True,
        "text",
        -0.5,
        [],
        {},
        [1, [None, {"a": [{"b": {}}]}]],
        {"__proto__": {"constructor": 1}, "": None},
    ],
)
def test_json_comes_back_as_it_went_in(strict_page: Page, value: Any) -> None:
    text = json.dumps(value)
    body = f"""
        const value = JSON.parse({json.dumps(text)});
        return JSON.stringify(strict.fromKernel(strict.toKernel(value)));
    """
    assert json.loads(evaluate(strict_page, body)) == value


@pytest.mark.parametrize(
    "value",
    ["undefined", "NaN", "1 / 0", "() => 1", "new Date()", "new Map()", "[undefined]", "5n"],
)
def test_what_is_no_json_does_not_come_in(strict_page: Page, value: str) -> None:
    body = f"try {{ strict.toKernel({value}); return ''; }} catch (e) {{ return e.name; }}"
    assert evaluate(strict_page, body) == "TypeError"


@pytest.mark.parametrize(
    ("value", "error"),
    [
        ("undefined", "UnboundLocalError"),
        ("new Map([[1, 2]])", "TypeError"),
        ("[NaN]", "ValueError"),
        ("-1 / 0", "ValueError"),
    ],
)
def test_what_is_no_json_does_not_go_out(strict_page: Page, value: str, error: str) -> None:
    body = f"try {{ strict.fromKernel({value}); return ''; }} catch (e) {{ return e.name; }}"
    assert evaluate(strict_page, body) == error


def test_no_minus_zero_goes_out(strict_page: Page) -> None:
    assert evaluate(strict_page, "return Object.is(strict.fromKernel(-0), 0);")


def test_what_is_not_set_throws_in_every_operation(strict_page: Page) -> None:
    body = """
        const two = ["add", "sub", "mul", "div", "mod", "floordiv", "pow", "eq", "lt", "le", "gt",
          "ge", "add53", "sub53", "mul53", "pow53", "item", "has"];
        const one = ["neg", "abs", "exp", "log", "sqrt", "floor", "truth", "len", "sorted", "each",
          "pairs", "mapping", "growing", "whole", "isfinite"];
        const calls = [
          ...two.map((name) => [name, () => strict[name](undefined, 1)]),
          ...one.map((name) => [name, () => strict[name](undefined)]),
          ["store", () => strict.store(undefined, [0], 0)],
          ["unpack", () => strict.unpack(undefined, 1)],
        ];
        return calls.filter(([, call]) => {
          try { call(); } catch (error) { return !["UnboundLocalError"].includes(error.name); }
          return true;
        }).map(([name]) => name);
    """
    assert evaluate(strict_page, body) == []


def test_keys_that_look_like_numbers_lose_their_place_in_json(strict_page: Page) -> None:
    # So says docs/reference/kernel-subset.md: the kernel walks lists from outside, not dicts.
    body = """
        const held = strict.toKernel(JSON.parse('{"b": 1, "10": 2, "9": 3}'));
        return [...held.keys()];
    """
    assert evaluate(strict_page, body) == ["9", "10", "b"]
