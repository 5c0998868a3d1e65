"""Read a bundle from a folder; what it says is held together in records.verifying."""

from __future__ import annotations

from pathlib import Path

from lanewater.records.bundle import MANIFEST, REQUIRED, read_manifest
from lanewater.terms.errors import InputError, MissingError

MOST_BYTES = 4 * 1024**3
MOST_STAMP_BYTES = 1024 * 1024


def read_bundle(folder: Path) -> dict[str, bytes]:
    """Read a bundle's files: those it must have and those that its manifest names.

    Returns
    -------
    dict
        From name to content; what is not there or cannot be read is left out, for the verifier
        to say so.

    Raises
    ------
    InputError
        Where there is no such folder.
    """
    if not folder.is_dir():
        raise InputError(str(folder), "is no folder; a bundle is one, as `lanewater export` makes")
    manifest = content_of(folder / MANIFEST)
    names = {*REQUIRED, *((read_manifest(manifest) or {}) if manifest is not None else {})}
    found = {name: content_of(folder / name) for name in sorted(names)}
    found[MANIFEST] = manifest
    return {name: content for name, content in found.items() if content is not None}


def unlisted(folder: Path, files: dict[str, bytes]) -> list[str]:
    """Name what lies in a bundle's folder and is no part of it."""
    return sorted(path.name for path in folder.iterdir() if path.name not in files)


def content_of(path: Path) -> bytes | None:
    """Read a file; None where it cannot be read or is larger than a bundle's file can be."""
    try:
        return path.read_bytes() if path.stat().st_size <= MOST_BYTES else None
    except OSError:
        return None


def stamp_text(path: Path) -> str:
    """Read a file that holds stamps.

    Raises
    ------
    InputError
        Where it is no text.
    MissingError
        Where it cannot be read.
    """
    try:
        with path.open("rb") as file:
            raw = file.read(MOST_STAMP_BYTES + 1)
    except OSError as error:
        raise MissingError(f"{path} cannot be read: {error.strerror}") from None
    if len(raw) > MOST_STAMP_BYTES:
        raise InputError(str(path), "is too large to be stamps")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InputError(str(path), "is not UTF-8 text") from None
