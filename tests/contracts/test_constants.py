"""No property of water hides in kernel/water: its numbers come from constants.toml alone."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.contracts.house import SOURCE, modules, plant

LARGEST = 10
UNIT_FACTORS = "units.py"


def literal_faults(folder: Path) -> list[str]:
    """Name every number in a function that is not a small whole one, and every module-level one
    that is not whole; `units.py` may hold unit factors at its top level."""
    return [
        f"{path.name}:{node.lineno} {node.value!r}"
        for path, tree in modules(folder)
        for inside, node in numbers(tree)
        if not allowed(path.name, inside, node.value)
    ]


def numbers(tree: ast.Module) -> Iterator[tuple[bool, ast.Constant]]:
    """Give every number with whether it stands inside a function."""
    for statement in tree.body:
        inside = isinstance(statement, ast.FunctionDef)
        for node in ast.walk(statement):
            if isinstance(node, ast.Constant) and type(node.value) in {int, float, complex}:
                yield inside, node


def allowed(name: str, inside: bool, value: object) -> bool:
    """Tell whether a number may stand where it does."""
    if not isinstance(value, int | float) or isinstance(value, bool):
        return False
    if not inside and name == UNIT_FACTORS:
        return True
    whole = float(value).is_integer()
    return whole and (not inside or abs(value) <= LARGEST)


def test_kernel_water_holds_no_property_of_water() -> None:
    assert literal_faults(SOURCE / "kernel" / "water") == []


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("equilibrium.py", "def f(x: float) -> float:\n    return x * 0.3\n"),
        ("equilibrium.py", "def f(x: float) -> float:\n    return x * 42\n"),
        ("equilibrium.py", "PK = 7.537\n"),
        ("units.py", "def f(x: float) -> float:\n    return x * 70.906\n"),
        ("families.py", "def f(x: float) -> float:\n    return x + 1e-14\n"),
    ],
)
def test_a_planted_number_is_refused(tmp_path: Path, name: str, text: str) -> None:
    assert literal_faults(plant(tmp_path, name, text)) != []


def test_small_whole_numbers_and_unit_factors_are_fine(tmp_path: Path) -> None:
    plant(tmp_path, "units.py", "CHLORINE = 70.906\n")
    plant(tmp_path, "steps.py", "MOST = 200\n\n\ndef f(x: float) -> float:\n    return 4 * x\n")
    assert literal_faults(tmp_path) == []
