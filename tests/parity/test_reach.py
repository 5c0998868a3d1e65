"""Every function of the kernel is reached by a suite, and every face of it has a suite of its own.

A face is what another room, or a page, calls by name. The pieces behind it are compared through it.
"""

from __future__ import annotations

import ast
import re
import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from tests.contracts.house import SOURCE, modules, scripts
from tests.parity.sides import Row, Suite, kernel_functions, python_outcome
from tests.parity.test_kernel import SUITES

from lanewater.service.translation.generated import KERNEL_FOLDER, kernel_sources

CALLED = re.compile(r"\bkernel\.([a-z_0-9]+)\(")
KERNEL = "lanewater.kernel."
# About so many rows of a suite are run here.
ROWS = 250


def faces(source: Path) -> set[str]:
    """Name the kernel's functions that are called from outside the kernel."""
    found: set[str] = set()
    for path, tree in modules(source):
        if KERNEL_FOLDER not in path.parents:
            found |= names_taken(tree)
    for path in scripts(source):
        found |= set(CALLED.findall(path.read_text(encoding="utf-8")))
    return found & set(kernel_functions(kernel_sources()))


def names_taken(tree: ast.Module) -> set[str]:
    """Name what a module takes from the kernel, by itself or as a part of a module of it."""
    imports = [
        node
        for node in ast.walk(tree)
        if isinstance(node, ast.ImportFrom) and str(node.module).startswith("lanewater.kernel")
    ]
    parts = (node.attr for node in ast.walk(tree) if isinstance(node, ast.Attribute))
    return {alias.name for node in imports for alias in node.names} | set(parts if imports else ())


@contextmanager
def watched(functions: dict[str, Callable[..., Any]]) -> Iterator[set[str]]:
    """Note which of the kernel's functions another one calls, each at its first call.

    A name that was called is itself again, so that nothing is slower for being watched.
    """
    found: set[str] = set()
    rooms = [vars(module) for name, module in sys.modules.items() if name.startswith(KERNEL)]
    holders = {
        name: [room for room in rooms if room.get(name) is function]
        for name, function in functions.items()
    }

    def put(name: str, function: Callable[..., Any]) -> None:
        for room in holders[name]:
            room[name] = function

    def noting(name: str, function: Callable[..., Any]) -> Callable[..., Any]:
        def note(*arguments: Any) -> Any:
            found.add(name)
            put(name, function)
            return function(*arguments)

        return note

    for name, function in functions.items():
        put(name, noting(name, function))
    try:
        yield found
    finally:
        for name, function in functions.items():
            put(name, function)


def some_rows(suite: Suite) -> list[Row]:
    """Take some rows of a suite, spread over all of it."""
    rows = list(suite.rows())
    return rows[:: max(len(rows) // ROWS, 1)]


def reached(suites: Iterable[Suite]) -> set[str]:
    """Name the kernel's functions that some rows of the suites run through, in CPython."""
    functions = kernel_functions(kernel_sources())
    # Made before anything is watched: what makes rows may call the kernel too.
    asked = [(suite.name, some_rows(suite)) for suite in suites]
    with watched(functions) as found:
        for name, rows in asked:
            for row in rows:
                python_outcome(functions[name], row)
    return found | {name for name, rows in asked if rows}


def test_every_face_of_the_kernel_has_a_suite() -> None:
    assert sorted(faces(SOURCE) - {suite.name for suite in SUITES}) == []


def test_every_function_of_the_kernel_is_reached_by_a_suite() -> None:
    assert sorted(set(kernel_functions(kernel_sources())) - reached(SUITES)) == []


def test_a_face_without_a_suite_is_named(tmp_path: Path) -> None:
    page = "import * as kernel from './kernel.js';\nkernel.satisfied(1, 'above', 0);\n"
    (tmp_path / "page.js").write_text(page, encoding="utf-8")
    module = "from lanewater.kernel.deciding.due import weekday_of\n"
    (tmp_path / "module.py").write_text(module, encoding="utf-8")
    assert faces(tmp_path) == {"satisfied", "weekday_of"}


def test_a_function_behind_no_suite_is_named() -> None:
    weighing = [suite for suite in SUITES if suite.name == "grams_of_product"]
    assert reached(weighing) == {"grams_of_product"}
