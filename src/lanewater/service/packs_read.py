"""A pack's own text, of those held here or of a file that somebody is writing."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from lanewater.rules.layering import overlaid
from lanewater.rules.pack import compile_raw
from lanewater.rules.plainly import said_plainly
from lanewater.rules.withouteffect import partly_without_effect
from lanewater.service.packs import FOLDER, IDENTITY, pack_ids
from lanewater.service.packs_whole import law_texts, parsed, whole_law
from lanewater.service.rules_texts import compile_overlaid
from lanewater.terms.errors import InputError, MissingError, RefusedError

LONGEST_BYTES = 1_000_000
ENDING = ".toml"


def is_file_name(named: str) -> bool:
    """Tell whether a name is of a file, and not the id of a pack that is held here."""
    return named.endswith(ENDING)


def text_of(named: str) -> str:
    """Give the text of a pack by its id, or of a file by a name that ends in .toml.

    Raises
    ------
    MissingError
        Where there is no such pack or file.
    InputError
        Where the file is no text, or far too long for a pack.
    """
    if not is_file_name(named) and (
        not IDENTITY.fullmatch(named) or not (FOLDER / f"{named}{ENDING}").is_file()
    ):
        raise MissingError(
            f"rules: {named!r} is not a rules pack held here, nor a file that ends in {ENDING}; "
            f"held are {', '.join(pack_ids())}"
        )
    path = Path(named) if is_file_name(named) else FOLDER / f"{named}{ENDING}"
    try:
        data = path.read_bytes()
    except OSError as error:
        raise MissingError(f"rules: {named} cannot be read: {error.strerror}") from None
    if len(data) > LONGEST_BYTES:
        raise InputError(named, "is far too long for a rules pack")
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        raise InputError(named, "is not text in UTF-8") from None


def whole_raw(named: str) -> dict[str, Any]:
    """Give the parsed text of a pack by its id or its file, with all that it extends.

    Raises
    ------
    InputError
        Where it cannot be read, or its layers do not fit together.
    """
    identity = Path(named).stem if is_file_name(named) else named
    parts = law_texts(identity, text_of(named).encode(), FOLDER)
    own = parsed(parts[0])
    if is_overlay(own):
        return overlaid(whole_law(parts[1:]), own, document=True)
    return whole_law(parts)


def is_overlay(raw: Mapping[str, Any]) -> bool:
    """Tell whether a text is a site's own rules upon a law, and no law itself."""
    return bool(raw.get("extends")) and "coverage" not in raw


def overlay_checked(named: str) -> tuple[list[str], list[str]] | None:
    """Give what is wrong with a file of a site's own rules, None where it is a law's.

    Returns
    -------
    tuple of list of str, or None
        What does not hold; and of each limit that is let in, where it has no effect.

    Raises
    ------
    InputError
        Where it cannot be read, or what it extends does not fit.
    """
    parts = law_texts(Path(named).stem, text_of(named).encode(), FOLDER)
    own = parsed(parts[0])
    if not is_overlay(own):
        return None
    base = whole_law(parts[1:])
    try:
        compile_raw(overlaid(base, own, document=False))
    except RefusedError as error:
        return [str(error)], []
    return [], partly_without_effect(base, own)


def compiled_file(named: str) -> dict[str, Any]:
    """Compile a file in which somebody writes a pack."""
    return compile_raw(whole_raw(named))


def sound_pack(named: str, compiled: Callable[[str], dict[str, Any]]) -> dict[str, Any]:
    """Compile a file in which somebody writes; what is wrong is said with its line."""
    try:
        return compiled(named)
    except InputError as error:
        raise InputError(named, said_plainly(error, text_of(named))) from None


def judging_file(named: str) -> dict[str, Any]:
    """Compile a file to judge by: a pack that somebody writes, or a site's own rules upon one.

    Raises
    ------
    RefusedError
        Where a site's own rules could loosen: a file stands without the authority's document.
    InputError
        Where it cannot be read, or its layers do not fit together.
    """
    parts = law_texts(Path(named).stem, text_of(named).encode(), FOLDER)
    own = parsed(parts[0])
    if is_overlay(own):
        return compile_overlaid(whole_law(parts[1:]), [(own, False)])
    return compile_raw(whole_law(parts))
