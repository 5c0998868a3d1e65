"""The signing keys of the shell, the server and the log, in files that only their owner reads."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path

from lanewater.records.signing import DeviceKey, key_bytes, key_from, make_key
from lanewater.service.config import Config
from lanewater.service.flushed import keep_file, make_folder
from lanewater.terms.errors import InputError, MissingError

OTHERS = 0o077
LOG = "log"


@dataclass(frozen=True, slots=True)
class Own:
    """What this machine keeps beside the record.

    Attributes
    ----------
    device : DeviceKey
        Signs the entries of the shell or the server.
    log : DeviceKey
        Signs stamps and receipts.
    seen : Path
        The file of the newest stamp that this machine saw.
    log_file : Path
        Where the log's key lies.
    """

    device: DeviceKey
    log: DeviceKey
    seen: Path
    log_file: Path

    @property
    def next_log_file(self) -> Path:
        """Give where a key waits until the record names it."""
        return self.log_file.with_suffix(".next")


def own_keys(config: Config, device: str) -> Own:
    """Give what this machine keeps beside the record, keys made at first use.

    Raises
    ------
    InputError, MissingError
        As device_key.
    """
    key = device_key(config, device)
    return Own(key, device_key(config, LOG), config.seen, config.key_file(LOG))


def log_key_named(own: Own, public_hex: str) -> Own:
    """Give the keys with the log's key that the record names, where this machine holds it.

    Another process may have changed the key; a change cut short left it in its waiting place.
    """
    if own.log.public_hex == public_hex:
        return own
    for path in (own.log_file, own.next_log_file):
        with suppress(OSError, InputError):
            found = key_from(path.read_bytes())
            if found.public_hex == public_hex:
                return replace(own, log=found)
    return own


def put_log_key_in_place(own: Own) -> None:
    """Move the log's key, once the record names it, from where it waited to its own place."""
    with suppress(FileNotFoundError):
        if key_from(own.next_log_file.read_bytes()).public_hex == own.log.public_hex:
            own.next_log_file.replace(own.log_file)


def device_key(config: Config, device: str) -> DeviceKey:
    """Give the signing key of the shell, the server or the log, made at first use, mode 0600 kept.

    Raises
    ------
    InputError
        Where it is damaged.
    MissingError
        Where it can be neither read nor made.
    """
    path = config.key_file(device)
    try:
        if not path.is_file():
            return new_key(path)
        # A key that others may read is closed to them again; where that is not ours to do, the
        # round is still recorded.
        with suppress(PermissionError):
            if path.stat().st_mode & OTHERS:
                path.chmod(0o600)
        return key_from(path.read_bytes())
    except InputError as error:
        raise InputError(
            str(path), f"{error}; put a good copy back, or move it away: a new one is made"
        ) from None
    except OSError as error:
        raise MissingError(
            f"the signing key {path} can be neither read nor made: {error.strerror}"
        ) from None


def new_key(path: Path) -> DeviceKey:
    """Make a key and put it in place whole: one cut short would lock the device out."""
    key = make_key()
    make_folder(path.parent)
    keep_file(path, key_bytes(key))
    return key
