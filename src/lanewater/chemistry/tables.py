"""Tables of constants beside those of the equilibrium: read, checked, laid flat for the kernel.

A table's text (`<name>.toml`) holds one `[[entry]]` for each thing that is known of it. Where an
entry stands in the flat tuple is told by the kernel's own slots.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from lanewater.chemistry.constants import TAGS
from lanewater.terms.errors import InputError

KEYS = {"id", "name", "numbers", "unit", "valid", "source", "tag", "note"}


@dataclass(frozen=True, slots=True)
class Entry:
    """One row of a table as its source gives it.

    Attributes
    ----------
    id, name : str
        The slot it fills, and what it is.
    numbers : tuple of float
        One or more, in `unit`.
    unit : str
        Of the numbers; "1" for a pure number.
    valid : str
        Where the source gives it.
    source, tag, note : str
        Where it comes from, how far that was seen, and what else to know.
    """

    id: str
    name: str
    numbers: tuple[float, ...]
    unit: str
    valid: str
    source: str
    tag: str
    note: str


def read_entries(table: Mapping[str, Any]) -> tuple[Entry, ...]:
    """Read every entry from the parsed text.

    Raises
    ------
    InputError
        Where one lacks its source, tag, unit or range, or holds what no entry has.
    """
    return tuple(read_entry(given) for given in table["entry"])


def read_entry(given: Mapping[str, Any]) -> Entry:
    """Read one entry; see `read_entries`."""
    where = f"entry {given.get('id', '?')}"
    if not set(given) <= KEYS:
        raise InputError(where, f"takes {', '.join(sorted(KEYS))}")
    for key in ("id", "name", "unit", "valid", "source"):
        if not str(given.get(key, "")).strip():
            raise InputError(where, f"must have {key}")
    if given.get("tag") not in TAGS:
        raise InputError(where, f"tag must be one of {', '.join(TAGS)}")
    numbers = given.get("numbers")
    if not isinstance(numbers, list) or not numbers or not all(map(is_finite, numbers)):
        raise InputError(where, "numbers must be a list of finite numbers")
    return Entry(
        given["id"],
        given["name"],
        tuple(float(number) for number in numbers),
        given["unit"],
        given["valid"],
        given["source"],
        given["tag"],
        given.get("note", ""),
    )


def is_finite(value: Any) -> bool:
    """Tell whether a value is a number that can be computed with."""
    known = isinstance(value, int | float) and not isinstance(value, bool)
    return known and math.isfinite(value)


def flat_entries(entries: tuple[Entry, ...], slots: Mapping[str, int]) -> tuple[float, ...]:
    """Lay a table flat, for a kernel function's argument.

    Parameters
    ----------
    entries : tuple of Entry
        All of the table's.
    slots : mapping
        Entry id to where its first number stands.

    Raises
    ------
    InputError
        Where an entry has no slot, stands twice, or two of them overlap; where a slot stays empty.
    """
    flat: dict[int, float] = {}
    for entry in entries:
        where = f"entry {entry.id}"
        if entry.id not in slots:
            raise InputError(where, "the kernel has no place for it")
        for index, number in enumerate(entry.numbers, slots[entry.id]):
            if index in flat:
                raise InputError(where, "stands where another entry stands")
            flat[index] = number
    missing = sorted(set(slots) - {entry.id for entry in entries})
    if missing or sorted(flat) != list(range(len(flat))):
        raise InputError("table", f"has an empty place: {', '.join(missing) or 'a gap'}")
    return tuple(flat[index] for index in range(len(flat)))
