"""Small files and folders that are on disk, name and all, before anybody is told so."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path
from typing import BinaryIO


def keep_file(path: Path, content: bytes) -> None:
    """Put a file in place, whole or not at all, readable by its owner alone.

    Parameters
    ----------
    path : Path
        Where; its folder is there. What lies there is replaced.
    content : bytes
        All of it.

    Raises
    ------
    OSError
        Where the disk does not take it; what lay there still does.
    """
    fresh = path.with_suffix(f".{os.getpid()}.new")
    handle = os.open(fresh, os.O_CREAT | os.O_TRUNC | os.O_WRONLY, 0o600)
    with os.fdopen(handle, "wb") as stream:
        stream.write(content)
        flush_stream(stream)
    fresh.replace(path)
    flush(path.parent)


def make_folder(path: Path) -> None:
    """Make a folder with those above it, open to its owner alone, each on disk in the one above."""
    missing = [above for above in path.parents if not above.exists()]
    path.mkdir(mode=0o700, parents=True, exist_ok=True)
    for made in (path, *missing):
        # One that is there may have been made by a start that was cut off before this line. What
        # may not be read cannot be flushed; then the system's own time must do.
        with suppress(PermissionError):
            flush(made.parent)


def write_new(path: Path, content: bytes) -> None:
    """Write a file that is not there yet, for its owner alone; the caller flushes its name."""
    handle = os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600)
    with os.fdopen(handle, "wb") as stream:
        stream.write(content)
        flush_stream(stream)


def flush_stream(stream: BinaryIO) -> None:
    """See that what was written to an open file is on disk."""
    stream.flush()
    os.fsync(stream.fileno())


def flush(path: Path) -> None:
    """See that a file, or the names in a folder, are on disk."""
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
