"""A disk that loses its power: what was flushed stays, of all the rest anything may."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath
from random import Random
from typing import TypeVar

from tests.faults.recording import Change

SECTOR = 512
ROOT = "."


@dataclass
class Content:
    """A file's bytes on the disk, and what was asked of it since its last flush."""

    flushed: bytearray = field(default_factory=bytearray)
    waiting: list[Change] = field(default_factory=list)

    def take(self, change: Change) -> None:
        """Take a change of the content; a flush puts all of them on the disk."""
        if change.kind != "sync":
            self.waiting.append(change)
            return
        for waited in self.waiting:
            apply(self.flushed, waited)
        self.waiting = []


def apply(content: bytearray, change: Change) -> None:
    """Apply a write or a truncation."""
    if change.kind == "truncate":
        del content[change.offset :]
        content.extend(bytes(change.offset - len(content)))
    else:
        put(content, change.offset, change.data)


def put(content: bytearray, offset: int, data: bytes) -> None:
    """Write bytes; a hole before them reads as zeros."""
    content.extend(bytes(max(0, offset - len(content))))
    content[offset : offset + len(data)] = data


Names = dict[str, int]


class Disk:
    """Names and contents, each with what is on the disk and what is still on its way."""

    def __init__(self, start: Path | None = None, below: str = "data") -> None:
        self.contents: list[Content] = []
        self.folders: set[str] = {ROOT}
        self.flushed: Names = {ROOT: -1}
        self.now: Names = {ROOT: -1}
        self.waiting: list[tuple[str, Names, str]] = []  # folder, names bound, name unbound
        if start is not None:
            self.copy(start, below)

    def copy(self, start: Path, below: str) -> None:
        """Put a folder on the disk, flushed."""
        self.flushed[below] = -1
        for path in sorted(start.rglob("*")):
            name = f"{below}/{path.relative_to(start)}"
            if path.is_dir():
                self.flushed[name] = -1
            else:
                self.flushed[name] = len(self.contents)
                self.contents.append(Content(bytearray(path.read_bytes())))
        self.now = dict(self.flushed)

    def take(self, change: Change) -> None:
        """Take one change as the program made it."""
        path = change.path
        if change.kind == "sync" and self.now[path] < 0:
            self.flush_names(path)
        elif change.kind in ("write", "truncate", "sync"):
            self.contents[self.now[path]].take(change)
        elif change.kind == "create" and path not in self.now:
            self.contents.append(Content())
            self.bind(path, {path: len(self.contents) - 1})
        elif change.kind == "folder":
            self.bind(path, {path: -1})
        elif change.kind == "unlink":
            self.bind(path, {}, path)
        elif change.kind == "rename":
            self.bind(path, {change.to: self.now[path]}, path)

    def bind(self, path: str, bound: Names, unbound: str = "") -> None:
        """Change names; nothing of it is on the disk before its folder is flushed."""
        self.waiting.append((str(PurePosixPath(path).parent), bound, unbound))
        rename(self.now, bound, unbound)

    def flush_names(self, folder: str) -> None:
        """Put the names of a folder on the disk."""
        for where, bound, unbound in self.waiting:
            if where == folder:
                rename(self.flushed, bound, unbound)
        self.waiting = [row for row in self.waiting if row[0] != folder]

    def after_cut(self, draw: Random) -> dict[str, bytes | None]:
        """Draw what may be found after a cut: path to bytes, None for a folder."""
        names = dict(self.flushed)
        for _, bound, unbound in chosen(self.waiting, draw):
            rename(names, bound, unbound)
        return {
            path: None if number < 0 else content_after(self.contents[number], draw)
            for path, number in names.items()
            if path != ROOT and reachable(path, names)
        }


def rename(names: Names, bound: Names, unbound: str) -> None:
    """Bind and unbind names."""
    names.pop(unbound, None)
    names.update(bound)


def reachable(path: str, names: Names) -> bool:
    """Tell whether every folder above a path is there."""
    return all(str(parent) in names for parent in PurePosixPath(path).parents)


T = TypeVar("T")


def chosen(waiting: Sequence[T], draw: Random) -> list[T]:
    """Draw which of some changes reached the disk: none, all, the first ones, or any."""
    way = draw.random()
    if way < 0.1:
        return []
    if way < 0.2:
        return list(waiting)
    if way < 0.45:
        return list(waiting[: draw.randint(0, len(waiting))])
    share = draw.choice((0.1, 0.5, 0.9))
    return [one for one in waiting if draw.random() < share]


def content_after(content: Content, draw: Random) -> bytes:
    """Draw the bytes of one file: any of what was not flushed, torn, with garbage in new room."""
    if not content.waiting:
        return bytes(content.flushed)
    found = bytearray(content.flushed)
    reached = {id(one) for one in chosen(content.waiting, draw)}
    for change in content.waiting:
        if id(change) in reached:
            apply_torn(found, change, draw)
        elif change.kind == "write" and draw.random() < 0.2:
            grow(found, change, draw)
    return bytes(found)


def apply_torn(found: bytearray, change: Change, draw: Random) -> None:
    """Apply a change, one write in four only in some of its sectors, some of them garbage."""
    if change.kind == "truncate" or draw.random() < 0.75:
        apply(found, change)
        return
    start = change.offset
    while start < change.offset + len(change.data):
        end = min((start // SECTOR + 1) * SECTOR, change.offset + len(change.data))
        piece = change.data[start - change.offset : end - change.offset]
        luck = draw.random()
        if luck < 0.5:
            put(found, start, piece)
        elif luck < 0.55:
            put(found, start, draw.randbytes(len(piece)))
        start = end


def grow(found: bytearray, change: Change, draw: Random) -> None:
    """Let a file be longer though the bytes did not come: the new room holds anything."""
    end = change.offset + len(change.data)
    if end > len(found):
        found.extend(draw.randbytes(end - len(found)))


def cuts(
    changes: Sequence[Change], disk: Disk, count: int, draw: Random
) -> Iterator[tuple[int, dict[str, bytes | None]]]:
    """Cut the power at drawn moments; give after how many changes, and what is found then."""
    moments = sorted(draw.randint(0, len(changes)) for _ in range(count))
    done = 0
    for moment in moments:
        while done < moment:
            disk.take(changes[done])
            done += 1
        yield moment, disk.after_cut(draw)


def lay_out(found: dict[str, bytes | None], folder: Path) -> None:
    """Put what is found after a cut into a folder."""
    for path in sorted(found):
        content = found[path]
        if content is None:
            (folder / path).mkdir(parents=True)
        else:
            (folder / path).write_bytes(content)
