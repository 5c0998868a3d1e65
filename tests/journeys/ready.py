"""One ready Python that forks servers: each is a process of its own, which can be killed.

A server that is started from nothing spends seconds of processor time on its imports alone. Here
they are done once; the child runs the command `lanewater` from its first word on.
Run as a script it is that Python; `Ready` starts and asks it.
"""

from __future__ import annotations

import json
import os
import select
import signal
import socket
import subprocess
import sys
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from io import TextIOWrapper

MOST_BYTES = 65536


@dataclass
class Child:
    """A command in a process of its own.

    Attributes
    ----------
    held : int
        The process itself (a pidfd), so that no other can be meant by its number.
    said : TextIOWrapper
        What it says on standard error.
    """

    held: int
    said: TextIOWrapper

    def kill(self) -> None:
        """Kill it, and wait until it is gone."""
        with suppress(ProcessLookupError):
            signal.pidfd_send_signal(self.held, signal.SIGKILL)
        select.select([self.held], [], [])
        os.close(self.held)
        self.said.close()


class Ready:
    """The Python that is ready, from the side that asks it."""

    def __init__(self) -> None:
        self.line, there = socket.socketpair(socket.AF_UNIX, socket.SOCK_SEQPACKET)
        with there:
            self.running = subprocess.Popen(
                [sys.executable, "-m", "tests.journeys.ready", str(there.fileno())],
                stdin=subprocess.DEVNULL,
                pass_fds=[there.fileno()],
            )

    def start(self, words: Sequence[str]) -> Child:
        """Run a command of Lanewater in a child."""
        reads, writes = os.pipe()
        socket.send_fds(self.line, [json.dumps(list(words)).encode()], [writes])
        os.close(writes)
        answer, held, _, _ = socket.recv_fds(self.line, MOST_BYTES, 1)
        assert answer == b"started", "the Python that forks servers has ended"
        return Child(held[0], os.fdopen(reads))

    def close(self) -> None:
        """End it."""
        self.line.close()
        self.running.wait()


def give_children(line: socket.socket) -> None:
    """Fork a child for each command that is asked for, until nobody can ask any more."""
    from lanewater.interfaces import serving  # noqa: F401, PLC0415 - what a child would import
    from lanewater.interfaces.cli import serve  # noqa: F401, PLC0415

    signal.signal(signal.SIGCHLD, signal.SIG_IGN)  # nobody asks how a child ended
    while True:
        asked, given, _, _ = socket.recv_fds(line, MOST_BYTES, 1)
        if not asked:
            return
        child = os.fork()
        if child == 0:
            line.close()
            run_as_child(json.loads(asked), given[0])
        held = os.pidfd_open(child)
        socket.send_fds(line, [b"started"], [held])
        os.close(held)
        os.close(given[0])


def run_as_child(words: list[str], said: int) -> None:
    """Be the command, and end as it ends."""
    from lanewater.interfaces.cli.main import main  # noqa: PLC0415 - the child alone needs it

    signal.signal(signal.SIGCHLD, signal.SIG_DFL)
    os.dup2(said, 2)
    os.close(said)
    code = 70
    try:
        code = main(words)
    finally:
        sys.stderr.flush()
        os._exit(code)


if __name__ == "__main__":
    with socket.socket(fileno=int(sys.argv[1])) as asking:
        give_children(asking)
