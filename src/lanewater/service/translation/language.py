"""What the kernel subset holds, name by name, and how something outside it is refused.

The written form is docs/reference/kernel-subset.md; a test keeps both in step.
"""

from __future__ import annotations

import ast

from lanewater.terms.errors import LanewaterError

KERNEL = "lanewater.kernel"
LARGEST = 2**53 - 1
HIGHEST_EXPONENT = 16

BINARY = {
    ast.Add: "add",
    ast.Sub: "sub",
    ast.Mult: "mul",
    ast.Div: "div",
    ast.FloorDiv: "floordiv",
    ast.Mod: "mod",
    ast.Pow: "pow",
}
# Where whole numbers decide, a result beyond 2**53 is an error and not a rounded number.
BOUNDED = {ast.Add: "add53", ast.Sub: "sub53", ast.Mult: "mul53", ast.Pow: "pow53"}
COMPARISONS = {
    ast.Eq: "eq",
    ast.NotEq: "eq",
    ast.Lt: "lt",
    ast.LtE: "le",
    ast.Gt: "gt",
    ast.GtE: "ge",
    ast.In: "has",
    ast.NotIn: "has",
}
TURNED = (ast.NotEq, ast.NotIn)
# Least and most arguments.
FUNCTIONS = {
    "len": (1, 1),
    "abs": (1, 1),
    "min": (1, 99),
    "max": (1, 99),
    "sorted": (1, 1),
    "range": (1, 3),
}
MATH = ("exp", "log", "log10", "sqrt", "floor", "isfinite")
METHODS = {"get": (1, 2), "items": (0, 0), "append": (1, 1)}
ERROR = "ValueError"
TYPES = ("int", "float", "str", "bool", "list", "tuple", "dict", "Any")

# Names that JavaScript keeps for itself in a module (one that exports `then` is taken for a
# promise); a local one gets a sign behind it.
KEPT = (
    "arguments await break case catch class const continue debugger default delete do else enum "
    "eval export extends false finally for function if implements import in instanceof interface "
    "let new null package private protected public return static super switch this throw true try "
    "typeof var void while with yield undefined then NaN Infinity KERNEL_MARK"
)
RESERVED = frozenset(KEPT.split())

INSTEAD = {
    ast.ListComp: "write a for loop with append",
    ast.SetComp: "write a for loop over a list",
    ast.DictComp: "write a for loop",
    ast.GeneratorExp: "write a for loop",
    ast.Lambda: "write a function",
    ast.JoinedStr: "join texts with +",
    ast.FormattedValue: "join texts with +",
    ast.Set: "write a list or a tuple",
    ast.Slice: "walk with range",
    ast.Starred: "name every item",
    ast.NamedExpr: "assign on a line of its own",
    ast.Try: "look before: test with `in`, len() or a comparison",
    ast.With: "the kernel opens nothing",
    ast.ClassDef: "write functions over dicts and tuples",
    ast.Delete: "make a new list or dict",
    ast.Global: "hand the value in and return the new one",
    ast.Nonlocal: "hand the value in and return the new one",
    ast.Assert: "raise ValueError with a text",
    ast.Match: "write if and elif",
    ast.Yield: "return a list",
    ast.YieldFrom: "return a list",
    ast.Await: "the kernel waits for nothing",
    ast.AsyncFunctionDef: "the kernel waits for nothing",
    ast.AsyncFor: "the kernel waits for nothing",
    ast.AsyncWith: "the kernel waits for nothing",
    ast.FunctionDef: "write it at the top of the module",
    ast.Import: "import at the top of the module",
    ast.ImportFrom: "import at the top of the module",
}


class SubsetError(LanewaterError):
    """Something in the kernel is outside its subset.

    Parameters
    ----------
    file : str
        Of the kernel, as "kernel/water/units.py".
    line : int
        From 1.
    what : str
        What stands there.
    instead : str
        What would be right.
    """

    def __init__(self, file: str, line: int, what: str, instead: str) -> None:
        super().__init__(f"{file}:{line}: {what} is not in the kernel subset; {instead}")
        self.file = file
        self.line = line


def refused(file: str, node: ast.AST, what: str = "", instead: str = "") -> SubsetError:
    """Give the error that refuses a piece of syntax, with the usual advice where none is given."""
    kind = type(node)
    return SubsetError(
        file,
        getattr(node, "lineno", 1),
        what or kind.__name__,
        instead or INSTEAD.get(kind, "see docs/reference/kernel-subset.md"),
    )


def whole_number(node: ast.expr) -> int | None:
    """Give the whole number that is written out, minus and all; None where there is none."""
    match node:
        case ast.Constant(value=int(value)) if not isinstance(value, bool):
            return value
        case ast.UnaryOp(op=ast.USub(), operand=ast.Constant(value=int(value))):
            return None if isinstance(value, bool) else -value
    return None


def script_name(name: str) -> str:
    """Give the JavaScript name of a Python name."""
    return name + "$" if name in RESERVED else name
