"""The translation, read: order of modules, names, and what JavaScript stands for what Python."""

from __future__ import annotations

import pytest

from lanewater.service.translation.language import SubsetError
from lanewater.service.translation.script import mark_line, mark_of, translate

HEAD = "from typing import Any\nimport math\n"
MODULE = "lanewater.kernel.deciding.tried"
NUMERIC = "lanewater.kernel.water.tried"


def body(source: str, module: str = MODULE) -> str:
    """Translate one module and give what stands behind the imports."""
    return translate({module: HEAD + source}).partition("tried.py\n")[2]


def function(statements: str, arguments: str = "a: Any, b: Any", module: str = MODULE) -> str:
    """Translate one function and give its lines, without its first and last."""
    lines = "\n".join("    " + line for line in statements.splitlines())
    written = body(f"def tried({arguments}) -> Any:\n{lines}\n", module)
    return "\n".join(line.removeprefix("  ") for line in written.splitlines()[1:-1])


@pytest.mark.parametrize(
    ("python", "javascript"),
    [
        ("return a - b - 1", "return $sub53($sub53(a, b), 1);"),
        ("return a - (b - 1)", "return $sub53(a, $sub53(b, 1));"),
        ("return -a ** 2", "return $neg($pow53(a, 2));"),
        ("return a // b % 3", "return $mod($floordiv(a, b), 3);"),
        ("return a == b", "return $eq(a, b);"),
        ("return a != b", "return !$eq(a, b);"),
        ("return a is not None", "return (a !== null);"),
        ("return a is True", "return (a === true);"),
        ("return a not in b", "return !$has(a, b);"),
        ("return a < 1 and not b", "return ($lt(a, 1) && !$truth(b));"),
        ("return 1 if a > b else 2", "return ($gt(a, b) ? 1 : 2);"),
        ("return a[-1]", "return $item(a, $neg(1));"),
        ("return a.get('k', 0)", 'return $get($mapping(a), "k", 0);'),
        ("return [a, (b, None)]", "return [a, [b, null]];"),
        ("return {'k': a, 'l': True}", 'return $dict("k", a, "l", true);'),
        ("return max(a, b) + max(a)", "return $add53($max(a, b), $max_of(a));"),
        ("return math.floor(a / b)", "return $floor($div(a, b));"),
        ("a.append(b)\nreturn a", "$growing(a).push(b);\nreturn a;"),
        ("a[b] = 1\nreturn a", "$store(1, a, b);\nreturn a;"),
        ("raise ValueError('a \"b\"')", 'throw $error("ValueError", "a \\"b\\"");'),
        ("return", "return null;"),
        ("pass", "return null;"),
        ("return 'é\\u2028'", 'return "\\u00e9\\u2028";'),
        ("return 1e-7", "return 1e-07;"),
    ],
)
def test_what_stands_for_what(python: str, javascript: str) -> None:
    assert function(python) == javascript


def test_floats_are_not_bounded_where_they_are_at_home() -> None:
    assert function("return a * b + a", module=NUMERIC) == "return $add($mul(a, b), a);"


def test_the_middle_of_a_chain_is_worked_out_once() -> None:
    assert function("return 1 < a[0] <= b") == (
        "let $1;\nreturn ($lt(1, ($1 = $item(a, 0))) && $le($1, b));"
    )


def test_a_subscript_that_grows_is_worked_out_once() -> None:
    assert function("a[b] += 1\nreturn a").splitlines() == [
        "const $1 = a;",
        "const $2 = b;",
        "$store($add53($item($1, $2), 1), $1, $2);",
        "return a;",
    ]


def test_a_loop_over_a_range_reads_its_end_once() -> None:
    assert function("n = 0\nfor i in range(a, b, -2):\n    n += i\nreturn n").splitlines() == [
        "let i, n;",
        "n = 0;",
        "for (let $1 = $whole(a), $2 = $whole(b); $1 > $2; $1 += -2) {",
        "  i = $1;",
        "  n = $add53(n, i);",
        "}",
        "return n;",
    ]


def test_several_names_take_a_row_of_just_so_many() -> None:
    assert function("a, b = b\nreturn a").splitlines() == [
        "const $1 = $unpack(b, 2);",
        "a = $1[0];",
        "b = $1[1];",
        "return a;",
    ]


def test_a_name_that_javascript_keeps_gets_a_sign() -> None:
    written = body("def tried(new: Any) -> Any:\n    default = new\n    return default\n")
    assert "tried(new$ = " in written
    assert "default$ = new$;\n  return default$;" in written


def test_modules_stand_behind_what_they_import() -> None:
    written = translate(
        {
            "lanewater.kernel.deciding.a": (
                "from lanewater.kernel.water.z import ONE, one\n"
                "TWO = (ONE, -2.5)\n\n\ndef two() -> int:\n    return one() + ONE\n"
            ),
            "lanewater.kernel.water.z": "ONE = 1\n\n\ndef one() -> int:\n    return ONE\n",
            "lanewater.kernel": '"""Only a text."""\n',
        }
    )
    assert written.index("export const ONE = 1;") < written.index("TWO = $fixed([ONE, -2.5]);")
    assert "return $add53(one(), ONE);" in written


def test_only_what_is_called_of_the_run_time_is_imported() -> None:
    written = translate({MODULE: "def one() -> int:\n    return 1 + 2\n"})
    assert 'import { add53 as $add53 } from "../strict.js";' in written


def test_the_module_says_what_it_was_made_from() -> None:
    mark = mark_of({"a": "x"})
    assert mark != mark_of({"a": "y"}) != mark_of({"b": "y"})
    assert mark_line(mark) in translate({MODULE: ""}, mark)


def test_a_refusal_says_file_line_and_what_would_be_right() -> None:
    with pytest.raises(SubsetError) as raised:
        translate({MODULE: "def one(a: list[int]) -> Any:\n    b = 1\n    return [x for x in a]\n"})
    assert str(raised.value) == (
        "kernel/deciding/tried.py:3: ListComp is not in the kernel subset; "
        "write a for loop with append"
    )
