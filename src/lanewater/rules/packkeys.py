"""What every table of a pack is checked with: its keys, its words, its texts, its numbers."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from datetime import date
from difflib import get_close_matches
from typing import Any

from lanewater.kernel.deciding.decimals import thousandths
from lanewater.terms.errors import InputError
from lanewater.terms.words import EVIDENCE

MOST_HOURS = 1e5
TOLD_WHERE = {"id", "clause", "source", "evidence"}
DAY = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)


def expect_keys(table: Any, needed: set[str], allowed: set[str], where: str) -> None:
    """Refuse a table with a missing or an unknown key."""
    if not isinstance(table, dict):
        raise InputError(where, "a table is wanted here")
    for key in sorted(needed - set(table)):
        raise InputError(f"{where}.{key}", "is missing")
    for key in table:
        if key not in needed | allowed:
            meant = meant_by(key, needed | allowed)
            raise InputError(f"{where}.{key}", f"is not a key of this table{meant}")


def meant_by(word: Any, known: Iterable[str]) -> str:
    """Say which known word is nearest to one that is not known, "" where none is near."""
    near = get_close_matches(str(word), sorted(known), n=1)
    return f"; is `{near[0]}` meant?" if near else ""


def expect_word(word: Any, words: tuple[str, ...], where: str) -> None:
    """Refuse a word that is not in its closed list."""
    if word not in words:
        raise InputError(where, f"{word!r} is not one of {', '.join(words)}{meant_by(word, words)}")


def expect_origin(entry: dict[str, Any], raw: dict[str, Any], where: str) -> None:
    """Refuse an entry whose id, clause, source or evidence does not say where it was read."""
    for key in ("id", "clause"):
        if key in entry:
            text_of(entry, key, where)
    expect_word(entry["source"], tuple(raw["sources"]), f"{where}.source")
    evidence = entry.get("evidence", "seen")
    expect_word(evidence, EVIDENCE, f"{where}.evidence")
    if evidence == "memory" and raw["status"] != "draft":
        raise InputError(f"{where}.evidence", "a value from memory stands only in a draft pack")


def named(entry: Any, kind: str, where: str) -> str:
    """Give how a fault of an entry is told: by its kind and id, or else by its place."""
    if isinstance(entry, dict) and isinstance(entry.get("id"), str):
        return f"{kind} {entry['id']}"
    return where


def text_of(entry: dict[str, Any], key: str, where: str, otherwise: str = "") -> str:
    """Give a text, `otherwise` where it is left out."""
    value = entry.get(key, otherwise)
    if not isinstance(value, str) or (key in entry and not value.strip()):
        raise InputError(f"{where}.{key}", "a text is wanted")
    return value


def day_of(entry: dict[str, Any], key: str, where: str) -> str:
    """Give a day, written "2026-11-25"."""
    value = text_of(entry, key, where)
    try:
        if not DAY.fullmatch(value):
            raise ValueError(value)
        date.fromisoformat(value)
    except ValueError:
        message = f"{value!r}: a day is wanted, as year-month-day, such as 2026-11-25"
        raise InputError(f"{where}.{key}", message) from None
    return value


def tables_of(entry: dict[str, Any], key: str, where: str) -> list[Any]:
    """Give a list of tables, empty where it is left out; each is checked by who reads it."""
    value = entry.get(key, [])
    if not isinstance(value, list):
        raise InputError(f"{where}.{key}", "a list of tables is wanted")
    return value


def compiled_list(
    raw: dict[str, Any],
    table: str,
    compiled: Callable[[Any, str, dict[str, Any]], dict[str, Any]],
    told_by: tuple[str, ...] = ("id",),
) -> list[dict[str, Any]]:
    """Turn every entry of one of a pack's lists into its compiled form.

    Parameters
    ----------
    raw : dict
        The pack.
    table : str
        The name of the list.
    compiled : callable
        From an entry, its place and the pack to the entry's compiled form.
    told_by : tuple of str, optional
        Keys by which entries are told apart, none where two may be alike.

    Raises
    ------
    InputError
        As `compiled`, and where two entries cannot be told apart.
    """
    found = [
        compiled(entry, f"{table}[{index}]", raw)
        for index, entry in enumerate(tables_of(raw, table, "pack"))
    ]
    if told_by:
        refuse_twice([" ".join(row[key] for key in told_by) for row in found], table)
    return found


def words_of(
    entry: dict[str, Any], key: str, words: tuple[str, ...] | None, where: str
) -> list[str]:
    """Give a list of at least one word, of a closed list where one is given."""
    value = entry[key]
    if not isinstance(value, list) or not value:
        raise InputError(f"{where}.{key}", "a list of at least one word is wanted")
    for word in value:
        if words is not None:
            expect_word(word, words, f"{where}.{key}")
        elif not isinstance(word, str) or not word:
            raise InputError(f"{where}.{key}", "texts are wanted")
    return value


def flag(entry: dict[str, Any], key: str, where: str) -> bool:
    """Give a key that is true, false or left out."""
    value = entry.get(key, False)
    if not isinstance(value, bool):
        raise InputError(f"{where}.{key}", "true or false is wanted")
    return value


def whole(value: Any, where: str, least: int = 1, most: int = 100_000) -> int:
    """Give a whole number within bounds."""
    if isinstance(value, bool) or not isinstance(value, int) or not least <= value <= most:
        raise InputError(where, f"a whole number from {least} to {most} is wanted")
    return value


def hours(value: Any, where: str) -> int:
    """Turn whole or half hours into seconds."""
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not 0 < value < MOST_HOURS:
        raise InputError(where, "a number of hours above zero is wanted")
    return round(value * 3600)


def within_seconds(entry: dict[str, Any], where: str) -> int:
    """Give `within_hours` in seconds, 0 where it is left out."""
    key = "within_hours"
    return hours(entry[key], f"{where}.{key}") if key in entry else 0


def limit_number(value: Any, where: str) -> int:
    """Turn the text of a limit into thousandths."""
    if not isinstance(value, str):
        raise InputError(
            where,
            f"is {value!r}: a limit stands between quotation marks, such as "
            '"0.8", so that nothing is rounded',
        )
    if value.startswith(("<", ">")):
        raise InputError(where, f"{value!r}: a number alone is wanted; write `above` or `below`")
    try:
        return thousandths(value)
    except ValueError as error:
        raise InputError(where, f"{value!r}: {error}") from error


def above_zero(value: Any, where: str) -> int:
    """Turn the text of a limit that must be above zero into thousandths."""
    number = limit_number(value, where)
    if number <= 0:
        raise InputError(where, "must be above zero")
    return number


def refuse_twice(identities: list[str], where: str) -> None:
    """Refuse a list in which an id stands twice, by the place where it stands again."""
    for index, name in enumerate(identities):
        if name in identities[:index]:
            raise InputError(f"{where}[{index}].id", f"{name!r} stands twice; give each its own")
