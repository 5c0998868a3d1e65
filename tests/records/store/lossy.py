"""A way to a server that can be cut at the very moment a transaction is being committed."""

from __future__ import annotations

import select
import socket
import tempfile
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

COMMIT = b"COMMIT\0"


class Way:
    """Carries bytes between programs and a server's socket until it is told to cut.

    `cut` is "" (never), "before" (the server never hears of the commit) or "after" (it commits,
    and its answer is lost). It cuts once.
    """

    def __init__(self, server: Path, own: Path) -> None:
        self.server = server
        self.cut = ""
        self.listener = socket.socket(socket.AF_UNIX)
        self.listener.bind(str(own))
        self.listener.listen()
        self.threads = [threading.Thread(target=self.accept)]
        self.threads[0].start()

    def accept(self) -> None:
        """Take every program that comes."""
        with suppress(OSError):
            while True:
                program, _ = self.listener.accept()
                thread = threading.Thread(target=self.carry, args=(program,))
                self.threads.append(thread)
                thread.start()

    def carry(self, program: socket.socket) -> None:
        """Carry both directions until either ends or the way is cut."""
        with program, socket.socket(socket.AF_UNIX) as server, suppress(OSError):
            server.connect(str(self.server))
            while True:
                ready, _, _ = select.select([program, server], [], [])
                for source in ready:
                    data = source.recv(65536)
                    if not data or self.cuts(data, asked=source is program):
                        return
                    (server if source is program else program).sendall(data)

    def cuts(self, data: bytes, *, asked: bool) -> bool:
        """Tell whether the way is cut instead of carrying some bytes."""
        if asked and self.cut == "after" and COMMIT in data:
            self.cut = "answer"
            return False
        wanted = "before" if asked else "answer"
        if self.cut != wanted or (asked and COMMIT not in data):
            return False
        self.cut = ""
        return True

    def close(self) -> None:
        """Take nobody any more and end with the last program."""
        self.listener.shutdown(socket.SHUT_RDWR)
        self.listener.close()
        for thread in self.threads:
            thread.join()


@contextmanager
def lossy_way(server: Path) -> Iterator[tuple[Way, Path]]:
    """Give such a way and the folder of its own socket, which a program names as its host."""
    with tempfile.TemporaryDirectory() as folder:
        own = Path(folder)
        way = Way(server / ".s.PGSQL.5432", own / ".s.PGSQL.5432")
        try:
            yield way, own
        finally:
            way.close()
