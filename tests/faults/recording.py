"""What a child did to the files of one folder, call by call, as strace saw it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from tests.faults.tracing import WRITES

Kind = Literal["create", "write", "truncate", "sync", "unlink", "rename", "folder", "said"]

LINE = re.compile(r"^(?:\d+ +)?(\w+)\((.*)\) += (\d+)(?:<[^>]*>)?$")
DESCRIPTOR = re.compile(r"^(\d+)<([^>]*)>")
QUOTED = re.compile(r'"((?:\\x[0-9a-f]{2})*)"')
# The index beside the log ahead is memory that is never flushed; it is made anew after a cut.
SHARED_INDEX = "-shm"


@dataclass(frozen=True, slots=True)
class Change:
    """One call: what it did, to which path below the root, where, with which bytes."""

    kind: Kind
    path: str
    offset: int = 0
    data: bytes = b""
    to: str = ""


def recorded(trace: Path) -> tuple[str, ...]:
    """Give the words by which strace writes down every change with all of its bytes."""
    calls = ",".join((*WRITES, "close"))
    return ("-o", str(trace), "-y", "-xx", "-s", "4194304", "-e", f"trace={calls}")


def plain(hexadecimal: str) -> bytes:
    """Give the bytes of a text that strace wrote in hexadecimal."""
    return bytes.fromhex(hexadecimal.replace("\\x", ""))


class Reader:
    """Reads the lines of strace, keeping the position of every open file."""

    def __init__(self, root: Path) -> None:
        self.root = f"{root}/"
        self.positions: dict[int, int] = {}

    def below(self, path: str) -> str:
        """Give a path below the root, "" for one that lies elsewhere; "." is the root itself."""
        if path == self.root.rstrip("/"):
            return "."
        inside = path.startswith(self.root) and not path.endswith(SHARED_INDEX)
        return path.removeprefix(self.root) if inside else ""

    def changes(self, trace: Path) -> Iterator[Change]:
        """Give the changes of a run, in order.

        Raises
        ------
        ValueError
            At a call that changes a file in a way this reader does not know.
        """
        for line in trace.read_text(encoding="ascii").splitlines():
            found = LINE.match(line)
            if found is not None:
                yield from self.change(*found.groups())

    def change(self, call: str, given: str, result: str) -> Iterator[Change]:
        """Give the change that one call made, if it made one."""
        descriptor = DESCRIPTOR.match(given)
        texts = [plain(text) for text in QUOTED.findall(given)]
        if call in ("unlink", "mkdir", "rename", "openat", "rmdir"):
            path = self.below(texts[0].decode())
            if path:
                yield from self.name_change(call, path, texts, given, int(result))
        elif descriptor is not None:
            path = self.below(plain(descriptor[2]).decode(errors="replace"))
            if descriptor[1] == "1" and call == "writev":
                yield Change("said", "", data=texts[0])
            elif path:
                yield from self.content_change(call, path, int(descriptor[1]), texts, given)
        elif self.root in "".join(text.decode(errors="replace") for text in texts):
            raise ValueError(f"{call} is not known here")

    def name_change(
        self, call: str, path: str, texts: list[bytes], given: str, result: int
    ) -> Iterator[Change]:
        """Give what a call did to names."""
        if call == "openat":
            self.positions[result] = 0
            if "O_CREAT" in given:
                yield Change("create", path)
            if "O_TRUNC" in given:
                yield Change("truncate", path)
            if "O_APPEND" in given:
                raise ValueError("appending is not known here")
        elif call == "mkdir":
            yield Change("folder", path)
        elif call == "unlink":
            yield Change("unlink", path)
        elif call == "rename":
            yield Change("rename", path, to=self.below(texts[1].decode()))
        else:
            raise ValueError(f"{call} is not known here")

    def content_change(
        self, call: str, path: str, descriptor: int, texts: list[bytes], given: str
    ) -> Iterator[Change]:
        """Give what a call did to a file's content."""
        if call == "pwrite64":
            yield Change("write", path, int(given.rsplit(", ", 1)[1]), texts[-1])
        elif call == "write":
            yield Change("write", path, self.positions[descriptor], texts[-1])
            self.positions[descriptor] += len(texts[-1])
        elif call in ("fsync", "fdatasync"):
            yield Change("sync", path)
        elif call == "ftruncate":
            yield Change("truncate", path, int(given.rsplit(", ", 1)[1]))
        elif call != "close":
            raise ValueError(f"{call} is not known here")
