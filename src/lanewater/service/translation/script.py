"""The whole kernel as one JavaScript module."""

from __future__ import annotations

import ast
import hashlib
import json
from collections.abc import Iterator, Mapping

from lanewater.service.translation.expressions import Sight, constant_text
from lanewater.service.translation.language import KERNEL, script_name
from lanewater.service.translation.modules import KernelModule, read_modules
from lanewater.service.translation.statements import write_function

RUN_TIME = "../strict.js"
NUMERIC = KERNEL + ".water"


def translate(sources: Mapping[str, str], mark: str = "", run_time: str = RUN_TIME) -> str:
    """Translate the kernel's modules to one JavaScript module.

    Parameters
    ----------
    sources : mapping
        Dotted module name to its text.
    mark : str, optional
        Says what it was made from; the module exports it as KERNEL_MARK.
    run_time : str, optional
        Where the strict run-time lies, seen from the module.

    Returns
    -------
    str
        An ES module that exports every top-level name.

    Raises
    ------
    SubsetError
        Where something is outside the subset: file, line, and what would be right.
    """
    modules = read_modules(sources)
    known = {module.name: module for module in modules}
    used: set[str] = set()
    parts = [part for module in modules for part in module_parts(module, known, used)]
    names = ", ".join(f"{name} as ${name}" for name in sorted(used))
    head = [
        "// Translated from lanewater.kernel. Not written by hand, not to be changed.",
        mark_line(mark),
        f'import {{ {names} }} from "{run_time}";',
    ]
    return "\n".join([*head, *parts, ""])


def mark_line(mark: str) -> str:
    """Write the line by which a module says what it was made from."""
    return f"export const KERNEL_MARK = {json.dumps(mark)};"


def mark_of(texts: Mapping[str, str]) -> str:
    """Give the SHA-256 of named texts, in hex."""
    whole = json.dumps(sorted(texts.items())).encode("ascii")
    return hashlib.sha256(whole).hexdigest()


def module_parts(
    module: KernelModule, known: Mapping[str, KernelModule], used: set[str]
) -> Iterator[str]:
    """Write a module's constants and functions."""
    sight = sight_of(module, known, used)
    if module.own:
        yield f"\n// {module.file}"
    written: set[str] = {name for name in module.imports if name in sight.constants}
    for name, value in module.constants.items():
        yield f"export const {name} = {constant(sight, value, written)};"
        written.add(name)
    for function in module.functions.values():
        yield write_function(sight, function)


def sight_of(module: KernelModule, known: Mapping[str, KernelModule], used: set[str]) -> Sight:
    """Give what a module's functions can see."""
    functions = dict(module.functions)
    constants = set(module.constants)
    for name, other in module.imports.items():
        if name in known[other].functions:
            functions[name] = known[other].functions[name]
        else:
            constants.add(name)
    return Sight(
        module.file,
        functions,
        frozenset(constants),
        "math" in module.extras,
        not module.name.startswith(NUMERIC + "."),
        used,
    )


def constant(sight: Sight, node: ast.expr, written: set[str]) -> str:
    """Write a constant: numbers, texts, tuples and dicts of them, earlier constants."""
    match node:
        case ast.Constant():
            return constant_text(sight, node)
        case ast.UnaryOp(op=ast.USub(), operand=ast.Constant(value=value) as number):
            if isinstance(value, int | float) and not isinstance(value, bool):
                return "-" + constant_text(sight, number)
        case ast.Name(id=name) if name in written:
            return script_name(name)
        case ast.Tuple(elts=items):
            inner = ", ".join(constant(sight, item, written) for item in items)
            return f"{sight.run('fixed')}([{inner}])"
        case ast.Dict(keys=keys, values=values):
            if not all(
                isinstance(key, ast.Constant) and isinstance(key.value, str) for key in keys
            ):
                raise sight.refuse(node, "this dict", "write texts as its keys")
            pairs = [
                f"{constant(sight, key, written)}, {constant(sight, value, written)}"
                for key, value in zip(keys, values, strict=True)
                if key is not None
            ]
            return f"{sight.run('dict')}({', '.join(pairs)})"
    instead = "write numbers, texts, tuples and dicts of them, or earlier constants"
    raise sight.refuse(node, f"`{ast.unparse(node)[:60]}` as a constant", instead)
