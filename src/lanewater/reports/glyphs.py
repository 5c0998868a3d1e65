"""What the printer has signs for: everything else is shown by its number, never left out."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Iterable, Mapping
from typing import Any

Draws = Callable[[str], bool]

SPACES = "\t\r"
# Invisible signs that belong inside words of some scripts.
JOINERS = "\u200c\u200d"
# Signs that show nothing, or turn the order of what stands beside them.
UNSEEN = ("Cc", "Cf", "Co", "Cs", "Cn", "Zl", "Zp")


def numbered(sign: str) -> str:
    """Show a sign by its number, such as [U+4E2D]."""
    return f"[U+{ord(sign):04X}]"


def doubtful(texts: Iterable[str]) -> tuple[str, ...]:
    """Give the signs of some texts that a printer may have no sign for, each once."""
    found = {sign for text in texts if not text.isascii() for sign in text if not sign.isascii()}
    return tuple(sorted(found))


def undrawn(signs: tuple[str, ...], draws: Draws) -> frozenset[str]:
    """Find which signs are not drawn, by halves: most are, and a try costs time.

    Parameters
    ----------
    signs : tuple of str
        The doubtful ones.
    draws : callable
        Tells whether a text is drawn whole.
    """
    if not signs or draws("".join(f"{sign} " for sign in signs)):
        return frozenset()
    if len(signs) == 1:
        return frozenset(signs)
    half = len(signs) // 2
    return undrawn(signs[:half], draws) | undrawn(signs[half:], draws)


def seen(text: str, missing: frozenset[str]) -> str:
    """Give a text in which nothing is invisible, turned around or without a sign."""
    if text.isascii() and text.isprintable():
        return text
    return "".join(seen_sign(sign, missing) for sign in text)


def seen_sign(sign: str, missing: frozenset[str]) -> str:
    """Give one sign, or its number."""
    if sign in SPACES:
        return " "
    if sign == "\n":
        return sign
    hidden = unicodedata.category(sign) in UNSEEN and sign not in JOINERS
    return numbered(sign) if hidden or sign in missing else sign


def texts_in(value: Any) -> Iterable[str]:
    """Give every text in some data."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, Mapping):
        for item in value.values():
            yield from texts_in(item)
    elif isinstance(value, list | tuple):
        for item in value:
            yield from texts_in(item)


def all_seen(value: Any, missing: frozenset[str]) -> Any:
    """Give some data with every text of it seen."""
    if isinstance(value, str):
        return seen(value, missing)
    if isinstance(value, Mapping):
        return {key: all_seen(item, missing) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [all_seen(item, missing) for item in value]
    return value
