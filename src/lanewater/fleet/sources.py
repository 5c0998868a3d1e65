"""The sources of kernel/water put together into one module that Numba can compile.

Nothing is restated: every function is the kernel's own text. What is taken away are docstrings
and annotations; what is put in is said by `Flavour`. Every top-level name is unique in the kernel,
so that all modules fit into one.
"""

from __future__ import annotations

import ast
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from lanewater.terms.errors import InputError

KERNEL_WATER = Path(__file__).parent.parent / "kernel" / "water"
HERE = Path(__file__).parent
HOUSE = "lanewater."
HEAD = "import math\n\nimport numba\nimport numpy as np\n"
# A list that is empty has no type of its own yet.
EMPTY = {"list[float]": "[0.0 for _ in range(0)]", "list[int]": "[0 for _ in range(0)]"}


@dataclass(frozen=True, slots=True)
class Flavour:
    """How functions are compiled.

    Attributes
    ----------
    decorator : str
        What stands before each of them, without its @.
    put_for : mapping
        Functions of `math` and what stands for them in their place.
    inlined : tuple of str
        Functions, and modules whose functions, are put into what calls them.
    """

    decorator: str
    put_for: Mapping[str, str]
    inlined: tuple[str, ...] = ()

    def before(self, module: str, function: str) -> str:
        """Give what stands before a function."""
        if module in self.inlined or function in self.inlined:
            return f"@{self.decorator[:-1]}, forceinline=True)"
        return f"@{self.decorator}"


def water_sources(folder: Path = KERNEL_WATER, beside: Iterable[str] = ()) -> dict[str, str]:
    """Read the modules of kernel/water, and modules of this room that use them, name to text.

    Parameters
    ----------
    folder : Path, optional
        The kernel's.
    beside : iterable of str, optional
        Modules of this room.
    """
    paths = [path for path in sorted(folder.glob("*.py")) if path.stem != "__init__"]
    paths += [HERE / f"{name}.py" for name in beside]
    return {path.stem: path.read_text(encoding="utf-8") for path in paths}


def in_order(trees: Mapping[str, ast.Module], roots: Iterable[str]) -> list[str]:
    """Order modules so that each stands behind those that it imports.

    Parameters
    ----------
    trees : mapping
        Modules by their last name.
    roots : iterable of str
        What is wanted; what these import comes with them, other modules do not.
    """
    ordered: list[str] = []

    def visit(name: str) -> None:
        if name in ordered:
            return
        for node in trees[name].body:
            if isinstance(node, ast.ImportFrom) and str(node.module).startswith(HOUSE):
                visit(str(node.module).rpartition(".")[2])
        ordered.append(name)

    for root in roots:
        visit(root)
    return ordered


class Plain(ast.NodeTransformer):
    """Strips a function of what Numba has no use for, and gives lists their type."""

    def __init__(self, put_for: Mapping[str, str]) -> None:
        self.put_for = put_for

    def visit_FunctionDef(self, node: ast.FunctionDef) -> ast.FunctionDef:
        """Drop annotations and the docstring."""
        node.returns = None
        for argument in node.args.args:
            argument.annotation = None
        if ast.get_docstring(node) is not None:
            node.body = node.body[1:] or [ast.Pass()]
        self.generic_visit(node)
        return node

    def visit_Attribute(self, node: ast.Attribute) -> ast.expr:
        """Put another function for one of math."""
        of_math = isinstance(node.value, ast.Name) and node.value.id == "math"
        if of_math and node.attr in self.put_for:
            return ast.Name(self.put_for[node.attr], ast.Load())
        return node

    def visit_AnnAssign(self, node: ast.AnnAssign) -> ast.Assign:
        """Turn an annotated assignment into a plain one whose list holds what it says."""
        self.generic_visit(node)
        value = node.value or ast.Constant(None)
        said = ast.unparse(node.annotation)
        if isinstance(value, ast.List) and not value.elts and said in EMPTY:
            value = ast.parse(EMPTY[said], mode="eval").body
        elif isinstance(value, ast.List) and said == "list[float]":
            value = ast.List([as_float(item) for item in value.elts], ast.Load())
        return ast.copy_location(ast.Assign([node.target], value), node)


def as_float(item: ast.expr) -> ast.expr:
    """Write a whole number that stands for a float as one; a list of ints would cut floats off."""
    if isinstance(item, ast.Constant) and isinstance(item.value, int):
        return ast.Constant(float(item.value))
    return item


def constant_text(node: ast.stmt) -> str:
    """Write a constant; a list becomes a tuple, which Numba takes as constant."""
    for inner in ast.walk(node):
        if isinstance(inner, ast.List):
            return ast.unparse(tuples_for_lists(node))
    return ast.unparse(node)


def tuples_for_lists(node: ast.stmt) -> ast.stmt:
    """Put tuples for the lists of a constant."""

    class Tuples(ast.NodeTransformer):
        def visit_List(self, node: ast.List) -> ast.Tuple:
            self.generic_visit(node)
            return ast.Tuple(node.elts, ast.Load())

    changed: ast.stmt = Tuples().visit(node)
    return changed


def one_module(sources: Mapping[str, str], roots: Iterable[str], flavour: Flavour) -> str:
    """Write one module of many, ready to be compiled.

    Parameters
    ----------
    sources : mapping
        Module's last name to its text.
    roots : iterable of str
        What is wanted; what these import comes with them.
    flavour : Flavour
        How its functions are compiled.

    Returns
    -------
    str
        The module. Its FACES tell for each function how its arguments are annotated.

    Raises
    ------
    InputError
        Where a name stands twice.
    """
    trees = {name: ast.parse(text) for name, text in sources.items()}
    parts = [HEAD]
    faces: dict[str, tuple[str, ...]] = {}
    seen: set[str] = set()
    for name in in_order(trees, roots):
        for node in trees[name].body:
            if isinstance(node, ast.FunctionDef):
                once(node.name, name, seen)
                faces[node.name] = annotations_of(node)
                plain = Plain(flavour.put_for).visit(node)
                parts.append(f"{flavour.before(name, node.name)}\n{ast.unparse(plain)}\n")
            elif isinstance(node, ast.Assign):
                once(ast.unparse(node.targets[0]), name, seen)
                parts.append(constant_text(node))
    parts.append(f"FACES = {faces!r}\n")
    return "\n".join(parts)


def once(top: str, module: str, seen: set[str]) -> None:
    """Refuse a top-level name that another module has: one would silently stand for both."""
    if top in seen:
        raise InputError(module, f"{top} stands twice")
    seen.add(top)


def annotations_of(node: ast.FunctionDef) -> tuple[str, ...]:
    """Give the annotations of a function's arguments as texts."""
    return tuple(
        ast.unparse(argument.annotation) if argument.annotation else ""
        for argument in node.args.args
    )
