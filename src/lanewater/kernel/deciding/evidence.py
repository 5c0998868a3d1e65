"""Causes and what speaks for and against each: a list in order, never a score that is shown."""

from typing import Any

STRONG = 2
WEAK = 1


def cause_to_weigh(identity: str) -> dict[str, Any]:
    """Write a cause with nothing yet for or against it."""
    return {"id": identity, "for": [], "against": [], "weight": 0}


def speaks_for(cause: dict[str, Any], identity: str, weight: int, said: dict[str, Any]) -> None:
    """Put down what speaks for a cause, with the numbers that the record holds."""
    cause["for"].append({"id": identity, "said": said})
    cause["weight"] += weight


def speaks_against(cause: dict[str, Any], identity: str, weight: int, said: dict[str, Any]) -> None:
    """Put down what speaks against a cause."""
    cause["against"].append({"id": identity, "said": said})
    cause["weight"] -= weight


def in_order(causes: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Give causes with the best supported first, those of the same weight as they stand.

    A cause that more speaks against than for is left out.
    """
    found = []
    weights: list[int] = []
    for cause in causes:
        weight: int = cause["weight"]
        if weight >= 0 and weight not in weights:
            weights.append(weight)
    ordered = sorted(weights)
    for place in range(len(ordered)):
        for cause in causes:
            if cause["weight"] == ordered[len(ordered) - 1 - place]:
                found.append({"id": cause["id"], "for": cause["for"], "against": cause["against"]})
    return found


def finding_of(
    question: str, state: str, said: dict[str, Any], causes: list[dict[str, Any]], ask: list[str]
) -> dict[str, Any]:
    """Write the answer to one question.

    Returns
    -------
    dict
        {"question", "state": "seen", "not-seen" or "too-few", "said", "causes", "ask"}; causes
        only where it is seen, "ask" what the record does not hold and would decide.
    """
    ranked: list[dict[str, Any]] = []
    asked: list[str] = []
    if state == "seen":
        ranked = in_order(causes)
        asked = ask
    return {"question": question, "state": state, "said": said, "causes": ranked, "ask": asked}
