"""The signing keys of the shell and the server, in files that only their owner reads."""

from __future__ import annotations

import os
from pathlib import Path

from lanewater.records.signing import DeviceKey, key_bytes, key_from, make_key
from lanewater.service.config import Config
from lanewater.terms.errors import MissingError


def device_key(config: Config, device: str) -> DeviceKey:
    """Give the signing key of the shell or the server, made at first use, mode 0600.

    Raises
    ------
    MissingError
        Where it can be neither read nor made.
    """
    path = config.key_file(device)
    try:
        return key_from(path.read_bytes()) if path.is_file() else new_key(path)
    except OSError as error:
        raise MissingError(
            f"the signing key {path} can be neither read nor made: {error.strerror}"
        ) from None


def new_key(path: Path) -> DeviceKey:
    """Make a key and put it in place whole: one cut short would lock the device out."""
    key = make_key()
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    fresh = path.with_suffix(f".{os.getpid()}.new")
    handle = os.open(fresh, os.O_CREAT | os.O_TRUNC | os.O_WRONLY, 0o600)
    try:
        os.write(handle, key_bytes(key))
        os.fsync(handle)
    finally:
        os.close(handle)
    fresh.replace(path)
    return key
