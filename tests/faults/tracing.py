"""Run a child under strace: count its writes, kill it at one of them, let one of them fail."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from queue import SimpleQueue
from typing import IO

# Every call by which a program changes what a disk holds.
WRITES = (
    *("write", "writev", "pwrite64", "pwritev", "pwritev2", "fsync", "fdatasync", "ftruncate"),
    *("fallocate", "sync_file_range", "unlink", "unlinkat", "rename", "renameat", "renameat2"),
    *("link", "linkat", "mkdir", "mkdirat", "rmdir", "openat", "copy_file_range", "sendfile"),
)
CALL = re.compile(r"^(?:\d+ +)?(\w+)\((.*)$")
WORKFLOWS = Path(__file__).with_name("workflows.py")


@dataclass(frozen=True, slots=True)
class Point:
    """One system call of a run: its name and which one of that name it is, from 1."""

    call: str
    number: int
    speaks: bool = False


@dataclass(frozen=True, slots=True)
class Ended:
    """What a child said until it ended, and how it ended."""

    said: list[str]
    status: int

    def saved(self, kind: str) -> list[str]:
        """Give the ids of a kind that were acknowledged."""
        words = [line.split() for line in self.said]
        return [row[2] for row in words if row[:2] == ["saved", kind]]

    @property
    def killed(self) -> bool:
        """Tell whether SIGKILL ended it."""
        return self.status == 9


class Nursery:
    """One ready Python that forks children to be traced."""

    def __init__(self, script: Path = WORKFLOWS) -> None:
        self.running = subprocess.Popen(
            [sys.executable, str(script)], stdin=subprocess.PIPE, stdout=subprocess.PIPE
        )

    def run(self, workflow: str, folder: Path, *strace: str) -> Ended:
        """Run a workflow in a child, traced where words for strace are given."""
        self.tell(json.dumps({"workflow": workflow, "folder": str(folder)}))
        word, _, child = self.word().partition(" ")
        assert word == "ready", word
        tracer = attach(int(child), strace) if strace else None
        try:
            self.tell("go")
            said = list(iter(self.word, ""))
        finally:
            if tracer is not None:
                tracer.communicate()
        return Ended(said[:-1], int(said[-1].removeprefix("ended ")))

    def tell(self, line: str) -> None:
        """Write a line to it."""
        pipe(self.running.stdin).write(line.encode() + b"\n")
        pipe(self.running.stdin).flush()

    def word(self) -> str:
        """Give the next line it says, "" after the line that says that a child ended."""
        if getattr(self, "over", False):
            self.over = False
            return ""
        line = pipe(self.running.stdout).readline().decode().strip()
        assert line, "the nursery ended"
        self.over = line.startswith("ended ")
        return line

    def close(self) -> None:
        """End it."""
        self.running.kill()
        self.running.communicate()


class Nurseries:
    """Several nurseries, one for each hand that asks."""

    def __init__(self, hands: int, script: Path = WORKFLOWS) -> None:
        self.made = [Nursery(script) for _ in range(hands)]
        self.free: SimpleQueue[Nursery] = SimpleQueue()
        for nursery in self.made:
            self.free.put(nursery)

    def run(self, workflow: str, folder: Path, *strace: str) -> Ended:
        """Run a workflow in a nursery that is free."""
        nursery = self.free.get()
        try:
            return nursery.run(workflow, folder, *strace)
        finally:
            self.free.put(nursery)

    def close(self) -> None:
        """End them."""
        for nursery in self.made:
            nursery.close()


def pipe(end: IO[bytes] | None) -> IO[bytes]:
    """Give a pipe that was asked for."""
    assert end is not None
    return end


def attach(child: int, words: tuple[str, ...]) -> subprocess.Popen[bytes]:
    """Start strace on a process and wait until it holds it."""
    tracer = subprocess.Popen(
        ["strace", "-p", str(child), *words], stdout=subprocess.DEVNULL, stderr=subprocess.PIPE
    )
    line = pipe(tracer.stderr).readline().decode()
    assert "attached" in line, f"strace could not attach: {line}"
    return tracer


def counting(trace: Path) -> tuple[str, ...]:
    """Give the words by which strace writes down every call that writes."""
    return ("-o", str(trace), "-e", f"trace={','.join(WRITES)}")


def killing(point: Point) -> tuple[str, ...]:
    """Give the words by which strace kills the child as it enters a call."""
    return injecting(point, "signal=KILL")


def failing(point: Point, error: str, *, on: bool) -> tuple[str, ...]:
    """Give the words by which a call fails, and where asked all of its name from then on."""
    return injecting(point, f"error={error}", "+" if on else "")


def injecting(point: Point, what: str, more: str = "") -> tuple[str, ...]:
    """Give the words by which strace interferes with one call."""
    inject = f"inject={point.call}:{what}:when={point.number}{more}"
    return ("-o", "/dev/null", "-e", f"trace={point.call}", "-e", inject)


def points(trace: Path) -> Iterator[Point]:
    """Give the points of a run that was written down; an openat counts where it may create."""
    seen: Counter[str] = Counter()
    for line in trace.read_text(encoding="utf-8", errors="replace").splitlines():
        found = CALL.match(line)
        if found is None:
            continue
        call, rest = found.groups()
        seen[call] += 1
        if call != "openat" or "O_CREAT" in rest:
            yield Point(call, seen[call], speaks=call == "writev")
