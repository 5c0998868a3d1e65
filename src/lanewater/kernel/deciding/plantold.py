"""What is told beside a plan: why, on what it rests, what it does not reach and what binds."""

import math
from typing import Any

from lanewater.kernel.deciding.asking import (
    UNKNOWN,
    number_in,
    part,
    said_yes,
    whole_in,
    word_in,
)
from lanewater.kernel.deciding.decimals import decimal_text
from lanewater.kernel.deciding.planbands import targets_stand_in
from lanewater.kernel.deciding.planguards import STAND_INS, feeder_of
from lanewater.kernel.deciding.planrows import portion_in, price_in
from lanewater.kernel.deciding.waterknown import taken_as_zero
from lanewater.kernel.water.planningslots import (
    BINDS_LIMIT,
    BINDS_STEP,
    BINDS_STEPS,
    BINDS_STOCK,
)


def said_of(identity: str, text: str) -> dict[str, Any]:
    """Write one thing that was assumed; the text is a value or a name, not a sentence."""
    return {"id": identity, "text": text}


def reasons_of(problem: dict[str, Any]) -> list[dict[str, Any]]:
    """Give why there is a plan at all: each figure outside its band, and on which side."""
    found = []
    for entry in problem["targets"]:
        if entry["side"] != "":
            found.append(
                {
                    "parameter": entry["parameter"],
                    "side": entry["side"],
                    "now": text_or_nothing(entry["now"]),
                    "low": text_or_nothing(entry["low"]),
                    "high": text_or_nothing(entry["high"]),
                }
            )
    return found


def text_or_nothing(number: int | None) -> str:
    """Write thousandths as a decimal text, "" where there is no number."""
    if number is None:
        return ""
    return decimal_text(number)


def unreached_of(problem: dict[str, Any], water: dict[str, Any]) -> list[dict[str, Any]]:
    """Give the targets that a plan does not reach, and why.

    Parameters
    ----------
    problem : dict
        As `problem_of` gives it.
    water : dict
        The water that the plan ends in.

    Returns
    -------
    list of dict
        {"parameter", "id", "predicted", "low", "high"}; the id is no-product, feeder-only,
        fresh-water-not-known, let-chlorine-fall, not-tested, not-in-this-plan, or
        within-test-error where a side effect goes past the target by less than the test tells.
    """
    found = []
    for entry in problem["targets"]:
        number: int | None = water[entry["parameter"]]
        if entry["asked"]:
            why = "not-in-this-plan"
            if number is not None and missed_by(entry, number) <= entry["margin"]:
                why = "within-test-error"
            for other in problem["unserved"]:
                if other["parameter"] == entry["parameter"]:
                    why = other["id"]
            missed = False
            if not entry["set"] or number is None:
                missed = True
                number = None
                why = "not-tested"
            elif entry["low"] is not None and number < entry["low"]:
                missed = True
            elif entry["high"] is not None and number > entry["high"]:
                missed = True
            if missed:
                found.append(
                    {
                        "parameter": entry["parameter"],
                        "id": why,
                        "predicted": text_or_nothing(number),
                        "low": text_or_nothing(entry["low"]),
                        "high": text_or_nothing(entry["high"]),
                    }
                )
    return found


def missed_by(entry: dict[str, Any], number: int) -> int:
    """Give how far a figure is outside its band, in thousandths; 0 inside."""
    away = 0
    if entry["low"] is not None:
        away = max(away, entry["low"] - number)
    if entry["high"] is not None:
        away = max(away, number - entry["high"])
    return away


def after_use_of(problem: dict[str, Any], used: dict[str, Any]) -> list[dict[str, Any]]:
    """Give pH where it leaves the target or the rules once the added chlorine is used.

    Parameters
    ----------
    problem : dict
        As `problem_of` gives it.
    used : dict
        The last water with the added chlorine used.
    """
    found = []
    for entry in problem["targets"]:
        if entry["parameter"] == "ph" and missed_by(entry, used["ph"]) > 0:
            found.append(
                {
                    "parameter": "ph",
                    "id": "after-use",
                    "predicted": text_or_nothing(used["ph"]),
                    "low": text_or_nothing(entry["low"]),
                    "high": text_or_nothing(entry["high"]),
                }
            )
    return found


