"""What the program never does: run text as code, put text into SQL, reach another machine."""

from __future__ import annotations

import ast
import re
import sys
import tomllib
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import pytest
from tests.contracts.house import ROOT, SOURCE, modules, plant

CODE_FROM_TEXT = {"eval", "exec", "__import__"}
SHELLS = {"os.system", "os.popen", "subprocess.getoutput", "subprocess.getstatusoutput"}
NOT_DATA = {"pickle", "cPickle", "marshal", "shelve", "dill", "yaml", "xml"}
SQL = {"execute", "executemany", "executescript", "exec_driver_sql", "scalar", "scalars", "text"}
# Names of PRAGMAs, triggers and tables cannot be parameters; here they come from a table in
# the source, and those of a server's schema and role are quoted by the server itself.
NAMED_FROM_THE_SOURCE = {
    "records/store/sqlite.py",
    "records/store/postgres_prepare.py",
    "records/store/migrations",
}
# The invented site's chance has a seed; nothing secret comes from it.
SEEDED = {"service/demonstration.py", "service/demo_water.py", "service/demo_stage.py"}
REACHES_OUT = {"socket", "http.client", "urllib.request", "smtplib", "ftplib", "ssl", "httpx"}
# The server listens; the demo asks itself on this machine whether it answers; and one command
# hands a stamp to the mail server that it is told, which no page can ask for.
LISTENS = {
    "interfaces/certified.py": {"socket", "ssl"},
    "interfaces/serving.py": {"socket"},
    "interfaces/cli/demo.py": {"http.client"},
    "service/stamp_out.py": {"smtplib"},
}
BROUGHT_ALONG = {"pydantic": "fastapi", "starlette": "fastapi", "argon2": "argon2-cffi"} | {
    "numpy": "numba",
    "llvmlite": "numba",
}

Fault = tuple[int, str]


@dataclass(frozen=True)
class Seen:
    """What of a module matters here, found in one walk."""

    name: str
    calls: list[ast.Call]
    imports: list[tuple[int, str]]
    assigned: list[ast.Assign]


Look = Callable[[Seen], Iterator[Fault]]


@cache
def seen(source: Path) -> tuple[Seen, ...]:
    """Walk over every module below a folder."""
    found = []
    for path, tree in modules(source):
        nodes = list(ast.walk(tree))
        found.append(
            Seen(
                path.relative_to(source).as_posix(),
                [node for node in nodes if isinstance(node, ast.Call)],
                [row for node in nodes for row in imported(node)],
                [node for node in nodes if isinstance(node, ast.Assign)],
            )
        )
    return tuple(found)


def dotted(node: ast.expr) -> str:
    """Write a name as it stands in the source, "" for anything that is no plain name."""
    if isinstance(node, ast.Name):
        return node.id
    if isinstance(node, ast.Attribute):
        before = dotted(node.value)
        return f"{before}.{node.attr}" if before else ""
    return ""


def imported(node: ast.AST) -> Iterator[tuple[int, str]]:
    """Give every module that a statement imports."""
    if isinstance(node, ast.Import):
        yield from ((node.lineno, name.name) for name in node.names)
    elif isinstance(node, ast.ImportFrom) and node.module:
        yield node.lineno, node.module
        yield from ((node.lineno, f"{node.module}.{name.name}") for name in node.names)


def runs_text(module: Seen) -> Iterator[Fault]:
    """Find text that is run as code, by Python or by a shell, and formats that run code."""
    for line, name in module.imports:
        if name.partition(".")[0] in NOT_DATA:
            yield line, f"{name} is not a format for data from outside"
    for node in module.calls:
        called = dotted(node.func)
        if called in CODE_FROM_TEXT | SHELLS or re.match(r"os\.(exec|spawn)[lv]", called):
            yield node.lineno, f"{called} runs text"
        if any(word.arg == "shell" for word in node.keywords):
            yield node.lineno, "a shell reads the command"


def put_together(node: ast.expr, known: set[str]) -> bool:
    """Tell whether a text is made of pieces where it stands, beyond constants of the module."""
    if isinstance(node, ast.Name):
        return node.id in known
    pieces = isinstance(node, ast.JoinedStr | ast.BinOp)
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
        pieces = node.func.attr in ("format", "join")
    names = [one.id for one in ast.walk(node) if isinstance(one, ast.Name)]
    return pieces and not all(name.isupper() for name in names)


def puts_text_into_sql(module: Seen) -> Iterator[Fault]:
    """Find a statement that is put together out of text instead of taking parameters."""
    if module.name.startswith(tuple(NAMED_FROM_THE_SOURCE)):
        return
    known = {
        target.id
        for node in module.assigned
        if put_together(node.value, set())
        for target in node.targets
        if isinstance(target, ast.Name)
    }
    for node in module.calls:
        is_sql = isinstance(node.func, ast.Attribute) and node.func.attr in SQL
        if is_sql and node.args and put_together(node.args[0], known):
            yield node.lineno, f"{dotted(node.func)} of a text that is put together"


def takes_chance(module: Seen) -> Iterator[Fault]:
    """Find the chance that can be foreseen."""
    for line, name in module.imports:
        if name.partition(".")[0] == "random" and module.name not in SEEDED:
            yield line, "random can be foreseen; take secrets"


