"""Files and folders that are on disk before anybody is told so; power cuts hold it in faults."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from lanewater.service.flushed import keep_file, make_folder


def flushed(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Give the list of what is flushed from now on, by path."""
    found: list[str] = []

    def noting(handle: int) -> None:
        found.append(os.path.realpath(f"/proc/self/fd/{handle}"))

    monkeypatch.setattr(os, "fsync", noting)
    return found


def test_a_file_is_flushed_before_it_takes_its_name_and_its_folder_after(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    found = flushed(monkeypatch)
    keep_file(tmp_path / "a.key", b"key")
    assert (tmp_path / "a.key").read_bytes() == b"key"
    assert (tmp_path / "a.key").stat().st_mode & 0o777 == 0o600
    assert found == [str(tmp_path / f"a.{os.getpid()}.new"), str(tmp_path)]
    assert [path.name for path in tmp_path.iterdir()] == ["a.key"]


def test_a_file_that_could_not_be_flushed_leaves_what_lay_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    keep_file(tmp_path / "a.key", b"old")

    def failing(_handle: int) -> None:
        raise OSError(5, "Input/output error")

    monkeypatch.setattr(os, "fsync", failing)
    with pytest.raises(OSError, match="Input/output"):
        keep_file(tmp_path / "a.key", b"new")
    assert (tmp_path / "a.key").read_bytes() == b"old"


def test_every_folder_that_is_made_is_flushed_into_the_one_above(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    found = flushed(monkeypatch)
    make_folder(tmp_path / "a/b/c")
    assert set(found) == {str(tmp_path), str(tmp_path / "a"), str(tmp_path / "a/b")}
    assert (tmp_path / "a/b/c").stat().st_mode & 0o777 == 0o700


def test_a_folder_that_is_there_is_flushed_too(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    make_folder(tmp_path / "a")
    found = flushed(monkeypatch)
    make_folder(tmp_path / "a")
    assert found == [str(tmp_path)]