def binding_of(problem: dict[str, Any], code: int) -> dict[str, Any]:
    """Say what stands between the water and its targets, from the numeric planner's mark.

    Returns
    -------
    dict
        {"kind": "target", "limit" or "one-unit", "parameter"}, {"kind": "stock", "product",
        "name"}, {"kind": "steps"}, or {"kind": ""} where nothing is named.
    """
    if code >= BINDS_STEPS:
        return {"kind": "steps"}
    if code >= BINDS_STEP:
        return bound_by("one-unit", problem, code - BINDS_STEP)
    if code >= BINDS_LIMIT:
        return bound_by("limit", problem, code - BINDS_LIMIT)
    if code >= BINDS_STOCK:
        product = problem["table"][code - BINDS_STOCK]["product"]
        return {
            "kind": "stock",
            "product": word_in(product, "product"),
            "name": word_in(product, "name"),
        }
    if code >= 0:
        return bound_by("target", problem, code)
    return {"kind": ""}


def bound_by(kind: str, problem: dict[str, Any], band: int) -> dict[str, Any]:
    """Name the figure whose band or limit binds."""
    entry = problem["targets"][band]
    return {
        "kind": kind,
        "parameter": entry["parameter"],
        "low": text_or_nothing(entry["low"]),
        "high": text_or_nothing(entry["high"]),
    }


def first_unserved(problem: dict[str, Any]) -> dict[str, Any]:
    """Say what binds where nothing at hand serves what the water asks for."""
    for entry in problem["unserved"]:
        return {"kind": entry["id"], "parameter": entry["parameter"]}
    return {"kind": ""}


def mark_of(figures: list[float]) -> int:
    """Give the numeric planner's mark of what binds."""
    return math.floor(figures[0] + 0.5)


def uses_row(steps: list[dict[str, Any]], row: int) -> bool:
    """Tell whether a step of a plan is of this row."""
    for step in steps:
        if step["row"] == row:
            return True
    return False


def assumed_of(
    request: dict[str, Any],
    case: dict[str, Any],
    problem: dict[str, Any],
    steps: list[dict[str, Any]],
    halves: bool,
) -> list[dict[str, Any]]:
    """Give what the plan rests on that nobody has measured today, each by its id."""
    volume = part(request, "volume")
    found = [said_of("volume", word_in(volume, "m3") + " m3")]
    if word_in(volume, "known") == "":
        found.append(said_of("volume-source-not-stated", ""))
    else:
        found.append(said_of("volume-known", word_in(volume, "known")))
    if halves:
        found.append(said_of("half-portions", ""))
    if word_in(volume, "balance_tank") == "not-included":
        found.append(said_of("no-balance-tank", ""))
    if whole_in(request, "mixing_s") == UNKNOWN:
        found.append(said_of("mixing-not-stated", ""))
    elif not said_yes(request, "dye_test"):
        found.append(said_of("mixing-not-tested", ""))
    for parameter in taken_as_zero(request, case):
        found.append(said_of("taken-as-zero", parameter))
    if targets_stand_in(request, "ph") or targets_stand_in(request, "free_chlorine"):
        found.append(said_of("limits-not-given", ""))
    for index in range(len(problem["table"])):
        if uses_row(steps, index):
            for row in assumed_of_product(problem["table"][index]):
                found.append(row)
    if said_yes(request, "stateless"):
        for row in assumed_of_pool(request):
            found.append(row)
    for identity in ["temperature-unchanged", "closed-to-air", "chlorine-counted-at-once"]:
        found.append(said_of(identity, ""))
    return found


def assumed_of_product(row: dict[str, Any]) -> list[dict[str, Any]]:
    """Give what was assumed of one product: its excess caustic, its stock, its cost."""
    product = row["product"]
    if row["purpose"] == "dilute":
        return [said_of("drained-at-once", "")]
    found = []
    name = word_in(product, "name")
    if product["substance"] == "sodium-hypochlorite":
        if number_in(product, "excess_caustic") == UNKNOWN:
            found.append(said_of("excess-caustic", name))
    if portion_in(product, "stock") == UNKNOWN:
        found.append(said_of("stock-not-stated", name))
    if price_in(product) == UNKNOWN:
        found.append(said_of("price-not-stated", name))
    return found


def assumed_of_pool(request: dict[str, Any]) -> list[dict[str, Any]]:
    """Give what a question that stands alone leaves out of its pool, and how it is taken."""
    pool = part(part(request, "case"), "pool")
    found = []
    for row in STAND_INS:
        if word_in(pool, row[0]) == "":
            found.append(said_of(row[2], row[1]))
    if word_in(request, "feeder") == "":
        found.append(said_of("feeder-not-stated", feeder_of(request)))
    if word_in(pool, "location") == "":
        found.append(said_of("location-not-stated", "indoor"))
    return found