def reaches_out(module: Seen) -> Iterator[Fault]:
    """Find what could speak to another machine."""
    for line, name in module.imports:
        if name in REACHES_OUT - LISTENS.get(module.name, set()):
            yield line, f"{name} reaches other machines"


@cache
def packages() -> frozenset[str]:
    """Give the packages that the program may import: what pyproject.toml asks for."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    extra = project["optional-dependencies"]
    wanted = [*project["dependencies"], *extra["fleet"], *extra["postgres"]]
    return frozenset(re.split(r"[\[<>=~!]", one)[0] for one in wanted)


def imports_a_stranger(module: Seen) -> Iterator[Fault]:
    """Find a package that nobody asked for in pyproject.toml."""
    asked = packages()
    ours = {name.replace("-", "_") for name in asked} | {"lanewater"}
    ours |= {name for name, by in BROUGHT_ALONG.items() if by in asked}
    for line, name in module.imports:
        first = name.partition(".")[0]
        if first not in sys.stdlib_module_names and first not in ours:
            yield line, f"{first} stands in no list of packages"


LOOKS: tuple[Look, ...] = (
    runs_text,
    puts_text_into_sql,
    takes_chance,
    reaches_out,
    imports_a_stranger,
)


def faults(source: Path, look: Look) -> list[str]:
    """Name each fault below a folder."""
    return [
        f"{module.name}:{line}: {what}" for module in seen(source) for line, what in look(module)
    ]


@pytest.mark.parametrize("look", LOOKS, ids=lambda look: look.__name__)
def test_the_program_never_does_it(look: Look) -> None:
    assert len(modules(SOURCE)) > 200
    assert faults(SOURCE, look) == []


PLANTED = [
    (runs_text, "eval(word)"),
    (runs_text, "import os\nos.system(word)"),
    (runs_text, "import os\nos.execvp(word, [])"),
    (runs_text, "import subprocess\nsubprocess.run(word, shell=True)"),
    (runs_text, "import subprocess\nsubprocess.run(word, shell=asked)"),
    (runs_text, "def load():\n    import pickle"),
    (runs_text, "from yaml import load"),
    (runs_text, "from xml.etree import ElementTree"),
    (puts_text_into_sql, "connection.execute(f'SELECT {word}')"),
    (puts_text_into_sql, "connection.execute('SELECT ' + word)"),
    (puts_text_into_sql, "connection.execute('SELECT %s' % word)"),
    (puts_text_into_sql, "connection.exec_driver_sql('SELECT {}'.format(word))"),
    (puts_text_into_sql, "sql = f'SELECT {word}'\nconnection.execute(sql)"),
    (puts_text_into_sql, "connection.execute(sqlalchemy.text(f'SELECT {word}'))"),
    (takes_chance, "from random import choice"),
    (takes_chance, "import random"),
    (reaches_out, "import socket"),
    (reaches_out, "from urllib.request import urlopen"),
    (reaches_out, "from urllib import request"),
    (imports_a_stranger, "import requests"),
]


@pytest.mark.parametrize(("look", "text"), PLANTED)
def test_a_planted_one_is_found(tmp_path: Path, look: Look, text: str) -> None:
    assert faults(plant(tmp_path, "planted.py", text), look) != []


@pytest.mark.parametrize(
    "text",
    [
        "connection.execute(select(table.c.id).where(table.c.id == word))",
        "connection.exec_driver_sql('SELECT 1')",
        "BEGIN = '; '.join((FIRST, SECOND))\nconnection.execute(BEGIN)",
        "connection.execute('SELECT ?', (word,))",
        "import secrets\nfrom urllib.parse import urlsplit",
    ],
)
def test_what_is_right_is_let_through(tmp_path: Path, text: str) -> None:
    folder = plant(tmp_path, "planted.py", text)
    assert [fault for look in LOOKS for fault in faults(folder, look)] == []


# In the pages and in the verifier's page: an address that is fetched. The names of SVG and of
# licences are words, not addresses that anything asks.
STATIC = SOURCE / "interfaces" / "web" / "static"
ONE_FILE = ROOT / "docs" / "reference" / "verify.html"
ADDRESS = re.compile(r"(?:https?:)?//[a-z0-9.-]+\.[a-z]{2,}[^\s\"')]*", re.IGNORECASE)
WORDS = re.compile(r"http://www\.w3\.org/(?:2000/svg|1999/xhtml|1999/xlink)")
KINDS = {".html", ".js", ".mjs", ".css", ".svg", ".json", ".webmanifest"}


def addresses(paths: list[Path]) -> list[str]:
    """Give every address of another host in files that a browser takes."""
    return [
        f"{path.name}: {found}"
        for path in paths
        for found in ADDRESS.findall(WORDS.sub("", path.read_text(encoding="utf-8")))
    ]


def test_no_page_names_another_host() -> None:
    paths = [path for path in STATIC.rglob("*") if path.suffix in KINDS]
    assert len(paths) > 20
    assert addresses([*paths, *([ONE_FILE] if ONE_FILE.exists() else [])]) == []


@pytest.mark.parametrize(
    "text",
    [
        '<script src="https://cdn.example.com/x.js"></script>',
        "@import url(//fonts.example.com/a.css);",
        'fetch("http://example.com")',
    ],
)
def test_a_page_that_names_another_host_is_found(tmp_path: Path, text: str) -> None:
    plant(tmp_path, "page.html", text)
    assert addresses([tmp_path / "page.html"]) != []
