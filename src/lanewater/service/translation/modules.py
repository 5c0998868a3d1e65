"""The kernel's modules, read: their names, imports, constants and functions, in working order."""

from __future__ import annotations

import ast
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from lanewater.service.translation.language import (
    ERROR,
    FUNCTIONS,
    KERNEL,
    RESERVED,
    TYPES,
    SubsetError,
    refused,
)

TAKEN = {*FUNCTIONS, *TYPES, ERROR, "math"}


@dataclass(frozen=True, slots=True)
class KernelModule:
    """One module of the kernel, its top level checked.

    Parameters
    ----------
    name : str
        Dotted, "lanewater.kernel.water.units".
    file : str
        As errors call it, "kernel/water/units.py".
    constants : dict
        Name to the node of its value, in order.
    functions : dict
        Name to its node, in order.
    imports : dict
        Name to the dotted module it comes from.
    lines : dict
        Dotted module to the line that imports it.
    extras : set
        "math", where it is imported.
    """

    name: str
    file: str
    constants: dict[str, ast.expr] = field(default_factory=dict)
    functions: dict[str, ast.FunctionDef] = field(default_factory=dict)
    imports: dict[str, str] = field(default_factory=dict)
    lines: dict[str, int] = field(default_factory=dict)
    extras: set[str] = field(default_factory=set)

    @property
    def own(self) -> set[str]:
        """The names it defines."""
        return {*self.constants, *self.functions}


def read_modules(sources: Mapping[str, str]) -> list[KernelModule]:
    """Read the kernel's modules and put them in the order of their imports.

    Parameters
    ----------
    sources : mapping
        Dotted module name to its text.

    Raises
    ------
    SubsetError
        Where a top level is outside the subset, a name stands twice, or imports go in a circle.
    """
    found = {name: read_module(name, text) for name, text in sorted(sources.items())}
    check_names(found)
    order: list[KernelModule] = []
    for name in found:
        place(name, found, order, ())
    return order


def place(
    name: str, found: Mapping[str, KernelModule], order: list[KernelModule], above: tuple[str, ...]
) -> None:
    """Put a module behind all that it imports."""
    module = found[name]
    if module in order:
        return
    for other, line in module.lines.items():
        if other in (*above, name):
            raise SubsetError(module.file, line, f"a circle of imports with {other}", "part them")
        place(other, found, order, (*above, name))
    order.append(module)


def check_names(found: Mapping[str, KernelModule]) -> None:
    """Refuse a top-level name that stands twice, and an import of what is not there."""
    owners: dict[str, KernelModule] = {}
    for module in found.values():
        for name, node in (*module.constants.items(), *module.functions.items()):
            if name in owners:
                what = f"{name!r}, which is also in {owners[name].file},"
                raise refused(module.file, node, what, "give it a name of its own")
            owners[name] = module
    for module in found.values():
        for name, other in module.imports.items():
            if other not in found or name not in found[other].own:
                line = module.lines[other]
                what = f"importing {name!r} from {other}, where it is not defined,"
                raise SubsetError(module.file, line, what, "import from the module that defines it")


def read_module(name: str, text: str) -> KernelModule:
    """Read one module's top level."""
    file = "/".join(name.removeprefix("lanewater.").split(".")) + ".py"
    module = KernelModule(name, file)
    try:
        tree = ast.parse(text)
        compile(tree, file, "exec")
    except SyntaxError as error:
        raise SubsetError(file, error.lineno or 1, "this", "write Python that parses") from None
    for node in without_docstring(tree.body):
        read_item(module, node)
    return module


def without_docstring(body: list[ast.stmt]) -> list[ast.stmt]:
    """Give a body without the text that says what it is."""
    match body[:1]:
        case [ast.Expr(value=ast.Constant(value=str()))]:
            return body[1:]
    return body


def read_item(module: KernelModule, node: ast.stmt) -> None:
    """Read one statement of a top level."""
    match node:
        case ast.Import(names=[ast.alias(name="math", asname=None)]):
            module.extras.add("math")
        case ast.ImportFrom(module="typing", names=[ast.alias(name="Any", asname=None)], level=0):
            pass
        case ast.ImportFrom(module=str(other), level=0) if other.startswith(KERNEL + "."):
            read_import(module, node, other)
        case ast.Assign(targets=[ast.Name(id=name)]) if name.upper() == name:
            check_name(module, node, name)
            module.constants[name] = node.value
        case ast.FunctionDef():
            check_name(module, node, node.name)
            check_signature(module.file, node)
            module.functions[node.name] = node
        case ast.Import() | ast.ImportFrom():
            what = f"`{ast.unparse(node)}`"
            raise refused(module.file, node, what, "import math, Any, or names of the kernel")
        case ast.Assign() | ast.AnnAssign() | ast.AugAssign():
            what = f"`{ast.unparse(node)[:60]}` at the top"
            raise refused(module.file, node, what, "write NAME = a constant, in capitals, once")
        case _:
            what = f"{type(node).__name__} at the top"
            raise refused(module.file, node, what, "only imports, constants and functions")


def read_import(module: KernelModule, node: ast.ImportFrom, other: str) -> None:
    """Read the names that come from a sibling."""
    module.lines.setdefault(other, node.lineno)
    for alias in node.names:
        if alias.asname is not None or alias.name == "*":
            raise refused(module.file, node, f"`{ast.unparse(node)}`", "import names as they are")
        module.imports[alias.name] = other


def check_name(module: KernelModule, node: ast.stmt, name: str) -> None:
    """Refuse a top-level name that cannot stand in one JavaScript module with all others."""
    if name in module.own or name in module.imports:
        raise refused(module.file, node, f"{name!r} a second time", "give it a name of its own")
    if not plain_name(name) or name in RESERVED or name in TAKEN:
        raise refused(module.file, node, f"the name {name!r}", "choose another name")


def plain_name(name: str) -> bool:
    """Tell whether a name is the same in both languages: ASCII, no dunder."""
    return name.isascii() and not name.startswith("__")


def check_signature(file: str, node: ast.FunctionDef) -> None:
    """Refuse a function that takes anything but annotated positional arguments."""
    arguments = node.args
    odd = (arguments.posonlyargs, arguments.kwonlyargs, arguments.defaults, arguments.kw_defaults)
    if any(odd) or arguments.vararg or arguments.kwarg:
        raise refused(file, node, f"the signature of {node.name}", "plain arguments, no defaults")
    if node.decorator_list or getattr(node, "type_params", []):
        raise refused(file, node, f"what stands around {node.name}", "write a bare function")
    for annotation in [argument.annotation for argument in arguments.args] + [node.returns]:
        if annotation is None:
            raise refused(file, node, f"{node.name} without all its types", "annotate everything")
        check_annotation(file, annotation)


def check_annotation(file: str, annotation: ast.expr) -> None:
    """Refuse a type that is more than names of types put together."""
    for node in annotation_parts(annotation):
        match node:
            case ast.Name(id=name) if name in TYPES:
                pass
            case ast.Constant(value=value) if value is None or value is ...:
                pass
            case ast.Subscript() | ast.Tuple() | ast.BinOp(op=ast.BitOr()):
                pass
            case _:
                what = f"the type `{ast.unparse(annotation)}`"
                raise refused(file, annotation, what, f"use {', '.join(TYPES)} and None")


def annotation_parts(annotation: ast.expr) -> Iterator[ast.AST]:
    """Give the expressions of a type."""
    return (node for node in ast.walk(annotation) if isinstance(node, ast.expr))
