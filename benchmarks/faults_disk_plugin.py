"""A disk in memory for nbdkit that writes down every write and flush, in order, with its bytes.

Loaded by `nbdkit python` (see faults_blocks.py); not run by itself.
"""

from __future__ import annotations

import struct
import time
from pathlib import Path
from typing import Any

API_VERSION = 2
HEADER = struct.Struct("<cQIQ")  # W or F, offset, length, monotonic nanoseconds when done

GIVEN: dict[str, str] = {}
MADE: dict[str, Any] = {}


def config(key: str, value: str) -> None:
    """Take log=FILE and size=BYTES."""
    GIVEN[key] = value


def get_ready() -> None:
    """Make the disk and begin its log."""
    MADE["disk"] = bytearray(int(GIVEN["size"]))
    MADE["log"] = Path(GIVEN["log"]).open("wb", buffering=0)  # noqa: SIM115 - open while it serves


def open(_readonly: bool) -> int:  # noqa: A001 - the name that nbdkit asks for
    """Open it; there is one disk."""
    return 1


def get_size(_handle: int) -> int:
    """Give its size."""
    return len(MADE["disk"])


def can_flush(_handle: int) -> bool:
    """Tell that it can be flushed, so that what asks for a flush reaches it."""
    return True


def pread(_handle: int, buffer: bytearray, offset: int, _flags: int) -> None:
    """Read."""
    buffer[:] = MADE["disk"][offset : offset + len(buffer)]


def pwrite(_handle: int, buffer: bytes, offset: int, _flags: int) -> None:
    """Write, and write it down."""
    MADE["disk"][offset : offset + len(buffer)] = buffer
    header = HEADER.pack(b"W", offset, len(buffer), time.monotonic_ns())
    MADE["log"].write(header + bytes(buffer))


def flush(_handle: int, _flags: int) -> None:
    """Write down that all before is flushed."""
    MADE["log"].write(HEADER.pack(b"F", 0, 0, time.monotonic_ns()))
