"""Expressions of the subset, written as JavaScript that calls the strict run-time."""

from __future__ import annotations

import ast
import json
import math
from collections.abc import Mapping
from dataclasses import dataclass, field

from lanewater.service.translation.flow import BOOL, OTHER, Kinds
from lanewater.service.translation.language import (
    BINARY,
    BOUNDED,
    COMPARISONS,
    FUNCTIONS,
    HIGHEST_EXPONENT,
    LARGEST,
    MATH,
    METHODS,
    TURNED,
    SubsetError,
    refused,
    script_name,
    whole_number,
)


@dataclass(frozen=True, slots=True)
class Sight:
    """What a module's functions can see.

    Parameters
    ----------
    file : str
        As errors call it.
    functions : mapping
        Name to node: its own and the imported.
    constants : frozenset
        Names: its own and the imported.
    with_math : bool
        Whether math is imported.
    bounded : bool
        Whether whole numbers decide here, so that none may pass 2**53.
    used : set
        What of the run-time has been called; grows.
    """

    file: str
    functions: Mapping[str, ast.FunctionDef]
    constants: frozenset[str]
    with_math: bool
    bounded: bool
    used: set[str] = field(default_factory=set)

    def refuse(self, node: ast.AST, what: str = "", instead: str = "") -> SubsetError:
        """Give the error that refuses a piece of this module."""
        return refused(self.file, node, what, instead)

    def run(self, name: str) -> str:
        """Give the name of a function of the run-time."""
        self.used.add(name)
        return "$" + name


