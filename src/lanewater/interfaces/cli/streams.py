"""The three standard streams: whole before a command runs, quiet once nobody reads."""

from __future__ import annotations

import io
import os
import sys

from lanewater.terms.errors import MissingError

NO_READER = 1
INTERRUPTED = 130


def ready_streams() -> None:
    """Have answers written as UTF-8, a closed input read as empty and a closed error stream quiet.

    Raises
    ------
    MissingError
        Where standard output is closed: the answer would have nowhere to go.
    """
    if sys.stdin is None:
        sys.stdin = io.TextIOWrapper(io.BytesIO())
    if sys.stderr is None:
        sys.stderr = io.TextIOWrapper(io.BytesIO())
    if sys.stdout is None:
        raise MissingError("standard output is closed: there is nowhere to answer")
    if isinstance(sys.stdout, io.TextIOWrapper):
        # Half a character from an argument is written as its JSON escape, not as a crash.
        sys.stdout.reconfigure(encoding="utf-8", errors="backslashreplace")


def no_more_answers() -> None:
    """Send what is still unwritten nowhere, so that ending does not fail a second time."""
    try:
        output = sys.stdout.fileno()
    except (OSError, ValueError):
        return
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, output)
    os.close(nowhere)
