"""What `calc plan` answers: a plan's numbers in the units that end their keys."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lanewater.chemistry.water import ASSUMED_ZERO
from lanewater.dosing.plan import Engine, with_words, worked_out
from lanewater.dosing.plan_question import FIGURES, request_from
from lanewater.dosing.request import QUESTIONS
from lanewater.kernel.water.planning import plan_search

COMPETENCE = (
    "For a person whose competence to dose each of these products by hand is on record at the site."
    " Do not talk someone else through this."
)
KEY_OF = {parameter: key for key, parameter in FIGURES.items()}
LARGE = {"g": "kg", "mL": "L", "L": "m3"}
THOUSAND = 1000


def stateless_plan(
    k: tuple[float, ...], given: Any, engine: Engine = plan_search
) -> dict[str, Any]:
    """Answer one question that stands alone.

    Parameters
    ----------
    k : tuple
        The kernel's constants.
    given : object
        As `request_from` takes it.
    engine : callable, optional
        The numeric planner.

    Raises
    ------
    InputError
        Naming a field that cannot be read. What is missing is a refusal by name, not an error.
    """
    request = request_from(given)
    answer = worked_out(k, request, engine)
    told = with_words(answer)
    listed = request["products"]
    return {
        "state": answer["state"],
        "words": told["words"],
        "complete": answer["state"] in ("plan", "nothing") and not answer["unreached"],
        "ask_before_each_step": [{"id": name, "ask": text} for name, text in QUESTIONS.items()],
        "competence": COMPETENCE,
        "steps": [step_told(number, step, listed) for number, step in enumerate(told["steps"], 1)],
        "totals": [total_told(row, listed) for row in answer["totals"]],
        "before": water_told(answer.get("before")),
        "predicted": water_told(answer.get("predicted")),
        "after_use": water_told(answer.get("after_use")),
        "again": answer["again"],
        "why": [figure_told(row) for row in told["why"]],
        "unreached": [figure_told(row) for row in told["unreached"]],
        "binding": binding_told(told["binding"], listed),
        "refusals": answer["refusals"],
        "not_by_hand": not_by_hand(listed),
        "left_out": [left_out_told(row, listed) for row in answer["left_out"]],
        "assumed": told.get("assumed", []),
        "assumed_zero": [key for key in ASSUMED_ZERO if given.get(key) is None],
        "findings": answer["findings"],
    }


def water_told(water: Mapping[str, str] | None) -> dict[str, float] | None:
    """Tell a foreseen water in numbers; null where none was worked out."""
    if water is None:
        return None
    return {KEY_OF[name]: float(text) for name, text in water.items()}


def portion_told(amount: int, unit: str) -> dict[str, Any]:
    """Tell an amount in the unit that people say: kg and L from 1000 on, fresh water in m3."""
    if amount < THOUSAND and unit != "L":
        return {"amount": amount, "unit": unit}
    return {"amount": amount / THOUSAND, "unit": LARGE[unit]}


def listed_product(identity: str, listed: list[dict[str, Any]]) -> dict[str, Any]:
    """Name a product as the question names it, with its place in the question's list."""
    if not identity.isdigit():
        return {"product": identity}
    return {"product": listed[int(identity)]["substance"], "entry": int(identity)}


def step_told(number: int, step: Mapping[str, Any], listed: list[dict[str, Any]]) -> dict[str, Any]:
    """Tell one step."""
    return {
        "step": number,
        **listed_product(step["product"], listed),
        "purpose": step["purpose"],
        **portion_told(step["amount"], step["unit"]),
        "measures": step["units"],
        "measure": portion_told(step["size"], step["unit"]),
        "jug": step["jug"],
        "place": step["place"],
        "for_now": step["for_now"],
        "predicted": water_told(step["predicted"]),
        "predicted_between": {
            KEY_OF[name]: [float(text) for text in ends] for name, ends in step["between"].items()
        },
        "breaks": [figure_told(row) for row in step["breaks"]],
        "wait_minutes": -(-step["wait_s"] // 60),
        "retest_points": step["retest"]["points"],
        "cautions": step["cautions"],
        "words": step["words"],
    }


def total_told(row: Mapping[str, Any], listed: list[dict[str, Any]]) -> dict[str, Any]:
    """Tell what a product takes in all, and between what and what it may turn out."""
    large = row["high"] >= THOUSAND or row["unit"] == "L"
    unit = LARGE[row["unit"]] if large else row["unit"]
    by = THOUSAND if large else 1
    found = {
        **listed_product(row["product"], listed),
        "purpose": row["purpose"],
        "amount": row["amount"] / by,
        "low": row["low"] / by,
        "high": row["high"] / by,
        "unit": unit,
        "additions": row["additions"],
    }
    if row["cost"]:
        found["cost"] = float(row["cost"])
    return found


def figure_told(row: Mapping[str, Any]) -> dict[str, Any]:
    """Tell a row about one figure by the question's own key."""
    found = dict(row)
    if "parameter" in found:
        found["parameter"] = KEY_OF[found["parameter"]]
    for name in ("now", "low", "high", "predicted", "limit"):
        if name in found:
            found[name] = float(found[name]) if found[name] else None
    return found


def binding_told(row: Mapping[str, Any], listed: list[dict[str, Any]]) -> dict[str, Any] | None:
    """Tell what binds; null where nothing does."""
    if not row["kind"]:
        return None
    found = figure_told(row)
    if "product" in found:
        found |= listed_product(found["product"], listed)
    return found


def left_out_told(row: Mapping[str, Any], listed: list[dict[str, Any]]) -> dict[str, Any]:
    """Tell why a product is not in the plan."""
    return {**row, **listed_product(row["product"], listed)}


def not_by_hand(listed: list[dict[str, Any]]) -> list[str]:
    """Name the products that are never given by hand, whatever the question says."""
    return list(dict.fromkeys(row["substance"] for row in listed if row["method"] != "by-hand"))
