"""What can be known of a function without running it: where a name may be unset, what is a bool."""

from __future__ import annotations

import ast
from collections.abc import Iterator, Mapping

BOOL = "bool"
OTHER = "other"
UNKNOWN = "unknown"
BOOL_CALLS = {"isfinite"}


def names_set(node: ast.AST) -> Iterator[ast.Name]:
    """Give every name that a piece of a function assigns to."""
    for part in ast.walk(node):
        if isinstance(part, ast.Name) and isinstance(part.ctx, ast.Store):
            yield part


class UnsetNames:
    """Find the names that are read where some way leads past every assignment.

    Parameters
    ----------
    function : ast.FunctionDef
        In the subset: names are assigned by statements only.
    """

    def __init__(self, function: ast.FunctionDef) -> None:
        self.arguments = {argument.arg for argument in function.args.args}
        self.local = self.arguments | {node.id for node in names_set(function)}
        self.found: list[ast.Name] = []
        self.walk(function.body, set(self.arguments))

    def read(self, node: ast.AST | None, known: set[str]) -> None:
        """Note the names that an expression reads and that may be unset."""
        for part in ast.walk(node) if node is not None else ():
            if not isinstance(part, ast.Name) or isinstance(part.ctx, ast.Store):
                continue
            if part.id in self.local and part.id not in known:
                self.found.append(part)

    def walk(self, body: list[ast.stmt], known: set[str] | None) -> set[str] | None:
        """Follow a body; give the names set at its end, None where its end is never reached."""
        for node in body:
            if known is None:
                break
            known = self.step(node, known)
        return known

    def step(self, node: ast.stmt, known: set[str]) -> set[str] | None:
        """Follow one statement."""
        match node:
            case ast.If():
                self.read(node.test, known)
                return meet(self.walk(node.body, set(known)), self.walk(node.orelse, set(known)))
            case ast.While():
                self.read(node.test, known)
                self.walk(node.body, set(known))
            case ast.For():
                self.read(node.iter, known)
                self.walk(node.body, known | {name.id for name in names_set(node.target)})
            case ast.AugAssign():
                self.read(node.value, known)
                self.read_target(node.target, known)
            case ast.Assign() | ast.AnnAssign():
                self.read(node.value, known)
                targets = node.targets if isinstance(node, ast.Assign) else [node.target]
                for target in targets:
                    self.read(target, known)
                    known |= {name.id for name in names_set(target)}
            case ast.Return() | ast.Raise():
                self.read(node, known)
                return None
            case ast.Break() | ast.Continue():
                return None
            case _:
                self.read(node, known)
        return known

    def read_target(self, target: ast.expr, known: set[str]) -> None:
        """Note what an augmented assignment reads of its own target."""
        if isinstance(target, ast.Name):
            target = ast.copy_location(ast.Name(target.id, ast.Load()), target)
        self.read(target, known)


def meet(first: set[str] | None, other: set[str] | None) -> set[str] | None:
    """Give what is set where two ways come together again."""
    if first is None or other is None:
        return other if first is None else first
    return first & other


def annotated(annotation: ast.expr | None) -> str:
    """Tell whether a type rules out a bool; that it says bool is no proof of what comes in."""
    match annotation:
        case ast.Name(id="bool" | "Any"):
            return UNKNOWN
    return OTHER


class Kinds:
    """Tell what is surely a bool, what is meant to be another thing, and what only running tells.

    Parameters
    ----------
    function : ast.FunctionDef
        Whose names are asked for.
    returns : mapping
        Name of each kernel function in sight to the type it returns.
    """

    def __init__(self, function: ast.FunctionDef, returns: Mapping[str, ast.expr | None]) -> None:
        self.returns = returns
        self.declared = {item.arg: annotated(item.annotation) for item in function.args.args}
        self.values: dict[str, list[ast.expr | None]] = {}
        self.asked: set[str] = set()
        for node in ast.walk(function):
            self.note(node)

    def note(self, node: ast.AST) -> None:
        """Keep what a statement says of the names it assigns to."""
        match node:
            case ast.AnnAssign(target=ast.Name(id=name)):
                self.declared[name] = annotated(node.annotation)
            case ast.Assign(targets=[ast.Name(id=name)]):
                self.values.setdefault(name, []).append(node.value)
            case ast.AugAssign(target=ast.Name(id=name)):
                self.values.setdefault(name, []).append(node.value)
            case ast.For(target=target) | ast.Assign(targets=[target]):
                for part in names_set(target):
                    self.values.setdefault(part.id, []).append(None)

    def of(self, node: ast.expr | None) -> str:
        """Tell the kind of an expression."""
        match node:
            case ast.Compare() | ast.BoolOp() | ast.UnaryOp(op=ast.Not()):
                return BOOL
            case ast.Constant():
                return BOOL if isinstance(node.value, bool) else OTHER
            case ast.IfExp():
                return joined([self.of(node.body), self.of(node.orelse)])
            case ast.Name():
                return self.of_name(node.id)
            case ast.Call():
                return self.of_call(node)
            case ast.Subscript() | None:
                return UNKNOWN
        return OTHER

    def of_name(self, name: str) -> str:
        """Tell the kind of a name by its type, else by all that is assigned to it."""
        if name in self.declared:
            return self.declared[name]
        if name in self.asked or name not in self.values:
            return UNKNOWN
        self.asked.add(name)
        kind = joined([self.of(value) for value in self.values[name]])
        self.asked.discard(name)
        return kind

    def of_call(self, node: ast.Call) -> str:
        """Tell the kind of what a call gives."""
        match node.func:
            case ast.Name(id=name) if name in self.returns:
                return annotated(self.returns[name])
            case ast.Attribute(attr="get"):
                return UNKNOWN
            case ast.Attribute(attr=name) if name in BOOL_CALLS:
                return BOOL
        return OTHER


def joined(kinds: list[str]) -> str:
    """Tell the kind of what is one of several."""
    return kinds[0] if len(set(kinds)) == 1 else UNKNOWN
