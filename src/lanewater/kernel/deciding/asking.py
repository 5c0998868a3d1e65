"""Reading a request for advice in which anything may be missing: absent and None are the same."""

from typing import Any

from lanewater.kernel.deciding.decimals import thousandths
from lanewater.kernel.deciding.tries import legible_text

UNKNOWN = -1


def part(given: dict[str, Any], key: str) -> dict[str, Any]:
    """Give an object inside another, empty where it is missing."""
    found: dict[str, Any] | None = given.get(key)
    if found is None:
        return {}
    return found


def items_in(given: dict[str, Any], key: str) -> list[Any]:
    """Give a list inside an object, empty where it is missing."""
    found: list[Any] | None = given.get(key)
    if found is None:
        return []
    return found


def word_in(given: dict[str, Any], key: str) -> str:
    """Give a text, "" where it is missing."""
    found: str | None = given.get(key)
    if found is None:
        return ""
    return found


def whole_in(given: dict[str, Any], key: str) -> int:
    """Give a whole number, UNKNOWN where it is missing."""
    found: int | None = given.get(key)
    if found is None:
        return UNKNOWN
    return found


def said_yes(given: dict[str, Any], key: str) -> bool:
    """Tell whether a true/false fact is stated and true."""
    return given.get(key) is True


def number_in(given: dict[str, Any], key: str) -> int:
    """Give a decimal text in thousandths, UNKNOWN where it is missing, inexact or below zero."""
    text = word_in(given, key)
    if not legible_text(text):
        return UNKNOWN
    if text[0] == "<" or text[0] == ">" or text[0] == "-":
        return UNKNOWN
    return thousandths(text)


def refusal(identity: str, why: str, do: str) -> dict[str, Any]:
    """Write one refusal: why there is no amount, and what would be right."""
    return {"id": identity, "why": why, "do": do}


def case_of(request: dict[str, Any]) -> dict[str, Any]:
    """Give the case of a request with every key that findings need."""
    case = part(request, "case")
    at = case.get("at")
    if at is None:
        at = request.get("at")
    return {
        "purpose": "round",
        "pool": part(case, "pool"),
        "readings": items_in(case, "readings"),
        "history": items_in(case, "history"),
        "at": at,
        "kits": part(case, "kits"),
        "events": items_in(case, "events"),
        "expired": items_in(case, "expired"),
        "between": items_in(case, "between"),
    }
