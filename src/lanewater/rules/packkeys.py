"""What every table of a pack is checked with: its keys, its words, its numbers."""

from __future__ import annotations

from typing import Any

from lanewater.kernel.deciding.decimals import thousandths
from lanewater.terms.errors import InputError


def expect_keys(table: Any, needed: set[str], allowed: set[str], where: str) -> None:
    """Refuse a table with a missing or an unknown key."""
    if not isinstance(table, dict):
        raise InputError(where, "a table is wanted here")
    for key in sorted(needed - set(table)):
        raise InputError(f"{where}.{key}", "is missing")
    for key in table:
        if key not in needed | allowed:
            raise InputError(f"{where}.{key}", "is not a key of this table")


def expect_word(word: Any, words: tuple[str, ...], where: str) -> None:
    """Refuse a word that is not in its closed list."""
    if word not in words:
        raise InputError(where, f"{word!r} is not one of {', '.join(words)}")


def hours(value: Any, where: str) -> int:
    """Turn whole or half hours into seconds."""
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not 0 < value < 1e5:
        raise InputError(where, "a number of hours above zero is wanted")
    return round(value * 3600)


def limit_number(value: Any, where: str) -> int:
    """Turn the text of a limit into thousandths."""
    if not isinstance(value, str):
        raise InputError(where, 'write limits as text, such as "0.8", so that nothing is rounded')
    try:
        return thousandths(value)
    except ValueError as error:
        raise InputError(where, f"{value!r}: {error}") from error
