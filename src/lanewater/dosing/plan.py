"""The plan as people get it: ordered steps for the competent, whom to call for all others.

The search of the steps is an argument, so that a campaign may run it compiled; what is told is
followed step by step by the plain kernel either way.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from lanewater.dosing.advice import EVERY_PRODUCT, Tell, call
from lanewater.dosing.cautions import cautions_of
from lanewater.dosing.plan_words import (
    binding_words,
    reason_words,
    said_assumed,
    state_words,
    step_words,
    total_words,
    unreached_words,
)
from lanewater.dosing.request import Asked
from lanewater.kernel.deciding.plan import (
    READY,
    needs_search,
    plan_told,
    plan_without_search,
    prepared_plan,
)
from lanewater.kernel.deciding.plantrials import first_trial, next_trial
from lanewater.kernel.water.planning import plan_search
from lanewater.kernel.water.planningslots import PLAN_STARTS

# (k, temperature_c, totals, fill, rows, bands, starts) -> (status, counts, steps, figures)
Engine = Callable[..., tuple[int, Sequence[float], Sequence[float], Sequence[float]]]
FRESH_WATER = "fresh-water"


@dataclass(frozen=True, slots=True)
class Plan:
    """One answer to one request.

    Attributes
    ----------
    state : str
        plan, nothing, no-plan, feed, refused, or call for a person without the competence.
    body : mapping
        What goes with it; only "plan" has steps.
    """

    state: str
    body: Mapping[str, Any] = field(default_factory=dict)

    def as_dict(self) -> dict[str, Any]:
        """Give it for the wire."""
        return {"state": self.state, **self.body}


def plan_for(
    k: tuple[float, ...],
    request: Asked,
    may_dose: frozenset[str],
    tell: Tell,
    engine: Engine = plan_search,
) -> Plan:
    """Give the plan that this person may see.

    A person whose competence does not cover every product of the plan gets whom to call: nothing
    of an amount can be read from that answer, or worked out.

    Parameters
    ----------
    k : tuple
        The kernel's constants.
    request : Asked
        What is known.
    may_dose : frozenset of str
        The substances this person's recorded competence covers here and now; "*" is all.
    tell : Tell
        What anybody may say on the telephone.
    engine : callable, optional
        The numeric planner; the kernel's own where it is left out.
    """
    if not may_dose:
        return called(tell)
    asked = request.for_kernel()
    answer = worked_out(k, asked, engine)
    named = {step["substance"] for step in answer["steps"]} - {FRESH_WATER}
    if "substance" in answer["first"]:
        named.add(answer["first"]["substance"])
    if EVERY_PRODUCT not in may_dose and not named <= may_dose:
        return called(tell)
    if EVERY_PRODUCT not in may_dose:
        covered = {row["product"] for row in asked["products"] if row["substance"] in may_dose}
        kept = [row for row in answer["left_out"] if row["product"] in covered]
        answer = {**answer, "left_out": kept}
    return Plan(answer["state"], with_words(answer))


def called(tell: Tell) -> Plan:
    """Give the answer for everybody whose competence does not cover it."""
    advice = call(tell)
    return Plan(advice.state, advice.body)


def worked_out(
    k: tuple[float, ...], request: dict[str, Any], engine: Engine = plan_search
) -> dict[str, Any]:
    """Work a plan out as `kernel.deciding.plan.plan` does, with a numeric planner of choice.

    Parameters
    ----------
    k : tuple
        The kernel's constants.
    request : dict
        As the kernel takes it.
    engine : callable, optional
        The numeric planner.
    """
    prepared = prepared_plan(k, request)
    if prepared["state"] != READY:
        answer: dict[str, Any] = prepared["answer"]
        return answer
    if not needs_search(prepared):
        return plan_without_search(k, prepared)
    trial = first_trial(prepared)
    while not trial["done"]:
        found = searched_by(engine, k, trial["prepared"]["problem"], trial["bands"])
        trial = next_trial(trial, *found)
    return plan_told(k, trial["prepared"], trial["status"], trial["flat"], trial["figures"])


def searched_by(
    engine: Engine, k: tuple[float, ...], problem: Mapping[str, Any], bands: str
) -> tuple[int, list[float], list[float]]:
    """Search with one engine: the status, the steps and the figures."""
    status, _, flat, figures = engine(
        k,
        problem["temperature_c"],
        problem["totals"],
        problem["fill"],
        problem["rows"],
        problem[bands],
        PLAN_STARTS,
    )
    return int(status), list(flat), list(figures)


def with_words(answer: Mapping[str, Any]) -> dict[str, Any]:
    """Give the body of a plan, with the sentences that people read."""
    body = {key: value for key, value in answer.items() if key != "state"}
    body["words"] = state_words(answer)
    body["why"] = [row | {"words": reason_words(row)} for row in answer["why"]]
    body["unreached"] = [row | {"words": unreached_words(row)} for row in answer["unreached"]]
    body["binding"] = answer["binding"] | {"words": binding_words(answer["binding"])}
    body["totals"] = [
        row | {"words": total_words(row, first=bool(answer["first"]))} for row in answer["totals"]
    ]
    body["left_out"] = [row | {"words": f"{row['why']} {row['do']}"} for row in answer["left_out"]]
    if "assumed" in answer:
        body["assumed"] = [said_assumed(row) for row in answer["assumed"]]
    body["steps"] = [
        step
        | {
            "words": step_words(number, step),
            "cautions": [
                {"id": one.id, "text": one.text, "why": one.why, "evidence": one.evidence}
                for one in cautions_of(step["cautions"])
            ],
        }
        for number, step in enumerate(answer["steps"], 2 if answer["first"] else 1)
    ]
    return body
