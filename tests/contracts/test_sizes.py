"""Small rooms: how long a module, a function and a class may be."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from math import ceil
from pathlib import Path

import pytest
from tests.contracts.house import SOURCE, modules, plant, scripts

MODULE_LINES, MOST_MODULE_LINES, MODULE_SHARE = 450, 300, 0.90
BODY_LINES, MOST_BODY_LINES, BODY_SHARE = 50, 40, 0.99
PUBLIC_METHODS = 12

Function = ast.FunctionDef | ast.AsyncFunctionDef


def body_lines(function: Function) -> int:
    """Count the lines of a body without its docstring."""
    body = function.body
    if ast.get_docstring(function, clean=False) is not None:
        body = body[1:]
    if not body:
        return 0
    last = body[-1].end_lineno
    assert last is not None
    return last - body[0].lineno + 1


def module_sizes(source: Path) -> dict[str, int]:
    """Count the lines of every module and script."""
    paths = [path for path, _ in modules(source)] + scripts(source)
    return {
        str(path.relative_to(source)): len(path.read_text(encoding="utf-8").splitlines())
        for path in paths
    }


def body_sizes(source: Path) -> dict[str, int]:
    """Count the lines of every function's body."""
    return {
        f"{path.relative_to(source)}:{node.lineno} {node.name}": body_lines(node)
        for path, tree in modules(source)
        for node in ast.walk(tree)
        if isinstance(node, Function)
    }


def too_large(sizes: dict[str, int], hard: int, most: int, share: float) -> Iterator[str]:
    """Name what is over the hard limit, and the largest when too many are over the softer one."""
    yield from (f"{name}: {size} lines, over {hard}" for name, size in sizes.items() if size > hard)
    over = sorted((size, name) for name, size in sizes.items() if size > most)
    if over and len(over) > ceil((1 - share) * len(sizes)):
        yield f"{len(over)} of {len(sizes)} are over {most} lines, such as {over[-3:]}"


def wide_classes(source: Path) -> list[str]:
    """Name the classes with too many public methods."""
    return [
        f"{path.relative_to(source)} {node.name}: {count} public methods"
        for path, tree in modules(source)
        for node in ast.walk(tree)
        if isinstance(node, ast.ClassDef)
        and (count := sum(is_public_method(item) for item in node.body)) > PUBLIC_METHODS
    ]


def is_public_method(item: ast.stmt) -> bool:
    """Tell whether a statement of a class is one of its public methods."""
    return isinstance(item, Function) and not item.name.startswith("_")


def test_every_module_is_one_room() -> None:
    faults = too_large(module_sizes(SOURCE), MODULE_LINES, MOST_MODULE_LINES, MODULE_SHARE)
    assert list(faults) == []


def test_every_function_is_seen_at_a_glance() -> None:
    assert list(too_large(body_sizes(SOURCE), BODY_LINES, MOST_BODY_LINES, BODY_SHARE)) == []


def test_no_class_does_everything() -> None:
    assert wide_classes(SOURCE) == []


@pytest.mark.parametrize("name", ["hall.py", "hall.js"])
def test_a_module_of_451_lines_is_refused(tmp_path: Path, name: str) -> None:
    plant(tmp_path, name, "x = 1\n" * 451)
    faults = too_large(module_sizes(tmp_path), MODULE_LINES, MOST_MODULE_LINES, MODULE_SHARE)
    assert f"{name}: 451 lines, over 450" in list(faults)


def test_too_many_long_modules_are_refused_though_none_is_over_the_limit(tmp_path: Path) -> None:
    for number in range(10):
        plant(tmp_path, f"room{number}.py", "x = 1\n" * (301 if number < 2 else 10))
    faults = too_large(module_sizes(tmp_path), MODULE_LINES, MOST_MODULE_LINES, MODULE_SHARE)
    assert [fault[:7] for fault in faults] == ["2 of 10"]


def test_a_body_of_51_lines_is_refused_and_its_docstring_is_not_counted(tmp_path: Path) -> None:
    text = '"""Say\n\n\n\nmuch."""\n'
    for name, lines in (("long", 51), ("short", 50)):
        body = "".join(f"    {line}\n" for line in [*text.splitlines(), *["x = 1"] * lines])
        plant(tmp_path, f"{name}.py", f"def {name}():\n{body}")
    faults = list(too_large(body_sizes(tmp_path), BODY_LINES, BODY_LINES, 1.0))
    assert faults[0] == "long.py:1 long: 51 lines, over 50"
    assert not any("short" in fault for fault in faults)


def test_a_class_of_13_public_methods_is_refused(tmp_path: Path) -> None:
    methods = "".join(f"    def do_{number}(self): ...\n" for number in range(13))
    plant(tmp_path, "wide.py", f"class Wide:\n    def _own(self): ...\n{methods}")
    assert wide_classes(tmp_path) == ["wide.py Wide: 13 public methods"]