class Expressions:
    """Write the expressions of one function.

    Parameters
    ----------
    sight : Sight
        Of its module.
    function : ast.FunctionDef
        Whose expressions they are.
    local : set
        The names that are its own.
    """

    def __init__(self, sight: Sight, function: ast.FunctionDef, local: set[str]) -> None:
        self.sight = sight
        self.local = local
        self.kinds = Kinds(function, {name: f.returns for name, f in sight.functions.items()})
        self.spare = 0

    def fresh(self) -> str:
        """Give a name that no Python name can be."""
        self.spare += 1
        return f"${self.spare}"

    def write(self, node: ast.expr) -> str:
        """Write an expression as JavaScript, complete in itself.

        Raises
        ------
        SubsetError
            Where it is outside the subset.
        """
        match node:
            case ast.Constant():
                return constant_text(self.sight, node)
            case ast.Name():
                return self._name(node)
            case ast.BinOp():
                return self._binary(node)
            case ast.UnaryOp():
                return self._unary(node)
            case ast.BoolOp():
                sign = " && " if isinstance(node.op, ast.And) else " || "
                return f"({sign.join(self.truth(value) for value in node.values)})"
            case ast.Compare():
                return self._comparison(node)
            case ast.IfExp():
                ways = f"{self.write(node.body)} : {self.write(node.orelse)}"
                return f"({self.truth(node.test)} ? {ways})"
            case ast.Call():
                return self._call(node)
        return self._container(node)

    def _container(self, node: ast.expr) -> str:
        """Write a list, tuple or dict, or what is taken out of one."""
        match node:
            case ast.List() | ast.Tuple():
                return f"[{self._several(node.elts)}]"
            case ast.Dict():
                return self._dictionary(node)
            case ast.Subscript(slice=ast.Slice() | ast.Tuple()):
                raise self.sight.refuse(node.slice, "this index", "take one item by one index")
            case ast.Subscript():
                run = self.sight.run("item")
                return f"{run}({self.write(node.value)}, {self.write(node.slice)})"
        raise self.sight.refuse(node)

    def _several(self, nodes: list[ast.expr]) -> str:
        """Write expressions side by side, in the order in which they are worked out."""
        return ", ".join(self.write(node) for node in nodes)

    def _name(self, node: ast.Name) -> str:
        """Write a name that can be seen here and is a value."""
        if node.id in self.local or node.id in self.sight.constants:
            return script_name(node.id)
        if node.id in self.sight.functions:
            what = f"the function {node.id!r} as a value"
            raise self.sight.refuse(node, what, "call it")
        what = f"{node.id!r}, which is neither local nor imported,"
        raise self.sight.refuse(node, what, "define it or import it")

    def _binary(self, node: ast.BinOp) -> str:
        """Write a sum or product."""
        name = BINARY.get(type(node.op))
        if name is None:
            what = f"the operator {type(node.op).__name__}"
            raise self.sight.refuse(node, what, "only + - * / // % and **")
        if self.sight.bounded:
            name = BOUNDED.get(type(node.op), name)
        if isinstance(node.op, ast.Pow):
            power = whole_number(node.right)
            if power is None or not 0 <= power <= HIGHEST_EXPONENT:
                instead = f"write a whole exponent, 0 to {HIGHEST_EXPONENT}"
                raise self.sight.refuse(node, "this exponent", instead)
        return f"{self.sight.run(name)}({self.write(node.left)}, {self.write(node.right)})"

    def _unary(self, node: ast.UnaryOp) -> str:
        """Write a minus or a not."""
        match node.op:
            case ast.Not():
                return f"!{self.truth(node.operand)}"
            case ast.USub():
                return f"{self.sight.run('neg')}({self.write(node.operand)})"
        what = f"the sign {type(node.op).__name__}"
        raise self.sight.refuse(node, what, "only minus and `not`")

    def truth(self, node: ast.expr) -> str:
        """Write what is tested: a bool, and nothing that Python would take for one."""
        kind = self.kinds.of(node)
        if kind == OTHER:
            what = f"`{ast.unparse(node)[:60]}` as a condition"
            instead = "compare: `x is not None`, `len(xs) > 0`, `n != 0`"
            raise self.sight.refuse(node, what, instead)
        written = self.write(node)
        return written if kind == BOOL else f"{self.sight.run('truth')}({written})"

    def _comparison(self, node: ast.Compare) -> str:
        """Write one comparison, or a chain of two whose middle is worked out once."""
        match node.comparators:
            case [right]:
                return self._compared(node.ops[0], node.left, right)
            case [middle, right]:
                for operator in node.ops:
                    if type(operator) not in (ast.Lt, ast.LtE, ast.Gt, ast.GtE):
                        raise self.sight.refuse(node, "this chain", "write two joined by `and`")
                kept = self.fresh()
                self.local.add(kept)
                first, second = (self.sight.run(COMPARISONS[type(sign)]) for sign in node.ops)
                start = f"{first}({self.write(node.left)}, ({kept} = {self.write(middle)}))"
                return f"({start} && {second}({kept}, {self.write(right)}))"
        raise self.sight.refuse(node, "a chain of three comparisons", "write two joined by `and`")

    def _compared(self, operator: ast.cmpop, left: ast.expr, right: ast.expr) -> str:
        """Write one comparison."""
        match operator, right:
            case ast.Is(), ast.Constant(value=None | True | False):
                return f"({self.write(left)} === {self.write(right)})"
            case ast.IsNot(), ast.Constant(value=None | True | False):
                return f"({self.write(left)} !== {self.write(right)})"
        name = COMPARISONS.get(type(operator))
        if name is None:
            raise self.sight.refuse(left, f"`{type(operator).__name__}`", "compare with ==")
        if name == "eq":
            for side in (left, right):
                if isinstance(side, ast.List | ast.Tuple | ast.Dict):
                    raise self.sight.refuse(side, "== of lists and dicts", "compare their parts")
        turn = "!" if isinstance(operator, TURNED) else ""
        return f"{turn}{self.sight.run(name)}({self.write(left)}, {self.write(right)})"

    def _dictionary(self, node: ast.Dict) -> str:
        """Write a dict, its keys and values in turn."""
        pairs = []
        for key, value in zip(node.keys, node.values, strict=True):
            if key is None:
                raise self.sight.refuse(node, "** in a dict", "name every key")
            text = isinstance(key, ast.Constant) and isinstance(key.value, str)
            if not text and isinstance(key, ast.Constant | ast.List | ast.Tuple | ast.Dict):
                raise self.sight.refuse(key, "a key that is no text", "use texts as keys")
            pairs.append(f"{self.write(key)}, {self.write(value)}")
        return f"{self.sight.run('dict')}({', '.join(pairs)})"

    def _call(self, node: ast.Call) -> str:
        """Write a call of a kernel function, of one of Python's, of math, or of dict.get."""
        if node.keywords:
            raise self.sight.refuse(node, "an argument by name", "hand arguments in by place")
        match node.func:
            case ast.Name(id=name) if name in self.local:
                raise self.sight.refuse(node, f"calling the local {name!r}", "call a function")
            case ast.Name(id=name) if name in self.sight.functions:
                wanted = len(self.sight.functions[name].args.args)
                self.counted(node, wanted, wanted)
                return f"{name}({self._several(node.args)})"
            case ast.Name(id=name) if name in FUNCTIONS and name != "range":
                self.counted(node, *FUNCTIONS[name])
                alone = name in ("min", "max") and len(node.args) == 1
                run = self.sight.run(name + ("_of" if alone else ""))
                return f"{run}({self._several(node.args)})"
            case ast.Attribute(value=ast.Name(id="math"), attr=name) if self._is_math(name):
                self.counted(node, 1, 1)
                return f"{self.sight.run(name)}({self._several(node.args)})"
            case ast.Attribute(attr="get"):
                self.counted(node, *METHODS["get"])
                held = f"{self.sight.run('mapping')}({self.write(node.func.value)})"
                return f"{self.sight.run('get')}({held}, {self._several(node.args)})"
        what = f"`{ast.unparse(node.func)}(...)` here"
        raise self.sight.refuse(node, what, "call what docs/reference/kernel-subset.md lists")

    def _is_math(self, name: str) -> bool:
        """Tell whether math.NAME is in the subset and math is the module."""
        return self.sight.with_math and "math" not in self.local and name in MATH

    def counted(self, node: ast.Call, least: int, most: int) -> None:
        """Refuse a call with too few or too many arguments."""
        if not least <= len(node.args) <= most:
            what = f"`{ast.unparse(node)[:60]}` with {len(node.args)} arguments"
            raise self.sight.refuse(node, what, f"hand in {least} to {most}")


def constant_text(sight: Sight, node: ast.Constant) -> str:
    """Write a text, number, bool or None that stands in the source."""
    match node.value:
        case None:
            return "null"
        case bool(value):
            return "true" if value else "false"
        case str(text):
            return json.dumps(text)
        case int(number) if abs(number) <= LARGEST:
            return str(number)
        case float(number) if math.isfinite(number):
            return repr(number)
    raise sight.refuse(node, f"`{ast.unparse(node)[:40]}`", "a number below 2**53, a text or None")
