"""Faults to plant into a plan's answer: each one must be found by the checks."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from copy import deepcopy
from typing import Any

from tests.properties.plan_situations import Situation

Answer = Mapping[str, Any]
Plant = Callable[[Situation, Answer], Answer]

STEP = {
    "purpose": "raise-chlorine",
    "product": "0",
    "substance": "sodium-hypochlorite",
    "amount": 1000,
    "unit": "mL",
}


def first_changed(**changes: Any) -> Plant:
    """Plant something else into the first step of a plan."""

    def plant(_situation: Situation, answer: Answer) -> Answer:
        changed = deepcopy(dict(answer))
        for step in changed.get("steps", [])[:1]:
            step.update(changes)
        return changed

    return plant


def doubled(_situation: Situation, answer: Answer) -> Answer:
    """Double the amount of every step, as a slip of a unit would."""
    changed = deepcopy(dict(answer))
    for step in changed.get("steps", []):
        step["amount"] *= 2
    return changed


def at_once(_situation: Situation, answer: Answer) -> Answer:
    """Put all of a plan's additions of a product into its first."""
    changed = deepcopy(dict(answer))
    kept: dict[str, Any] = {}
    for step in changed.get("steps", []):
        if step["product"] in kept:
            kept[step["product"]]["amount"] += step["amount"]
        else:
            kept[step["product"]] = step
    changed["steps"] = list(kept.values())
    return changed


def in_spite(situation: Situation, answer: Answer) -> Answer:
    """Answer a situation that must be refused with an amount."""
    if not situation.refuse:
        return answer
    return {**answer, "state": "plan", "steps": [dict(STEP)], "totals": []}


def shortened(_situation: Situation, answer: Answer) -> Answer:
    """Leave out the last step: a target that was to be met is missed."""
    return {**answer, "steps": list(answer.get("steps", []))[:-1]}


def another_kind(_situation: Situation, answer: Answer) -> Answer:
    """Give another chlorine than the feeder's."""
    changed = deepcopy(dict(answer))
    for step in changed.get("steps", []):
        if step["substance"] == "sodium-hypochlorite":
            step["substance"] = "calcium-hypochlorite"
    return changed


def called_near(_situation: Situation, answer: Answer) -> Answer:
    """Call a target that is missed by far within test error."""
    row = {"parameter": "ph", "id": "within-test-error", "predicted": "8.10", "low": "7.2"}
    return {**answer, "unreached": [{**row, "high": "7.6"}]}


PLANTED: dict[str, Plant] = {
    "doubled": doubled,
    "at-once": at_once,
    "in-spite": in_spite,
    "shortened": shortened,
    "called-near": called_near,
    "another-kind": another_kind,
    "no-wait": first_changed(wait_s=600),
    "one-point": first_changed(retest={"points": 1, "also": []}),
    "trichlor": first_changed(substance="trichloroisocyanuric-acid"),
    "another-purpose": first_changed(purpose="raise-ph"),
    "foreseen-wrong": first_changed(predicted={"ph": "7.00", "free_chlorine": "9.00"}),
}
