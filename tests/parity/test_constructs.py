"""Every construct of the subset does the same in CPython and in Chromium, errors by name too."""

from __future__ import annotations

import random
from collections.abc import Iterator
from itertools import product
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser
from tests.parity import torture
from tests.parity.sides import CLOSE, Row, Sides, open_harness, own_functions

from lanewater.service.translation.script import translate

# Where whole numbers decide, and where floats are at home: a sum beyond 2**53 parts the two.
STOREYS = {"deciding": "lanewater.kernel.torture", "water": "lanewater.kernel.water.torture"}
TEXT = Path(torture.__file__).read_text(encoding="utf-8")
HERE = own_functions(torture)

SCALARS: list[Any] = [None, True, False, 0, 1, -3, 7, 2.5, -0.5, "", "a", "1"]
NUMBERS: list[Any] = [True, False, 0, 1, 2, -3, 7, 2.5, -0.5, 0.1, 1e-300, 1e300, -7.5]
HELD: list[Any] = [[], [5], [5, 6, 7], {}, {"a": 1}, {"a": None, "b": 2}]
TEXTS = ["", "a", "abc", "\U0001f3ca", "a\U0001f3cab", "\uffff\U0001f3ca", "e\u0301", "é"]
INDICES = [0, 1, 2, 3, -1, -3, -4, True, None, "a", "1", 10**9]
WORDS = ["a", "b", "__proto__", "constructor", "toString", "10", "2", "", "a"]


def pairs(values: list[Any], *, containers: bool = False) -> list[Row]:
    """Give every pair, leaving out what the subset says is not compared: two lists or dicts."""
    rows = list(product(values, repeat=2))
    if containers:
        rows += [pair for held in HELD for one in SCALARS for pair in ((held, one), (one, held))]
    return rows


def without_text_times(rows: list[Row]) -> list[Row]:
    """Leave out text times a number and text % a value, which the browser refuses."""
    return [row for row in rows if not any(isinstance(value, str) for value in row)] + [
        (a, b) for a, b in rows if isinstance(a, str) and b is None
    ]


def random_numbers(seed: int, count: int) -> Iterator[Row]:
    """Draw triples of whole and broken numbers, the last two never zero."""
    draw = random.Random(seed)  # noqa: S311 - vectors, always the same
    for _ in range(count):
        if draw.random() < 0.5:
            yield [draw.choice((-1, 1)) * draw.randint(1, 10 ** draw.randint(1, 5)) for _ in "abc"]
        else:
            yield [draw.choice((-1, 1)) * draw.uniform(0.001, 1000) for _ in "abc"]


