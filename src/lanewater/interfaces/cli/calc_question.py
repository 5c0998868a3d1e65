"""What every `lanewater calc` kind shares: a question from flags, one JSON text, or JSON Lines."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Sequence
from typing import Any

from lanewater.interfaces.cli.lines import answer_lines, write_answer
from lanewater.terms.errors import InputError
from lanewater.terms.jsontext import read_json

Answer = Callable[[Any], dict[str, Any]]
Told = Callable[[dict[str, Any], dict[str, Any]], list[str]]


def add_question(parser: argparse.ArgumentParser, example: str, *, flags: bool = True) -> None:
    """Describe the argument that holds a question as one JSON text."""
    takes = "flags, or one JSON text" if flags else "one JSON text"
    parser.description = (
        f"Takes {takes} such as {example}, or JSON Lines on standard input (an answer a line)."
    )
    parser.add_argument("question", nargs="?", metavar="JSON", help="a question as one JSON text")


def number(text: str) -> float:
    """Read a flag's number."""
    try:
        return float(text)
    except ValueError as error:
        raise argparse.ArgumentTypeError(f"{text!r} is not a number") from error


def answer_question(
    arguments: argparse.Namespace,
    flags: dict[str, Any],
    required: Sequence[str],
    answer: Answer,
    told: Told,
) -> int:
    """Answer one question, or every line of standard input.

    Parameters
    ----------
    arguments : Namespace
        With `question` and `json`.
    flags : dict
        The question as flags gave it, empty where they gave none.
    required : sequence of str
        Keys that a question must have, to say which flags would give them.
    answer : callable
        Takes a question's JSON; raises InputError.
    told : callable
        Tells question and answer to a person, in lines.
    """
    given = flags or None
    if arguments.question is not None:
        if flags:
            raise InputError("", "give flags or one JSON text, not both")
        given = read_json(arguments.question)
    if given is None:
        if sys.stdin.isatty():
            wanted = " ".join(f"--{name.replace('_', '-')} N" for name in required)
            wanted = wanted or "one JSON text"
            raise InputError("", f"give {wanted}, or JSON Lines on standard input")
        return answer_lines(answer)
    answered = answer(given)
    if arguments.json:
        write_answer(answered)
    else:
        sys.stdout.write("\n".join(told(given, answered)) + "\n")
    return 0


def noted(found: dict[str, str], word: str = "Note") -> str:
    """Tell one finding."""
    return f"{word} ({found['about']}): {found['why']} {found['do']}"
