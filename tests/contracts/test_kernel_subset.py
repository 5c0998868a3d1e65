"""The kernel keeps to its written subset; the page and the translator say the same of it."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator

import pytest
from tests.contracts.house import ROOT

from lanewater.service.translation.generated import kernel_sources
from lanewater.service.translation.language import FUNCTIONS, MATH, METHODS, SubsetError
from lanewater.service.translation.script import translate

PAGE = (ROOT / "docs" / "reference" / "kernel-subset.md").read_text(encoding="utf-8")
MODULE = "lanewater.kernel.deciding.tried"
UNITS = {"lanewater.kernel.water.units": "MILLI = 1000.0\n"}
AROUND = """
import math
from typing import Any

LIMIT = (1, 2)
TABLE = {"x": {"y": 1}}


def half(a: float) -> float:
    return a / 2


def helper(a: Any) -> Any:
    return a


def change(row: Any) -> None:
    row.append(1)


"""


def rows(heading: str) -> Iterator[tuple[str, list[str]]]:
    """Give the rows of a section's first table: what it says, and the code in its last cell."""
    section = PAGE.split(f"\n## {heading}\n")[1].split("\n## ")[0]
    for line in section.splitlines():
        if line.startswith("| ") and not line.startswith("|--"):
            first, last = line.strip("|").split(" | ")
            yield first.strip(), [part.strip() for part in last.split(" · ")]


def pieces(heading: str) -> list[str]:
    """Give every piece of code of a section's table."""
    found = [piece for what, row in list(rows(heading))[1:] for piece in row]
    return [re.sub(r"` \+ `", "\n", piece).strip("`") for piece in found]


def in_function(statements: str) -> str:
    """Put statements into a function that has something of every kind."""
    inner = "\n".join("    " + line for line in statements.splitlines())
    start = "    n = 1\n    row: list[Any] = [a, b]\n    d: dict[str, Any] = {}\n    text = 'x'\n"
    return f"{AROUND}def tried(a: Any, b: Any) -> Any:\n{start}{inner}\n"


def tried(source: str) -> str:
    """Translate a module."""
    return translate({MODULE: source, **UNITS})


def test_every_module_of_the_kernel_keeps_to_the_subset() -> None:
    sources = kernel_sources()
    assert len(sources) > 30
    assert len(translate(sources)) > 100_000


@pytest.mark.parametrize("piece", pieces("A module"))
def test_what_the_page_allows_in_a_module_translates(piece: str) -> None:
    assert tried(piece + "\n")


@pytest.mark.parametrize("piece", pieces("Statements"))
def test_what_the_page_allows_as_a_statement_translates(piece: str) -> None:
    assert tried(in_function(piece))


@pytest.mark.parametrize("piece", pieces("Expressions"))
def test_what_the_page_allows_as_an_expression_translates(piece: str) -> None:
    assert tried(in_function(f"return {piece}"))


def test_the_page_lists_the_functions_there_are_and_no_other() -> None:
    listed = [what.strip("`") for what, _ in rows("Functions")][1:]
    there = [*FUNCTIONS, *(f"math.{name}" for name in MATH), *(f".{name}" for name in METHODS)]
    assert sorted(listed) == sorted(there)


@pytest.mark.parametrize("piece", pieces("Refused"))
def test_what_the_page_refuses_is_refused(piece: str) -> None:
    source = in_function(piece)
    line = source.splitlines().index("    " + piece.splitlines()[0]) + 1
    with pytest.raises(SubsetError) as raised:
        tried(source)
    assert line <= raised.value.line <= line + len(piece.splitlines())
    assert "not in the kernel subset; " in str(raised.value)


def test_the_page_refuses_enough() -> None:
    assert len(pieces("Refused")) > 100


