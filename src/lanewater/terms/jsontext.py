"""JSON as this program reads it: one meaning only, and a clear word where there is none."""

from __future__ import annotations

import json
from typing import Any

from lanewater.terms.errors import InputError

LONGEST = 1_000_000
DEEPEST = 40


def read_json(text: str | bytes) -> Any:
    """Read one JSON text.

    Parameters
    ----------
    text : str or bytes
        At most a million characters, UTF-8 where it is bytes.

    Returns
    -------
    object
        As `json.loads` gives it.

    Raises
    ------
    InputError
        Where it is not JSON, holds a key twice, NaN or an infinity, half a surrogate pair, or
        is nested more than 40 deep.
    """
    if len(text) > LONGEST:
        raise InputError("", "the JSON text is longer than a million characters")
    try:
        decoded = text.decode("utf-8") if isinstance(text, bytes) else text
        if "\\ud" in decoded.lower():
            json.dumps(json.loads(decoded), ensure_ascii=False).encode("utf-8")
        value = json.loads(
            decoded, object_pairs_hook=_single, parse_constant=_refuse, parse_float=_finite
        )
    except UnicodeError as error:
        raise InputError("", "the text is not UTF-8") from error
    except RecursionError as error:
        raise InputError("", "the JSON is nested too deep") from error
    except ValueError as error:
        raise InputError("", f"not readable as JSON: {error}") from error
    if _deeper_than(value, DEEPEST):
        raise InputError("", "the JSON is nested too deep")
    return value


def _single(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    table = dict(pairs)
    if len(table) != len(pairs):
        raise ValueError(f"the key {_repeated(pairs)!r} stands twice")
    return table


def _repeated(pairs: list[tuple[str, Any]]) -> str:
    # In one pass: a million bytes hold a hundred thousand keys.
    known: set[str] = set()
    for name, _ in pairs:
        if name in known:
            break
        known.add(name)
    return name


def _refuse(word: str) -> float:
    raise ValueError(f"{word} is not a number that can be read")


def _finite(text: str) -> float:
    number = float(text)
    if number - number != 0.0:
        raise ValueError(f"{text[:20]} is too large a number")
    return number


def _deeper_than(value: Any, levels: int) -> bool:
    if isinstance(value, dict):
        return levels == 0 or any(_deeper_than(inner, levels - 1) for inner in value.values())
    if isinstance(value, list):
        return levels == 0 or any(_deeper_than(inner, levels - 1) for inner in value)
    return False
