"""A pack's whole text: what it extends and what it says itself, put together."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from lanewater.rules.layering import layered
from lanewater.terms.errors import InputError, MissingError

DEEPEST = 4
NAME = re.compile(r"[a-z][a-z0-9@-]{0,63}")


@dataclass(frozen=True, slots=True)
class Part:
    """One text of a pack in layers: whose it is, and its bytes."""

    identity: str
    text: bytes


def parsed(part: Part) -> dict[str, Any]:
    """Read one text.

    Raises
    ------
    InputError
        Where it is not readable as TOML.
    """
    try:
        return tomllib.loads(part.text.decode("utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise InputError("pack", f"not readable as TOML: {error}") from error


def law_texts(identity: str, text: bytes, folder: Path) -> list[Part]:
    """Give a pack's own text, and after it what it extends.

    Parameters
    ----------
    identity : str
        The pack's id.
    text : bytes
        Its own text.
    folder : Path
        Where the texts lie that it may extend.

    Raises
    ------
    InputError
        Where the layers go in a circle, or too deep.
    MissingError
        Where what it extends is not held here.
    """
    parts = [Part(identity, text)]
    while extends := parsed(parts[-1]).get("extends", ""):
        if extends in [part.identity for part in parts] or len(parts) > DEEPEST:
            raise InputError("pack.extends", f"{extends!r} stands upon itself, or too deep")
        path = folder / f"{extends}.toml"
        if not isinstance(extends, str) or not NAME.fullmatch(extends) or not path.is_file():
            raise MissingError(f"rules: {extends!r}, which {identity} extends, is not held here")
        parts.append(Part(extends, path.read_bytes()))
    return parts


def whole_law(parts: Sequence[Part]) -> dict[str, Any]:
    """Put a pack's texts together: its own first, what it extends after it.

    Raises
    ------
    InputError
        Where they do not fit together.
    """
    whole = parsed(parts[-1])
    for part in reversed(parts[:-1]):
        whole = layered(whole, parsed(part))
    return whole