FAULTS = {
    "a star import": "from lanewater.kernel.water.units import *\n",
    "a renamed import": "from lanewater.kernel.water.units import MILLI as M\n",
    "an import of what is not there": "from lanewater.kernel.water.units import MICRO\n",
    "an import of a module that is not there": "from lanewater.kernel.water.lost import X\n",
    "an import from outside": "import os\n",
    "an import of a part of math": "from math import exp\n",
    "a renamed math": "import math as m\n",
    "a relative import": "from . import units\n",
    "annotations from the future": "from __future__ import annotations\n",
    "an import of another type": "from typing import Final\n",
    "a name of another module": "MILLI = 1\n",
    "a name twice": "ONE = 1\nONE = 2\n",
    "a function twice": "def a() -> int:\n    return 1\n\n\ndef a() -> int:\n    return 2\n",
    "a constant in small letters": "one = 1\n",
    "a constant with a type": "ONE: int = 1\n",
    "a list as a constant": "ONE = [1]\n",
    "a constant that is worked out": "ONE = 1 + 1\n",
    "a constant that is called": "ONE = len('a')\n",
    "a constant from a later one": "ONE = (TWO, 1)\nTWO = 2\n",
    "a constant with keys that are no texts": "ONE = {1: 2}\n",
    "two constants at once": "ONE, TWO = 1, 2\n",
    "a constant that grows": "ONE = 1\nONE += 1\n",
    "minus True": "ONE = -True\n",
    "a bare expression": "print('x')\n",
    "a class": "class C:\n    pass\n",
    "a condition": "if True:\n    ONE = 1\n",
    "a default": "def f(a: int = 1) -> int:\n    return a\n",
    "an argument by name": "def f(*, a: int) -> int:\n    return a\n",
    "an argument by place only": "def f(a: int, /) -> int:\n    return a\n",
    "any number of arguments": "def f(*a: int) -> int:\n    return 1\n",
    "any names of arguments": "def f(**a: int) -> int:\n    return 1\n",
    "no type of an argument": "def f(a) -> int:\n    return 1\n",
    "no type of the answer": "def f(a: int):\n    return 1\n",
    "a type from elsewhere": "def f(a: Decimal) -> int:\n    return 1\n",
    "a type that is called": "def f(a: len('x')) -> int:\n    return 1\n",
    "a decorator": "@print\ndef f(a: int) -> int:\n    return 1\n",
    "async": "async def f(a: int) -> int:\n    return 1\n",
    "a name that JavaScript keeps": "def delete(a: int) -> int:\n    return 1\n",
    "a name that makes a promise": "def then(a: int) -> int:\n    return 1\n",
    "a name of Python's": "def len(a: int) -> int:\n    return 1\n",
    "the error's name": "def ValueError(a: int) -> int:\n    return 1\n",
    "a name that hides a function": "def f(f: int) -> int:\n    return f\n",
    "a name that hides an import": (
        "from lanewater.kernel.water.units import MILLI\n\n\n"
        "def f(a: int) -> int:\n    MILLI = a\n    return MILLI\n"
    ),
    "math that is not imported": "def f(a: float) -> float:\n    return math.exp(a)\n",
    "a name that is not imported": "def f() -> float:\n    return MILLI\n",
    "another part of math": "import math\n\n\ndef f(a: float) -> float:\n    return math.sin(a)\n",
    "a number of math": "import math\n\n\ndef f() -> float:\n    return math.pi\n",
    "what does not parse": "def f(:\n",
    "an argument twice": "def f(a: int, a: int) -> int:\n    return a\n",
    "break outside a loop": "def f() -> int:\n    break\n",
}


@pytest.mark.parametrize("source", FAULTS.values(), ids=FAULTS)
def test_a_module_with_a_planted_fault_is_refused(source: str) -> None:
    with pytest.raises(SubsetError, match=r"^kernel/\w+/\w+\.py:\d+: .+ is not in the kernel sub"):
        tried(source)


def test_a_circle_of_imports_is_refused() -> None:
    circle = {
        "lanewater.kernel.water.a": "from lanewater.kernel.water.b import B\nA = 1\n",
        "lanewater.kernel.water.b": "from lanewater.kernel.water.c import C\nB = 1\n",
        "lanewater.kernel.water.c": "from lanewater.kernel.water.a import A\nC = 1\n",
    }
    with pytest.raises(SubsetError, match=r"c\.py:1: a circle of imports"):
        translate(circle)


def test_an_import_is_made_from_the_module_that_defines_it() -> None:
    through = {
        "lanewater.kernel.water.a": "from lanewater.kernel.water.units import MILLI\n",
        "lanewater.kernel.water.b": "from lanewater.kernel.water.a import MILLI\n",
    }
    with pytest.raises(SubsetError, match=r"b\.py:1: importing 'MILLI'"):
        translate({**through, **UNITS})


def other_than_numbers(sources: dict[str, str]) -> list[str]:
    """Name each text, dict and None in the modules of kernel/water; an error's text may stand."""
    found = []
    for name, text in sources.items():
        if name.startswith("lanewater.kernel.water"):
            tree = ast.parse(text)
            said = {id(part) for part in spoken(tree)}
            for node in ast.walk(tree):
                odd = isinstance(node, ast.Constant) and not isinstance(node.value, int | float)
                if (odd or isinstance(node, ast.Dict)) and id(node) not in said:
                    found.append(f"{name}:{node.lineno}: {ast.unparse(node)[:40]}")
    return found


def spoken(tree: ast.Module) -> Iterator[ast.AST]:
    """Give docstrings, the texts of errors, and what stands in types."""
    for node in ast.walk(tree):
        match node:
            case ast.Expr(value=ast.Constant() as text) | ast.Raise(exc=ast.Call(args=[text])):
                yield text
            case ast.FunctionDef(returns=ast.expr() as answer):
                yield from ast.walk(answer)
            case ast.arg(annotation=ast.expr() as kind) | ast.AnnAssign(annotation=kind):
                yield from ast.walk(kind)


def test_kernel_water_is_numbers_only() -> None:
    assert other_than_numbers(kernel_sources()) == []


@pytest.mark.parametrize(
    "line",
    [
        "    word = 'acid'",
        "    pair = {}",
        "    nothing = None",
        "    return x is None",
        "    pass\n\n\nNAME = 'x'",
    ],
)
def test_a_text_a_dict_or_none_in_kernel_water_is_named(line: str) -> None:
    module = 'def half(x: float) -> tuple[float, ...]:\n    """Give it."""\n' + line + "\n"
    found = other_than_numbers({"lanewater.kernel.water.tried": module})
    assert [fault.split(":")[0] for fault in found] == ["lanewater.kernel.water.tried"]


def test_the_text_of_an_error_may_stand_in_kernel_water() -> None:
    module = "def half(x: float) -> float:\n    raise ValueError('no water')\n"
    assert other_than_numbers({"lanewater.kernel.water.tried": module}) == []
