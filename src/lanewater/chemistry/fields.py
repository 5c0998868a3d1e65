"""Numbers and objects handed in: inside their bounds, or refused by the field's own name."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from lanewater.terms.errors import InputError, shown
from lanewater.terms.shapes import below


def number_field(value: Any, where: str, low: float, high: float) -> float:
    """Give a number as a float.

    Parameters
    ----------
    value, where : object, str
        What was handed in, and its field's path for the message.
    low, high : float
        The least and the most that it may be.

    Raises
    ------
    InputError
        Where it is not a number, not finite, or outside low to high.
    """
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise InputError(where, f"must be a number, not {shown(value)}")
    if not low <= value <= high:  # false for NaN too; huge whole numbers compare exactly
        raise InputError(where, f"must be from {low:g} to {high:g}, not {shown(value)}")
    return float(value)


def object_field(value: Any, where: str, known: Iterable[str]) -> Mapping[str, Any]:
    """Give an object whose every key is known.

    Parameters
    ----------
    value, where : object, str
        What was handed in, and its field's path for the message.
    known : iterable of str
        The keys that it may have.

    Raises
    ------
    InputError
        Where it is not an object, or has another key.
    """
    if not isinstance(value, Mapping):
        raise InputError(where, "must be an object with named fields")
    names = tuple(known)
    for name in value:
        if name not in names:
            raise InputError(below(where, str(name)[:60]), f"not known; known: {', '.join(names)}")
    return value
