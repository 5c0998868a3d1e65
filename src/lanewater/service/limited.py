"""Read a file from outside in a child process that can have little memory and little time.

What the child hands over is read as strictly as if it came from outside itself.
"""

from __future__ import annotations

import io
import json
import resource
import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any, BinaryIO

from lanewater.terms.errors import InputError
from lanewater.terms.jsontext import LONGEST, read_json
from lanewater.terms.tabletext import LONGEST_LINE, table_rows

MIB = 1024 * 1024
VALUE, ERROR = b"+", b"!"
TOO_MUCH = "cannot be read with the memory and time that a file from outside may take"


@dataclass(frozen=True, slots=True)
class Limits:
    """What a child may take: memory as the system counts it, and time of a core."""

    memory_bytes: int
    seconds: int


LIMITS = {"json": Limits(256 * MIB, 10), "table": Limits(256 * MIB, 120)}


def json_in_child(content: bytes, flag: str) -> Any:
    """Read one JSON text from outside.

    Parameters
    ----------
    content : bytes
        At most a million are read.
    flag : str
        What names the file, for the error.

    Raises
    ------
    InputError
        Where it is not JSON with one meaning, or takes too much to read.
    """
    if len(content) > LONGEST:
        raise InputError(flag, "the JSON text is longer than a million characters")
    done = subprocess.run(  # noqa: S603 - our own module, and a word of ours
        command("json"), input=content, capture_output=True, check=False
    )
    return told(done.stdout, done.returncode, flag)


def rows_in_child(source: BinaryIO, flag: str) -> Iterator[tuple[int, list[str], str]]:
    """Read a table from outside, row by row as they come.

    Parameters
    ----------
    source : binary file
        An open file of the system, at its beginning.
    flag : str
        What names the file, for the error.

    Yields
    ------
    (line, cells, why it cannot be read or "")

    Raises
    ------
    InputError
        Where it is no table, or takes too much to read.
    """
    with subprocess.Popen(  # noqa: S603 - our own module, and a word of ours
        command("table"), stdin=source, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL
    ) as reader:
        try:
            while reader.stdout and (line := reader.stdout.readline(2 * LONGEST_LINE)):
                number, cells, why = told(line, 0, flag)
                yield number, cells, why
            if reader.wait():
                raise InputError(flag, TOO_MUCH)
        finally:
            reader.kill()


def command(kind: str) -> list[str]:
    """Give the command of a child."""
    return [sys.executable, "-P", "-m", "lanewater.service.limited", kind]


def told(line: bytes, code: int, flag: str) -> Any:
    """Read what a child says; it is an error where the child says so or died."""
    if code or line[:1] not in (VALUE, ERROR):
        raise InputError(flag, TOO_MUCH)
    said = read_json(line[1:])
    if line[:1] == ERROR:
        raise InputError(flag, str(said))
    return said


def in_child(kind: str, source: BinaryIO, out: BinaryIO) -> None:
    """Read standard input under limits and write what it holds, a line a value."""
    limits = LIMITS[kind]
    resource.setrlimit(resource.RLIMIT_AS, (limits.memory_bytes, limits.memory_bytes))
    resource.setrlimit(resource.RLIMIT_CPU, (limits.seconds, limits.seconds))
    resource.setrlimit(resource.RLIMIT_FSIZE, (0, 0))
    try:
        for value in READ[kind](source):
            out.write(VALUE + written(value))
    except InputError as error:
        out.write(ERROR + written(str(error).removeprefix(f"{error.field}: ")))
    out.flush()


def written(value: Any) -> bytes:
    """Write one value as a line."""
    return json.dumps(value, ensure_ascii=False, separators=(",", ":")).encode() + b"\n"


def read_text(source: BinaryIO) -> Iterator[Any]:
    """Give the one value of a JSON text."""
    yield read_json(source.read(LONGEST + 1))


def read_table(source: BinaryIO) -> Iterator[Any]:
    """Give every row of a table."""
    text = io.TextIOWrapper(source, encoding="utf-8-sig", newline="")
    try:
        yield from table_rows(iter(lambda: text.readline(LONGEST_LINE), ""))
    except UnicodeError:
        raise InputError("", "is not UTF-8 text") from None


READ: dict[str, Callable[[BinaryIO], Iterator[Any]]] = {"json": read_text, "table": read_table}

if __name__ == "__main__":
    in_child(sys.argv[1], sys.stdin.buffer, sys.stdout.buffer)
