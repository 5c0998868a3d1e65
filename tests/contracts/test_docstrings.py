"""What is public says in one line what it is; what other rooms call says what it takes.

The faces are those functions of the rooms below that another room imports. One with two parameters
or more lists every parameter, with unit or meaning; and wherever there is such a list, in any room,
it names what the function takes, no more and no less.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.contracts.house import SOURCE, modules, plant

ROOMS_WITH_FACES = {"kernel", "chemistry", "measurement", "rules", "dosing"}

Function = ast.FunctionDef | ast.AsyncFunctionDef
Documented = ast.Module | ast.ClassDef | Function


def public(tree: ast.Module) -> Iterator[tuple[str, Documented]]:
    """Give the module, its public classes and functions, and their public methods."""
    yield "", tree
    for node in tree.body:
        if isinstance(node, ast.ClassDef | Function) and not node.name.startswith("_"):
            yield node.name, node
            if isinstance(node, ast.ClassDef):
                for item in node.body:
                    if isinstance(item, Function) and not item.name.startswith("_"):
                        yield f"{node.name}.{item.name}", item


def summary_fault(node: Documented) -> str | None:
    """Tell what a docstring lacks of a one-line summary."""
    text = ast.get_docstring(node)
    if not text:
        return "has no docstring"
    summary, _, rest = text.partition("\n")
    if not summary.endswith((".", ":", "?", "]")):
        return "does not say in one line what it is"
    if rest and not rest.startswith("\n"):
        return "has no empty line after its summary"
    return None


def summary_faults(source: Path) -> list[str]:
    """Name everything public that does not say what it is."""
    return [
        f"{path.relative_to(source)} {name}: {fault}"
        for path, tree in modules(source)
        for name, node in public(tree)
        if (fault := summary_fault(node))
    ]


def parameters(function: Function) -> list[str]:
    """Give the names of what a function takes, without self and cls."""
    given = function.args
    names = [*given.posonlyargs, *given.args, *given.kwonlyargs]
    starred = [argument for argument in (given.vararg, given.kwarg) if argument is not None]
    return [a.arg for a in [*names, *starred] if a.arg not in {"self", "cls"}]


def documented(function: Function) -> list[str] | None:
    """Give the names in a docstring's list of parameters, or None where it has no such list."""
    text = ast.get_docstring(function) or ""
    section = re.search(r"^Parameters\n-{10}\n(.*?)(?=^\w[^\n]*\n-{3,}|\Z)", text, re.M | re.S)
    if section is None:
        return None
    heads = re.findall(r"^(\*{0,2}\w+(?:, \*{0,2}\w+)*)(?= :|$)", section[1], re.M)
    return [name.strip().lstrip("*") for head in heads for name in head.split(",")]


def room_of(path: Path, source: Path) -> str:
    """Give the room that a module stands in."""
    return path.relative_to(source).parts[0].removesuffix(".py")


def imported_elsewhere(source: Path) -> set[tuple[str, str]]:
    """Give module and name of all that one room takes from another."""
    return {
        (node.module, alias.name)
        for path, tree in modules(source)
        for node in ast.walk(tree)
        if isinstance(node, ast.ImportFrom) and node.module and node.module.startswith("lanewater.")
        if node.module.split(".")[1] != room_of(path, source)
        for alias in node.names
    }


def parameter_faults(source: Path) -> list[str]:
    """Name the faces that do not list what they take, and every list that is not true."""
    faces = imported_elsewhere(source)
    found = []
    for path, tree in modules(source):
        place = path.relative_to(source)
        module = ".".join(("lanewater", *place.with_suffix("").parts)).removesuffix(".__init__")
        for name, node in public(tree):
            if not isinstance(node, Function):
                continue
            listed, taken = documented(node), parameters(node)
            face = (module, name) in faces and room_of(path, source) in ROOMS_WITH_FACES
            if listed is None and face and len(taken) > 1:
                found.append(f"{place} {name}: a face that does not list what it takes")
            if listed is not None and sorted(listed) != sorted(taken):
                found.append(f"{place} {name}: lists {listed}, takes {taken}")
    return found


def test_everything_public_says_in_one_line_what_it_is() -> None:
    assert summary_faults(SOURCE) == []


def test_every_face_lists_what_it_takes_and_every_list_is_true() -> None:
    assert parameter_faults(SOURCE) == []


@pytest.mark.parametrize(
    "text",
    [
        "x = 1\n",
        '"""A pool without end"""\n',
        '"""A pool.\nOf water."""\n',
        '"""A pool."""\n\n\ndef fill(): ...\n',
        '"""A pool."""\n\n\nclass Pool:\n    """One."""\n\n    def fill(self): ...\n',
    ],
)
def test_something_public_that_does_not_say_what_it_is_is_refused(
    tmp_path: Path, text: str
) -> None:
    assert len(summary_faults(plant(tmp_path, "pool.py", text))) == 1


FACE = '''"""A pool."""


def fill(volume_m3, hours):
    """Fill it.{list}"""
'''
LIST = """

    Parameters
    ----------
    {first} : float
        In cubic metres.
    hours : float
        How long.

    Returns
    -------
    float
        Flow.
    """


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        (FACE.format(list=""), "a face that does not list what it takes"),
        (FACE.format(list=LIST.format(first="volume_l")), "lists ['volume_l', 'hours']"),
        (FACE.format(list=LIST.format(first="volume_m3")), None),
    ],
)
def test_a_face_that_lists_too_little_or_something_else_is_refused(
    tmp_path: Path, text: str, fault: str | None
) -> None:
    plant(tmp_path, "chemistry/pool.py", text)
    plant(tmp_path, "service/use.py", "from lanewater.chemistry.pool import fill\n")
    assert [fault in found for found in parameter_faults(tmp_path)] == [True] * (fault is not None)
