"""The translated kernel on disk: written once, and again only where something has changed."""

from __future__ import annotations

from pathlib import Path

import pytest

from lanewater.service.translation.generated import (
    TARGET,
    current_mark,
    is_fresh,
    kernel_sources,
    write_kernel,
)
from lanewater.service.translation.language import SubsetError
from lanewater.terms.errors import MissingError


@pytest.fixture
def kernel(tmp_path: Path) -> Path:
    """A small kernel."""
    folder = tmp_path / "kernel"
    (folder / "water").mkdir(parents=True)
    (folder / "__init__.py").write_text('"""Small."""\n', encoding="utf-8")
    (folder / "water" / "one.py").write_text("ONE = 1\n", encoding="utf-8")
    return folder


def test_it_is_written_once(kernel: Path, tmp_path: Path) -> None:
    target = tmp_path / "generated" / "kernel.js"
    assert write_kernel(target, kernel)
    first = target.stat().st_mtime_ns
    assert not write_kernel(target, kernel)
    assert target.stat().st_mtime_ns == first
    assert "export const ONE = 1;" in target.read_text(encoding="utf-8")


@pytest.mark.parametrize("found", ["", "export const ONE = 1;\n", b"\xff\xfe"])
def test_a_damaged_one_is_written_again(kernel: Path, tmp_path: Path, found: str | bytes) -> None:
    target = tmp_path / "kernel.js"
    target.write_bytes(found if isinstance(found, bytes) else found.encode())
    assert write_kernel(target, kernel)


def test_a_changed_source_is_noticed(kernel: Path, tmp_path: Path) -> None:
    target = tmp_path / "kernel.js"
    write_kernel(target, kernel)
    (kernel / "water" / "one.py").write_text("ONE = 2\n", encoding="utf-8")
    assert not is_fresh(target, current_mark(kernel_sources(kernel)))
    assert write_kernel(target, kernel)
    assert "export const ONE = 2;" in target.read_text(encoding="utf-8")


def test_a_kernel_outside_the_subset_leaves_the_old_one_alone(kernel: Path, tmp_path: Path) -> None:
    target = tmp_path / "kernel.js"
    write_kernel(target, kernel)
    before = target.read_bytes()
    (kernel / "water" / "one.py").write_text("ONE = [1]\n", encoding="utf-8")
    with pytest.raises(SubsetError, match=r"kernel/water/one\.py:1"):
        write_kernel(target, kernel)
    assert target.read_bytes() == before


def test_where_it_cannot_be_written_it_says_so(kernel: Path, tmp_path: Path) -> None:
    (tmp_path / "generated").write_text("a file stands in the way", encoding="utf-8")
    with pytest.raises(MissingError, match="cannot be written"):
        write_kernel(tmp_path / "generated" / "kernel.js", kernel)


def test_it_goes_where_the_pages_look_for_it() -> None:
    assert TARGET.parts[-4:] == ("web", "static", "generated", "kernel.js")
    assert (TARGET.parents[1] / "strict.js").is_file()
