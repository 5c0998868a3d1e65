"""JSON Lines in, JSON Lines out: one to one and in order, with flat memory."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterator
from typing import Any, BinaryIO

from lanewater.terms.errors import InputError, LanewaterError
from lanewater.terms.jsontext import LONGEST, read_json


def write_answer(answer: Any) -> None:
    """Write one answer as one line on standard output."""
    sys.stdout.write(json.dumps(answer, ensure_ascii=False, separators=(",", ":")) + "\n")


def each_line(stream: BinaryIO) -> Iterator[bytes | None]:
    """Give the lines of a stream; None stands for one that is too long to be read."""
    while line := stream.readline(LONGEST + 2):
        if len(line) <= LONGEST + 1 or line.endswith(b"\n"):
            yield line
            continue
        while line and not line.endswith(b"\n"):
            line = stream.readline(LONGEST)
        yield None


def answer_lines(answer: Callable[[Any], Any], stream: BinaryIO | None = None) -> int:
    """Answer every line of standard input.

    Parameters
    ----------
    answer : callable
        From one parsed JSON value to the answer; raises LanewaterError where it cannot.
    stream : binary file, optional
        Read instead of standard input.

    Returns
    -------
    int
        0, or 1 where some line could not be answered; such a line has {"line", "error"}.
    """
    code = 0
    source = sys.stdin.buffer if stream is None else stream
    for number, line in enumerate(each_line(source), start=1):
        try:
            if line is None:
                raise InputError("", "the line is longer than a million characters")
            write_answer(answer(read_json(line)))
        except LanewaterError as error:
            write_answer({"line": number, "error": str(error)})
            code = 1
    return code
