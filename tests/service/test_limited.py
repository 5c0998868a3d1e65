"""A file from outside: read in a child, within memory and time, or refused by name."""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

import pytest

from lanewater.service import limited
from lanewater.service.limited import json_in_child, rows_in_child
from lanewater.terms.errors import InputError
from lanewater.terms.tabletext import table_rows

MIB = 1024 * 1024


@contextmanager
def within(seconds: float) -> Iterator[None]:
    """Hold what is done here to a time."""
    began = time.monotonic()
    yield
    assert time.monotonic() - began < seconds


def test_what_was_read_is_what_stands_there() -> None:
    text = '{"a": [1, 2.5, "é 💧"], "b": ' + "[" * 39 + "]" * 39 + "}"
    assert json_in_child(text.encode(), "file")["a"] == [1, 2.5, "é 💧"]


BOMBS = {
    "deep": b"[" * 1_000_000,
    "too long": b" " * 1_000_001,
    "a key twice": b"{" + b",".join(b'"%x":0' % n for n in range(99_000)) + b',"0":1}',
    "a number of a million digits": b"9" * 1_000_000,
    "not UTF-8": b"\xff" * 1000,
    "nothing": b"",
}


@pytest.mark.parametrize("bomb", BOMBS.values(), ids=BOMBS)
def test_a_bomb_is_refused_by_the_name_of_its_file(bomb: bytes) -> None:
    with within(20), pytest.raises(InputError, match="file: "):
        json_in_child(bomb, "file")


def test_sixty_thousand_rows_are_read_one_by_one(tmp_path: Path) -> None:
    path = tmp_path / "many.csv"
    path.write_text("ph,x\n" + "7.2,a\n" * 60_000, encoding="utf-8")
    with within(30), path.open("rb", buffering=0) as source:
        rows = rows_in_child(source, "--table")
        assert next(rows) == (1, ["ph", "x"], "")
        assert sum(cells == ["7.2", "a"] for _, cells, _ in rows) == 60_000


def test_a_line_of_a_gigabyte_is_refused_and_never_held(tmp_path: Path) -> None:
    path = tmp_path / "endless.csv"
    path.touch()
    os.truncate(path, 1024 * MIB)
    refused = pytest.raises(InputError, match="--table: a line is longer")
    with within(20), path.open("rb", buffering=0) as source, refused:
        list(rows_in_child(source, "--table"))


def test_rows_without_end_are_refused() -> None:
    rows = ["ph\n", *["7\n"] * 4]
    assert len(list(table_rows(iter(rows), most=4))) == 5
    with pytest.raises(InputError, match="more than 3 rows"):
        list(table_rows(iter(rows), most=3))


PLANTED = """
import sys, itertools
from lanewater.service import limited
limited.LIMITS["bomb"] = limited.Limits(256 * 1024 * 1024, 1)
limited.READ["bomb"] = lambda source: {reader}
limited.in_child("bomb", sys.stdin.buffer, sys.stdout.buffer)
"""


@pytest.mark.parametrize(
    "reader", ["[len(bytearray(2 * 10**9))]", "[sum(1 for _ in itertools.count())]"]
)
def test_a_reader_that_wants_more_is_stopped(monkeypatch: pytest.MonkeyPatch, reader: str) -> None:
    run = [sys.executable, "-P", "-c", PLANTED.format(reader=reader)]
    monkeypatch.setattr(limited, "command", lambda _kind: run)
    with within(30), pytest.raises(InputError, match="memory and time"):
        json_in_child(b"{}", "file")


def test_who_stops_reading_leaves_no_child_behind(tmp_path: Path) -> None:
    path = tmp_path / "many.csv"
    path.write_text("ph\n" + "7\n" * 100_000, encoding="utf-8")
    with path.open("rb", buffering=0) as source:
        rows = rows_in_child(source, "--table")
        next(rows)
        rows.close()
    with suppress(ChildProcessError):
        assert os.waitpid(-1, os.WNOHANG) == (0, 0)
