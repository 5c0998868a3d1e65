"""Shapes of things handed in: what a field may hold, refused by the field's own name."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from lanewater.terms.errors import InputError, shown

Check = Callable[[Any, str], None]

IDENTITY = re.compile(r"[a-z0-9][a-z0-9._:-]{0,63}", re.ASCII)
DECIMAL = re.compile(r"-?\d{1,9}(\.\d{1,6})?", re.ASCII)
DATE = re.compile(r"\d{4}-(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])", re.ASCII)
INSTANT = re.compile(
    r"\d{4}-(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])T([01]\d|2[0-3]):[0-5]\d:[0-5]\d\.\d{3}Z", re.ASCII
)
TIME_OF_DAY = re.compile(r"([01]\d|2[0-3]):[0-5]\d|24:00", re.ASCII)


@dataclass(frozen=True, slots=True)
class Shape:
    """An object with the keys it must have and those it may have; any other is refused."""

    required: Mapping[str, Check]
    optional: Mapping[str, Check] = field(default_factory=dict)

    def __call__(self, value: Any, where: str) -> None:
        """Check one object.

        Raises
        ------
        InputError
            With the path of the first field that does not fit, such as "readings[2].value".
        """
        if not isinstance(value, Mapping):
            raise InputError(where, "must be an object with named fields")
        for name in value:
            if name not in self.required and name not in self.optional:
                known = ", ".join([*self.required, *self.optional])
                raise InputError(below(where, str(name)), f"not a known field; known: {known}")
        for name, check in self.required.items():
            if name not in value:
                raise InputError(below(where, name), "is missing")
            check(value[name], below(where, name))
        for name, check in self.optional.items():
            if name in value:
                check(value[name], below(where, name))


def below(where: str, name: str) -> str:
    """Give the path of a field inside another."""
    return f"{where}.{name}" if where else name


def text(longest: int, *, shortest: int = 0) -> Check:
    """Make a check for text of a bounded length, without control characters but line ends."""

    def check(value: Any, where: str) -> None:
        if not isinstance(value, str):
            raise InputError(where, f"must be text, not {shown(value)}")
        if len(value.strip()) < shortest:
            raise InputError(where, "must not be empty")
        if len(value) > longest:
            raise InputError(where, f"longer than {longest} characters")
        if any(c < " " and c not in "\n\t" for c in value):
            raise InputError(where, "holds a control character")
        if not value.isascii() and any("\ud800" <= c <= "\udfff" for c in value):
            raise InputError(where, "holds half a character (a lone surrogate)")

    return check


def matching(pattern: re.Pattern[str], wanted: str) -> Check:
    """Make a check for text of one pattern, said in words."""

    def check(value: Any, where: str) -> None:
        if not isinstance(value, str) or pattern.fullmatch(value) is None:
            raise InputError(where, f"must be {wanted}, not {shown(value)}")

    return check


def one_of(*words: str) -> Check:
    """Make a check for one word of a list."""

    def check(value: Any, where: str) -> None:
        if not isinstance(value, str) or value not in words:
            raise InputError(where, f"must be one of {', '.join(words)}, not {shown(value)}")

    return check


def whole(low: int, high: int) -> Check:
    """Make a check for a whole number from low to high, both included."""

    def check(value: Any, where: str) -> None:
        if not isinstance(value, int) or isinstance(value, bool) or not low <= value <= high:
            raise InputError(
                where, f"must be a whole number from {low} to {high}, not {shown(value)}"
            )

    return check


def flag(value: Any, where: str) -> None:
    """Check true or false."""
    if not isinstance(value, bool):
        raise InputError(where, f"must be true or false, not {shown(value)}")


def list_of(check_item: Check, most: int, *, least: int = 0) -> Check:
    """Make a check for a list of alike items."""

    def check(value: Any, where: str) -> None:
        if not isinstance(value, list | tuple):
            raise InputError(where, "must be a list")
        if not least <= len(value) <= most:
            raise InputError(where, f"must hold {least} to {most} items, not {len(value)}")
        for index, item in enumerate(value):
            check_item(item, f"{where}[{index}]")

    return check


def map_of(check_item: Check, most: int) -> Check:
    """Make a check for an object whose keys are ids and whose values are alike."""

    def check(value: Any, where: str) -> None:
        if not isinstance(value, Mapping):
            raise InputError(where, "must be an object with named fields")
        if len(value) > most:
            raise InputError(where, f"must hold at most {most} fields")
        for name, item in value.items():
            if not isinstance(name, str) or re.fullmatch(r"[\x20-\x7e]{1,64}", name) is None:
                raise InputError(where, f"the name {shown(name)} must be plain ASCII")
            check_item(item, below(where, name))

    return check


def either(*checks: Check) -> Check:
    """Make a check that holds where one of several holds; the last one words the error."""

    def check(value: Any, where: str) -> None:
        for attempt in checks[:-1]:
            try:
                return attempt(value, where)
            except InputError:
                continue
        return checks[-1](value, where)

    return check


def anything(_value: Any, _where: str) -> None:
    """Let any value of the record's profile pass."""


identity = matching(IDENTITY, "an id of a-z, 0-9, dot, colon, dash or underscore (at most 64)")
decimal = matching(DECIMAL, 'a decimal number as text, such as "1.52"')
date = matching(DATE, "a date such as 2026-11-25")
instant = matching(INSTANT, "a UTC time such as 2026-11-25T05:58:00.000Z")
time_of_day = matching(TIME_OF_DAY, "a time of day such as 06:30")
name = text(120, shortest=1)
words = text(600, shortest=1)
