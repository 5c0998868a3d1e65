"""The signing keys of the shell and the server, in files that only their owner reads."""

from __future__ import annotations

import os

from lanewater.records.signing import DeviceKey, key_bytes, key_from, make_key
from lanewater.service.config import Config


def device_key(config: Config, device: str) -> DeviceKey:
    """Give the signing key of the shell or the server, made at first use, mode 0600."""
    path = config.key_file(device)
    if path.is_file():
        return key_from(path.read_bytes())
    key = make_key()
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    # Written beside and put in place whole: a key cut short would lock the device out.
    fresh = path.with_suffix(f".{os.getpid()}.new")
    handle = os.open(fresh, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600)
    try:
        os.write(handle, key_bytes(key))
        os.fsync(handle)
    finally:
        os.close(handle)
    fresh.replace(path)
    return key
