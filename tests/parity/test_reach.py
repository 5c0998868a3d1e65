"""Every function of the kernel is reached by a suite, and every face of it has a suite of its own.

A face is what another room, or a page, calls by name. The pieces behind it are compared through it.
"""

from __future__ import annotations

import ast
import re
import sys
from collections.abc import Iterable
from pathlib import Path
from types import FrameType
from typing import Any

from tests.contracts.house import SOURCE, modules, scripts
from tests.parity.sides import Suite, kernel_functions, python_outcome
from tests.parity.test_kernel import SUITES

from lanewater.service.translation.generated import KERNEL_FOLDER, kernel_sources

CALLED = re.compile(r"\bkernel\.([a-z_0-9]+)\(")
# Only so many rows of a suite are run here, spread over all of it; more where fewer did not reach
# every function, because a run that is watched is slow.
ROWS = (8, 40, 250)


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


def reached(suites: Iterable[Suite], rows_each: int = ROWS[-1]) -> set[str]:
    """Name the kernel's functions that some rows of the suites run through, in CPython."""
    functions = kernel_functions(kernel_sources())
    codes = {function.__code__: name for name, function in functions.items()}
    found: set[str] = set()

    def note(frame: FrameType, event: str, _argument: Any) -> None:
        if event == "call" and frame.f_code in codes:
            found.add(codes[frame.f_code])

    for suite in suites:
        rows = list(suite.rows())
        before = sys.getprofile()
        sys.setprofile(note)
        try:
            for row in rows[:: max(len(rows) // rows_each, 1)]:
                python_outcome(functions[suite.name], row)
        finally:
            sys.setprofile(before)
    return found


def test_every_face_of_the_kernel_has_a_suite() -> None:
    assert sorted(faces(SOURCE) - {suite.name for suite in SUITES}) == []


def test_every_function_of_the_kernel_is_reached_by_a_suite() -> None:
    left = set(kernel_functions(kernel_sources()))
    for rows_each in ROWS:
        left -= reached(SUITES, rows_each) if left else set()
    assert sorted(left) == []


def test_a_face_without_a_suite_is_named(tmp_path: Path) -> None:
    page = "import * as kernel from './kernel.js';\nkernel.satisfied(1, 'above', 0);\n"
    (tmp_path / "page.js").write_text(page, encoding="utf-8")
    module = "from lanewater.kernel.deciding.due import weekday_of\n"
    (tmp_path / "module.py").write_text(module, encoding="utf-8")
    assert faces(tmp_path) == {"satisfied", "weekday_of"}


def test_a_function_behind_no_suite_is_named() -> None:
    weighing = [suite for suite in SUITES if suite.name == "grams_of_product"]
    assert reached(weighing) == {"grams_of_product"}
