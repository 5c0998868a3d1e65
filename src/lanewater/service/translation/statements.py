"""Statements and functions of the subset, written as JavaScript."""

from __future__ import annotations

import ast

from lanewater.service.translation.expressions import Expressions, Sight
from lanewater.service.translation.flow import UnsetNames, names_set
from lanewater.service.translation.language import (
    ERROR,
    FUNCTIONS,
    METHODS,
    script_name,
    whole_number,
)
from lanewater.service.translation.modules import (
    check_annotation,
    plain_name,
    without_docstring,
)

STEP = "  "


def write_function(sight: Sight, function: ast.FunctionDef) -> str:
    """Write one function of a module.

    Parameters
    ----------
    sight : Sight
        Of its module.
    function : ast.FunctionDef
        With a checked signature.

    Raises
    ------
    SubsetError
        Where something in it is outside the subset.
    """
    return Statements(sight, function).whole()


class Statements:
    """Write the statements of one function.

    Parameters
    ----------
    sight : Sight
        Of its module.
    function : ast.FunctionDef
        With a checked signature.
    """

    def __init__(self, sight: Sight, function: ast.FunctionDef) -> None:
        self.sight = sight
        self.function = function
        self.arguments = [argument.arg for argument in function.args.args]
        self._check_names()
        self.local = {*self.arguments, *(node.id for node in names_set(function))}
        self.expressions = Expressions(sight, function, self.local)
        self.lines: list[str] = []

    def _check_names(self) -> None:
        """Refuse a local name that hides another."""
        seen = {*self.sight.functions, *self.sight.constants, *FUNCTIONS, ERROR, "math"}
        named: list[tuple[ast.AST, str]] = [(node, node.arg) for node in self.function.args.args]
        named += [(node, node.id) for node in names_set(self.function)]
        for node, name in named:
            if name in seen:
                what = f"the local name {name!r}, which hides another,"
                raise self.sight.refuse(node, what, "choose another name")
            if not plain_name(name):
                raise self.sight.refuse(node, f"the name {name!r}", "use plain ASCII names")

    def _check_set(self) -> None:
        """Refuse a name that is read where some way leads past every assignment."""
        for unset in UnsetNames(self.function).found:
            what = f"reading {unset.id!r}, which may be unset here,"
            raise self.sight.refuse(unset, what, "set it before the branch or the loop")

    def whole(self) -> str:
        """Write the function."""
        self._body(without_docstring(self.function.body), STEP)
        self._check_set()
        if not isinstance(self.function.body[-1], ast.Return | ast.Raise):
            self.lines.append(f"{STEP}return null;")
        taken = [
            f'{script_name(name)} = {self.sight.run("missing")}("{name}")'
            for name in self.arguments
        ]
        own = sorted(script_name(name) for name in self.local - set(self.arguments))
        head = [f"export function {self.function.name}({', '.join(taken)}) {{"]
        if own:
            head.append(f"{STEP}let {', '.join(own)};")
        return "\n".join([*head, *self.lines, "}"])

    def _body(self, nodes: list[ast.stmt], indent: str) -> None:
        """Write statements one after the other."""
        for node in nodes:
            self._statement(node, indent)

    def _statement(self, node: ast.stmt, indent: str) -> None:
        """Write one statement."""
        write = self.expressions.write
        match node:
            case ast.Assign(targets=[target]):
                self._assign(target, node.value, indent)
            case ast.AnnAssign(target=ast.Name() as name, value=ast.expr() as value):
                check_annotation(self.sight.file, node.annotation)
                self.lines.append(f"{indent}{script_name(name.id)} = {write(value)};")
            case ast.AugAssign():
                self._augment(node, indent)
            case ast.Return():
                given = "null" if node.value is None else write(node.value)
                self.lines.append(f"{indent}return {given};")
            case ast.Expr():
                self.lines.append(f"{indent}{self._bare(node.value)};")
            case ast.Raise():
                self.lines.append(f"{indent}throw {self._error(node)};")
            case ast.Pass():
                pass
            case ast.Break():
                self.lines.append(f"{indent}break;")
            case ast.Continue():
                self.lines.append(f"{indent}continue;")
            case _:
                self._block(node, indent)

    def _block(self, node: ast.stmt, indent: str) -> None:
        """Write a statement that holds others."""
        match node:
            case ast.If():
                self.lines.append(f"{indent}if ({self.expressions.truth(node.test)}) {{")
                self._body(node.body, indent + STEP)
                if node.orelse:
                    self.lines.append(f"{indent}}} else {{")
                    self._body(node.orelse, indent + STEP)
            case ast.While(orelse=[]):
                self.lines.append(f"{indent}while ({self.expressions.truth(node.test)}) {{")
                self._body(node.body, indent + STEP)
            case ast.For(orelse=[]):
                self._loop(node, indent)
            case ast.While() | ast.For():
                raise self.sight.refuse(node, "else behind a loop", "write a flag")
            case _:
                raise self.sight.refuse(node)
        self.lines.append(f"{indent}}}")

    def _assign(self, target: ast.expr, value: ast.expr, indent: str) -> None:
        """Write an assignment; what is assigned is worked out before where it goes."""
        match target:
            case ast.Name(id=name):
                self.lines.append(f"{indent}{script_name(name)} = {self.expressions.write(value)};")
            case ast.Tuple(elts=names) if all(isinstance(item, ast.Name) for item in names):
                self._unpack(target, self.expressions.write(value), indent)
            case ast.Subscript(value=held, slice=key) if not isinstance(key, ast.Slice | ast.Tuple):
                self._check_held(held)
                parts = ", ".join(self.expressions.write(part) for part in (value, held, key))
                self.lines.append(f"{indent}{self.sight.run('store')}({parts});")
            case _:
                what = f"assigning to `{ast.unparse(target)}`"
                raise self.sight.refuse(target, what, "assign to a name, names, or one subscript")

    def _unpack(self, target: ast.Tuple, value: str, indent: str) -> None:
        """Write the assignment of a row's items to names."""
        kept = self.expressions.fresh()
        run = self.sight.run("unpack")
        self.lines.append(f"{indent}const {kept} = {run}({value}, {len(target.elts)});")
        for index, item in enumerate(target.elts):
            assert isinstance(item, ast.Name)  # noqa: S101 - the caller has looked
            self.lines.append(f"{indent}{script_name(item.id)} = {kept}[{index}];")

    def _check_held(self, held: ast.expr) -> None:
        """Refuse to change a constant."""
        if isinstance(held, ast.Name) and held.id in self.sight.constants:
            raise self.sight.refuse(held, f"changing the constant {held.id}", "make a new value")
        if isinstance(held, ast.Subscript):
            self._check_held(held.value)

    def _augment(self, node: ast.AugAssign, indent: str) -> None:
        """Write x += y; a subscript's parts are worked out once."""
        match node.target:
            case ast.Name(id=name):
                read = ast.copy_location(ast.Name(name, ast.Load()), node.target)
                joined = ast.copy_location(ast.BinOp(read, node.op, node.value), node)
                self._assign(node.target, joined, indent)
            case ast.Subscript(value=held, slice=key) if not isinstance(key, ast.Slice | ast.Tuple):
                self._check_held(held)
                kept = []
                for part in (held, key):
                    kept.append(self.expressions.fresh())
                    written = self.expressions.write(part)
                    self.lines.append(f"{indent}const {kept[-1]} = {written};")
                self.local.update(kept)
                names = [ast.copy_location(ast.Name(name, ast.Load()), node) for name in kept]
                read_item = ast.copy_location(ast.Subscript(names[0], names[1], ast.Load()), node)
                joined = ast.copy_location(ast.BinOp(read_item, node.op, node.value), node)
                written = self.expressions.write(joined)
                self.local.difference_update(kept)
                self.lines.append(
                    f"{indent}{self.sight.run('store')}({written}, {kept[0]}, {kept[1]});"
                )
            case _:
                raise self.sight.refuse(node, f"`{ast.unparse(node)[:60]}`", "assign to a name")

    def _loop(self, node: ast.For, indent: str) -> None:
        """Write the head and body of a for loop."""
        kept = self.expressions.fresh()
        match node.iter:
            case ast.Call(func=ast.Name(id="range"), keywords=[]):
                self.lines.append(f"{indent}{self._counting(kept, node.iter)} {{")
            case ast.Call(func=ast.Attribute(value=held, attr="items"), args=[], keywords=[]):
                pairs = f"{self.sight.run('pairs')}({self.expressions.write(held)})"
                self.lines.append(f"{indent}for (const {kept} of {pairs}) {{")
            case _:
                items = f"{self.sight.run('each')}({self.expressions.write(node.iter)})"
                self.lines.append(f"{indent}for (const {kept} of {items}) {{")
        match node.target:
            case ast.Name(id=name):
                self.lines.append(f"{indent}{STEP}{script_name(name)} = {kept};")
            case ast.Tuple(elts=names) if all(isinstance(item, ast.Name) for item in names):
                self._unpack(node.target, kept, indent + STEP)
            case _:
                raise self.sight.refuse(node.target, "this loop variable", "use a name or names")
        self._body(node.body, indent + STEP)

    def _counting(self, kept: str, call: ast.Call) -> str:
        """Write the head of a loop over range(...)."""
        self.expressions.counted(call, *FUNCTIONS["range"])
        step = whole_number(call.args[2]) if len(call.args) == 3 else 1
        if step is None or step == 0:
            raise self.sight.refuse(call, "this step of range", "write a whole number, not 0")
        run = self.sight.run("whole")
        ends = [f"{run}({self.expressions.write(end)})" for end in call.args[:2]]
        first = "0" if len(ends) == 1 else ends[0]
        end = self.expressions.fresh()
        sign = "<" if step > 0 else ">"
        return (
            f"for (let {kept} = {first}, {end} = {ends[-1]}; {kept} {sign} {end}; {kept} += {step})"
        )

    def _bare(self, node: ast.expr) -> str:
        """Write a call whose answer is not used: append, or a kernel function."""
        match node:
            case ast.Call(func=ast.Attribute(value=held, attr="append"), keywords=[]):
                self._check_held(held)
                self.expressions.counted(node, *METHODS["append"])
                kept = f"{self.sight.run('growing')}({self.expressions.write(held)})"
                return f"{kept}.push({self.expressions.write(node.args[0])})"
            case ast.Call(func=ast.Name(id=name)) if name in self.sight.functions:
                return self.expressions.write(node)
        what = f"`{ast.unparse(node)[:60]}` on a line of its own"
        raise self.sight.refuse(node, what, "assign it, append, or call a kernel function")

    def _error(self, node: ast.Raise) -> str:
        """Write the error that is raised."""
        match node:
            case ast.Raise(
                exc=ast.Call(
                    func=ast.Name(id=name), args=[ast.Constant(value=str()) as text], keywords=[]
                ),
                cause=None,
            ) if name == ERROR and name not in self.local:
                return f'{self.sight.run("error")}("{name}", {self.expressions.write(text)})'
        raise self.sight.refuse(node, f"`{ast.unparse(node)[:60]}`", 'raise ValueError("a text")')
