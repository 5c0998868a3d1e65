"""The one module that is compiled: whole, in order, and never an old one for a changed kernel."""

from __future__ import annotations

import ast
import shutil
import sys
from pathlib import Path

import pytest

from lanewater.fleet import keeping
from lanewater.fleet.engine import load_engine
from lanewater.fleet.keeping import kept_module, mark_of, user_cache, written
from lanewater.fleet.sources import KERNEL_WATER, Flavour, one_module, water_sources
from lanewater.kernel.water.units import grams_of_product
from lanewater.terms.errors import InputError, MissingError

BARE = Flavour("numba.njit(cache=True)", {"exp": "close_exp"}, ("b",))
CHLORINE = "70.906,"


def built(text: str, **more: str) -> str:
    """Put small modules together."""
    return one_module({"a": text, **more}, ("a",), BARE)


def test_every_module_of_the_waters_kernel_fits_into_one() -> None:
    sources = water_sources()
    text = one_module(sources, sources, BARE)
    defined = {node.name for node in ast.parse(text).body if isinstance(node, ast.FunctionDef)}
    functions = [
        node.name
        for source in sources.values()
        for node in ast.parse(source).body
        if isinstance(node, ast.FunctionDef)
    ]
    assert len(functions) > 80
    assert defined == set(functions)


def test_what_is_imported_stands_before_what_imports_it() -> None:
    text = built("from lanewater.kernel.water.b import B\nA = B\n", b="B = 1\n", c="C = 1\n")
    assert text.index("B = 1") < text.index("A = B")
    assert "C = 1" not in text


def test_annotations_and_docstrings_go_and_are_told_beside() -> None:
    text = built('def f(x: float, y: list[float]) -> float:\n    """Say."""\n    return x\n')
    assert "def f(x, y):\n    return x" in text
    assert "FACES = {'f': ('float', 'list[float]')}" in text


def test_a_list_of_floats_is_never_a_list_of_whole_numbers() -> None:
    text = built("def f() -> None:\n    a: list[float] = [0, 1]\n    b: list[float] = []\n")
    assert "a = [0.0, 1.0]" in text
    assert "b = [0.0 for _ in range(0)]" in text


def test_another_exponential_stands_for_maths_own() -> None:
    text = built("import math\ndef f(x: float) -> float:\n    return math.exp(math.sqrt(x))\n")
    assert "close_exp(math.sqrt(x))" in text


def test_only_the_modules_that_are_named_are_put_into_what_calls_them() -> None:
    text = built(
        "from lanewater.kernel.water.b import g\ndef f() -> int:\n    return g()\n",
        b="def g() -> int:\n    return 1\n",
    )
    assert "@numba.njit(cache=True, forceinline=True)\ndef g()" in text
    assert "@numba.njit(cache=True)\ndef f()" in text


def test_a_name_that_stands_twice_is_refused() -> None:
    with pytest.raises(InputError, match="B stands twice"):
        built("from lanewater.kernel.water.b import B\nB = 2\n", b="B = 1\n")


def test_a_changed_constant_is_noticed(tmp_path: Path) -> None:
    kernel = tmp_path / "water"
    shutil.copytree(KERNEL_WATER, kernel)
    cache = tmp_path / "cache"
    before = load_engine(cache, kernel, wanted=("units",)).function("grams_of_product")(0, 1.0)
    units = kernel / "units.py"
    changed = units.read_text(encoding="utf-8").replace(CHLORINE, "35.5,", 1)
    units.write_text(changed, encoding="utf-8")
    after = load_engine(cache, kernel, wanted=("units",)).function("grams_of_product")(0, 1.0)
    assert before == grams_of_product(0, 1.0)
    assert after == 35.5


def test_a_cache_that_did_not_notice_would_be_seen(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(keeping, "mark_of", lambda _text: "always-the-same")
    text = "import numba\nHALF = 2\n@numba.njit\ndef half(x):\n    return x / HALF\n"
    try:
        first = kept_module(text, tmp_path)
        second = kept_module(text.replace("HALF = 2", "HALF = 4"), tmp_path)
        assert second.half(8.0) == first.half(8.0)
    finally:
        sys.modules.pop("lanewater_fleet_always-the-same", None)


def test_the_mark_is_that_of_text_and_of_numba(monkeypatch: pytest.MonkeyPatch) -> None:
    mark = mark_of("A = 1")
    assert mark != mark_of("A = 2")
    monkeypatch.setattr(keeping, "version", lambda _name: "0.0")
    assert mark != mark_of("A = 1")


def test_code_that_somebody_changed_is_written_anew(tmp_path: Path) -> None:
    path = written("A = 1\n", tmp_path / "mark")
    path.write_text("A = 2\n", encoding="utf-8")
    assert written("A = 1\n", tmp_path / "mark").read_text(encoding="utf-8") == "A = 1\n"
    assert path.parent.stat().st_mode & 0o077 == 0


def test_the_cache_is_the_users_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    assert user_cache() == tmp_path / "lanewater" / "fleet"
    monkeypatch.delenv("XDG_CACHE_HOME")
    monkeypatch.delenv("LOCALAPPDATA", raising=False)
    assert user_cache().is_relative_to(Path.home())
    assert not user_cache().is_relative_to(KERNEL_WATER.parents[1])


def test_a_cache_that_cannot_be_written_is_named(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    with pytest.raises(MissingError, match="cannot be written"):
        kept_module("A = 1\n", tmp_path / "file")


def test_without_numba_the_extra_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(keeping.importlib.util, "find_spec", lambda _name: None)
    with pytest.raises(MissingError, match=r"lanewater\[fleet\]"):
        kept_module("A = 1\n", tmp_path)