def whole_pairs(seed: int, count: int) -> list[Row]:
    """Draw pairs of whole numbers up to the largest that is exact, and their neighbours."""
    draw = random.Random(seed)  # noqa: S311 - vectors, always the same
    rows: list[Row] = []
    for _ in range(count):
        a = draw.choice((-1, 1)) * draw.randint(0, 2 ** draw.randint(1, 53) - 1)
        b = draw.choice((-1, 1)) * draw.randint(1, 2 ** draw.randint(1, 53) - 1)
        near = max(min(a // b * b + draw.randint(-1, 1), 2**53 - 1), 1 - 2**53)
        rows += [(a, b), (near, b)]
    return rows


def tuned(count: int, *values: Any) -> list[Row]:
    """Give every row of so many of these values."""
    return list(product(values, repeat=count))


BOOLS = tuned(3, True, False)
ONES: list[Row] = [(value,) for value in [*SCALARS, *NUMBERS, *HELD]]
ORDERED = pairs(SCALARS) + pairs(TEXTS) + pairs(NUMBERS) + [([], 1), ("a", {}), ([], None)]
ROWS: dict[str, list[Row]] = {
    "plus": without_text_times(pairs(SCALARS, containers=True))
    + pairs(NUMBERS)
    + [(a, b) for a in TEXTS for b in [*TEXTS, None, 1, True]]
    + [(1, "a"), ("a", [])],
    "minus": pairs(SCALARS) + pairs(NUMBERS) + [([], 1), ({}, None)],
    "times": without_text_times(pairs(SCALARS)) + pairs(NUMBERS) + [({}, 1), (None, [])],
    "over": pairs(SCALARS) + pairs(NUMBERS) + [([], 1)],
    "whole_over": pairs(SCALARS) + pairs(NUMBERS) + whole_pairs(1, 400) + [([], 1)],
    "rest_of": without_text_times(pairs(SCALARS)) + pairs(NUMBERS) + whole_pairs(2, 400),
    "powers": [(n,) for n in [0, 1, -2, 7, 2000, -999, True, 0.5, -1.5, None, "a"]],
    "negative": ONES,
    "order_of_signs": [*list(random_numbers(3, 300)), (7, 2, -3), (True, 2, 3)],
    "grown": pairs([1, 2, -5, 7, 2.5, True, None]),
    "joined_text": pairs(["", "a", "\U0001f3ca", None, 1]),
    "absolute": ONES,
    "infinite": [(1,), (-1,), (0,)],
    "no_number": [()],
    "with_odd_numbers": [(0.0,), (1.5,), (-1e300,), (True,)],
    "floor_of_infinite": [()],
    "floor_of_no_number": [()],
    "logarithm": ONES,
    "logarithm_10": [*ONES, (1000,), (1e-5,)],
    "exponential": [*ONES, (709.7,), (709.8,), (-745.2,), (1000,)],
    "root": [*ONES, (-0.0,), (1e-320,), (2,)],
    "floored": [row for row in ONES if row[0] != 1e300] + [(-0.5,), (-0.0,), (1e15 + 0.5,)],
    "finite": ONES,
    "same": pairs(SCALARS, containers=True) + pairs(TEXTS) + pairs(NUMBERS),
    "below": ORDERED,
    "at_most": ORDERED,
    "above": ORDERED,
    "at_least": ORDERED,
    "none_or_not": ONES,
    "within": [(a, b) for a in SCALARS for b in [*SCALARS, *HELD]]
    + [(a, [None, 0, "a", True, []]) for a in SCALARS]
    + pairs(TEXTS)
    + [([], {"a": 1}), ({}, "a"), ("a", None)],
    "middle_once": tuned(3, 1, 2, 2.5, None, "a"),
    "two_chains": tuned(3, 1, 2, -1, True),
    "chain_in_a_loop": [([[1, 4, 9], [3, 2, 1], [-2, 0, 1]],), ([],), ([[1, 2]],)],
    "both_ways": BOOLS,
    "short": BOOLS,
    "guarded": [(None,), ({},), ({"x": 2},), ({"x": None},), ({"x": "a"},), ([],), (5,), ("ax",)],
    "either": [(None,), ({},), ({"x": 2},), ({"x": 0.5},), ([],), (5,)],
    "chosen": tuned(3, 1, 2, 3, 0),
    "choice_is_lazy": [(1, 0), (1, 4), (1, None), (None, 2)],
    "least": tuned(3, 900, 1520, -1.5, True) + tuned(3, "b", "a") + [(1, "a", 2), (None, 1, 2)],
    "most": tuned(3, 900, 1520, -1.5, True) + tuned(3, "b", "a") + [(1, "a", 2), (None, 1, 2)],
    "least_in": [([],), ([3, 1, 2],), ([900, 1520],), ([1, None],), (5,), (None,), (["b", "a"],)],
    "most_in": [([],), ([3, 1, 2],), ([900, 1520],), ([1, "a"],), (5,), (None,), ([-1, -2],)],
    "in_order": [
        ([900, 1520, 10, 9, 1],),
        ([0.5, -0.5, 0, True, 1],),
        ([],),
        (["b", "a", "B", "", "10", "9"],),
        (TEXTS,),
        ([1, "a"],),
        ([None],),
        ([None, 1],),
        (None,),
        (7,),
    ],
    "taken": [(held, index) for held in [*HELD, *TEXTS] for index in INDICES]
    + [(None, 0), (5, 0), (True, "a"), ({"None": 1}, None), ([1], []), ({"a": 1}, [])],
    "taken_twice": [({"a": [1, {"b": 2}]}, "a", index) for index in (0, 1, 2, "b")]
    + [({"a": None}, "a", "b"), ({}, "a", "b"), ([[1]], 0, -1)],
    "stored": [
        ([kind], index, "new")
        for kind in ("list", "dict", "text", "none", "constant")
        for index in INDICES
    ],
    "size_of": ONES + [(text,) for text in TEXTS],
    "asked": [(held, key) for held in [*HELD, *SCALARS] for key in ("a", "1", "b", None, 2)]
    + [({"a": 1}, [])],
    "appended": [(kind, 5) for kind in (None, "text", "dict", "constant", "list")],
    "asked_before_arguments": [([],), (None,), ({},), ("a",), (1,)],
    "got_before_arguments": [([],), (None,), ({},), ("a",), (1,)],
    "unpacked": [([1, 2],), ([1],), ([1, 2, 3],), ([],), (None,), (5,), ([[1], {"a": 2}],)],
    "exchanged": [(1, 2), (None, "a")],
    "walked": [*ONES, *((text,) for text in TEXTS), ({"b": 1, "a": 2},)],
    "walked_pairs": [*ONES, ({"b": 1, "a": [2]},)],
    "walked_rows": [([["a", 1], ["b", 2]],), ([["a"]],), ([["a", None]],), ([[1, 1]],), ([],)],
    "growing_list": [(0,), (1,), (5,)],
    "growing_dict": [(0,), (1,), (5,)],
    "growing_pairs": [(0,), (1,), (2,), (3,), (9,)],
    "changed_while_walked": [()],
    "keys_in_order": [(WORDS,), ([],), (["10", "9", "b", "10"],), ([1, None, True],), ([[]],)],
    "keyed_by": [*tuned(2, "a", "b", 1, True, 0, None, 1.0), ([], "a"), ({}, "a")],
    "displayed": [("a", 1), ("before", 2), ("after", 3), ("__proto__", {"x": []}), ([], 1)],
    "shared_list": [(1,), (None,)],
    "constants": [(0,), (1,), (2,), (-1,), (3,), (None,)],
    "table_of": [(key,) for key in [*WORDS, None, 1, "key", []]],
    "characters_of": [(text,) for text in TEXTS] + [(None,), ([1],), (5,)],
    "back_of": [(text,) for text in TEXTS],
    "order_of_sums": [*tuned(2, 1, 2, None), (1, "a"), ("a", 1)],
    "order_of_call": tuned(2, 1, 2, None),
    "order_of_displays": tuned(2, 1, "a"),
    "order_of_store": tuned(2, 0, 1, -1, 5, None),
    "order_of_augmented": tuned(2, 0, 1, -2, 5, None),
    "augmented_reads_first": [(5,), (0,), (None,)],
    "augmented_dict": [("a",), ("b",), ("c",)],
    "middle_is_read_once": [([1, 2, 3],), ([3, 2, 1],), ([1, 1, 1],), ([],), ([1, None],)],
    "counted": [*tuned(2, -2, 0, 3, True, None, "a"), (0, 1.5), (0.5, 2)],
    "counted_to": [(0,), (3,), (-1,), (True,), (None,), (2.5,), ("3",)],
    "counted_in_steps": tuned(2, -3, 0, 7, 8),
    "end_is_read_once": [(3,), (0,)],
    "variable_after_loop": [([],), ([1],), ([1, 2, 3],)],
    "broken_off": [([1, 0, 3, 6, 2], 2), ([1, 0, 3, 6, 2], 0), ([9], 5), ([None], 1), ([], 0)],
    "while_it_lasts": [(1,), (27,), (97,), (6171,)],
    "one_of_many": [(1,), (2,), (3,), (4,), (None,), (True,), ("a",)],
    "falls_off": [(1,), (2,)],
    "bare_return": [(1,), (2,)],
    "raises": [(0,), (1,), (False,), (0.0,), (None,)],
    "called_for_itself": [(0,), (1,)],
    "factorial": [(0,), (5,), (18,), (None,)],
    "with_docstring": [()],
    "odd_names": [(1, 2, 3, 4, 5), (None, 2, 3, 4, 5)],
    "argument_set_again": [(1, 2), (None, 1)],
    "noted": [([], 1), (None, 1)],
    "raised_to": [([0], 1), ([], 1)],
}
# What these change is what they are for.
CHANGES_ARGUMENTS = {"noted", "raised_to"}


# What only floats do: it is asked where they are at home.
ONLY_FLOATS = {"infinite", "no_number", "with_odd_numbers", "floor_of_no_number"}
LARGE = 1e300


@pytest.fixture(scope="module")
def storeys(chromium: Browser) -> dict[str, Sides]:
    """Both sides of the torture module, translated for each storey of the kernel."""
    scripts = {
        f"/{storey}.js": translate({module: TEXT}, run_time="/static/strict.js")
        for storey, module in STOREYS.items()
    }
    page = open_harness(chromium, scripts)
    return {storey: Sides(page, f"/{storey}.js", HERE) for storey in STOREYS}


def test_every_function_of_the_torture_has_rows() -> None:
    assert sorted(HERE) == sorted(ROWS)


@pytest.mark.parametrize("storey", STOREYS)
@pytest.mark.parametrize("name", ROWS)
def test_a_construct_does_the_same_on_both_sides(
    storeys: dict[str, Sides], storey: str, name: str
) -> None:
    rows = ROWS[name]
    if storey == "deciding":
        rows = [row for row in rows if LARGE not in row and name not in ONLY_FLOATS]
    faults = storeys[storey].faults(name, rows, CLOSE)
    if name in CHANGES_ARGUMENTS:
        faults = [fault for fault in faults if "was handed" not in fault]
    assert faults == []


def test_odd_lists_are_made_the_same(storeys: dict[str, Sides]) -> None:
    draw = random.Random(4)  # noqa: S311 - vectors, always the same
    rows = [[draw.choices(range(-99, 99), k=draw.randint(1, 9))] for _ in range(300)]
    for name in ("in_order", "least_in", "most_in", "walked"):
        assert storeys["deciding"].faults(name, rows, CLOSE) == []
