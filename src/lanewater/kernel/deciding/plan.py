"""The plan: every addition from the water there is to the site's targets, or why there is none.

An amount goes only to a person whose recorded competence allows it. That gate stands outside,
where the person is known; nothing here knows who asks.

On a site a plan follows the advice for one step: that advice alone says what is added now, and
the plan starts from the water foreseen after it, so that the two never name two amounts. A
question that stands alone is planned from the water it gives.
"""

from typing import Any

from lanewater.kernel.deciding.advice import advise
from lanewater.kernel.deciding.asking import case_of, refusal, said_yes
from lanewater.kernel.deciding.decimals import decimal_text, thousandths
from lanewater.kernel.deciding.doubt import casts_doubt
from lanewater.kernel.deciding.planguards import (
    feeder_of,
    site_refusals,
    stated_pool,
    stateless_refusals,
)
from lanewater.kernel.deciding.planheld import broken_promise
from lanewater.kernel.deciding.planneutral import (
    LOWER_CHLORINE,
    neutraliser_row,
    neutralisers,
    weaker_way,
)
from lanewater.kernel.deciding.planproblem import problem_of
from lanewater.kernel.deciding.planrows import halves_wanted
from lanewater.kernel.deciding.planspread import totals_of_plan
from lanewater.kernel.deciding.plansteps import followed_steps, ordered_steps, texts_of
from lanewater.kernel.deciding.plantold import (
    after_use_of,
    assumed_of,
    binding_of,
    first_unserved,
    mark_of,
    reasons_of,
    unreached_of,
)
from lanewater.kernel.deciding.plantrials import first_trial, next_trial
from lanewater.kernel.deciding.planwater import with_item
from lanewater.kernel.deciding.plausibility import findings_of
from lanewater.kernel.deciding.waterknown import borrowed_values
from lanewater.kernel.water.planning import plan_search
from lanewater.kernel.water.planningslots import PLAN_NO_PLAN, PLAN_NO_WATER, PLAN_STARTS

READY = "ready"
CANNOT_BE = (
    "readings-cannot-all-be-right",
    "These readings cannot all be right: no water reads so.",
    "Test alkalinity and stabiliser again.",
)
NOT_HELD = (
    "plan-not-held",
    "The plan did not hold when it was followed step by step.",
    "Take one step by the advice, and test again.",
)
TOO_LITTLE = (
    "too-little-to-measure",
    "The first quarter of it is too small to measure out.",
    "Wait, and test again.",
)
TOLD_OF_FIRST = ("purpose", "parameter", "product", "substance", "name", "predicted", "wait_s")


def plain_plan(state: str, findings: list[dict[str, Any]]) -> dict[str, Any]:
    """Write a plan that holds no step."""
    return {
        "state": state,
        "first": {},
        "steps": [],
        "totals": [],
        "refusals": [],
        "findings": findings,
        "left_out": [],
        "why": [],
        "unreached": [],
        "binding": {"kind": ""},
        "again": False,
    }


def refused_plan(findings: list[dict[str, Any]], refusals: list[dict[str, Any]]) -> dict[str, Any]:
    """Write a refusal with every reason, each id and text once."""
    answer = plain_plan("refused", findings)
    for entry in refusals:
        known = False
        for other in answer["refusals"]:
            if other["id"] == entry["id"] and other["why"] == entry["why"]:
                known = True
        if not known:
            answer["refusals"].append(entry)
    return answer


def refused_by(findings: list[dict[str, Any]], words: tuple[str, str, str]) -> dict[str, Any]:
    """Refuse for one reason."""
    return refused_plan(findings, [refusal(words[0], words[1], words[2])])


def ended(answer: dict[str, Any]) -> dict[str, Any]:
    """Write that no search is needed: the answer is there."""
    return {"state": answer["state"], "answer": answer}


def complete_request(request: dict[str, Any], case: dict[str, Any]) -> dict[str, Any]:
    """Give a stateless request with the feeder it is taken to have."""
    return with_item(with_item(request, "case", case), "feeder", feeder_of(request))


def prepared_plan(k: tuple[float, ...], request: dict[str, Any]) -> dict[str, Any]:
    """Go through every guard, and write the numeric problem where nothing stands against it.

    Parameters
    ----------
    k : tuple
        The kernel's constants.
    request : dict
        As `plan` takes it.

    Returns
    -------
    dict
        {"state": "ready", "request", "case", "findings", "first", "problem"}, or {"state",
        "answer"} where there is nothing to search.
    """
    case = case_of(request)
    findings = findings_of(case)
    first: dict[str, Any] = {}
    if said_yes(request, "stateless"):
        refusals = stateless_refusals(request, case)
        for finding in findings:
            if casts_doubt(finding):
                refusals.append(refusal("doubtful-reading", finding["why"], finding["do"]))
        if len(refusals) > 0:
            return ended(refused_plan(findings, refusals))
        asked = complete_request(request, case)
        case["pool"] = stated_pool(case["pool"])
    else:
        advice = advise(k, request)
        if advice["state"] == "refused":
            return ended(refused_plan(findings, advice["refusals"]))
        refusals = site_refusals(request, case, findings)
        if advice["state"] == "feed":
            return ended(fed_plan(findings, advice))
        if len(refusals) > 0:
            return ended(refused_plan(findings, refusals))
        if advice["state"] == "add":
            first = advice
        asked = request
    problem = problem_of(k, asked, case, first)
    if not problem["known"]:
        return ended(refused_by(findings, CANNOT_BE))
    return {
        "state": READY,
        "request": asked,
        "case": case,
        "findings": findings,
        "first": first,
        "problem": problem,
    }


def fed_plan(findings: list[dict[str, Any]], advice: dict[str, Any]) -> dict[str, Any]:
    """Answer where the first step is the feeder's: the plant first, then a test, then a plan."""
    answer = plain_plan("feed", findings)
    answer["first"] = {"purpose": advice["purpose"], "parameter": advice["parameter"]}
    return answer


def needs_search(prepared: dict[str, Any]) -> bool:
    """Tell whether there is anything that the numeric planner could decide."""
    rows: list[float] = prepared["problem"]["rows"]
    return len(rows) > 0 and not neutraliser_first(prepared)


def neutraliser_first(prepared: dict[str, Any]) -> bool:
    """Tell whether a neutraliser goes first: only in a question that stands alone.

    On a site the advice for one step is the only source of an amount, and it gives none of it.
    """
    if not said_yes(prepared["request"], "stateless"):
        return False
    wanted = False
    for entry in prepared["problem"]["unserved"]:
        if entry["purpose"] == LOWER_CHLORINE:
            wanted = True
    return wanted and len(neutralisers(prepared["request"])["products"]) > 0


def described_plan(
    k: tuple[float, ...],
    prepared: dict[str, Any],
    steps: list[dict[str, Any]],
    halves: bool,
) -> dict[str, Any]:
    """Write a plan of steps, or refuse it where it does not hold when it is followed."""
    request = prepared["request"]
    problem = prepared["problem"]
    followed = followed_steps(k, request, prepared["case"], problem, steps)
    if not followed["known"]:
        return refused_by(prepared["findings"], NOT_HELD)
    if broken_promise(request, problem, steps, followed) != "":
        return refused_by(prepared["findings"], NOT_HELD)
    last = followed["waters"][len(steps)]
    state = "plan"
    if len(steps) == 0 and "purpose" not in prepared["first"]:
        state = "nothing"
        if len(problem["unserved"]) > 0:
            state = "no-plan"
    answer = plain_plan(state, prepared["findings"])
    answer["first"] = told_of_first(prepared["first"])
    answer["steps"] = followed["steps"]
    answer["totals"] = totals_of_plan(request, problem, steps, followed)
    answer["before"] = texts_of(problem["water"])
    answer["predicted"] = texts_of(last)
    answer["after_use"] = texts_of(followed["after_use"])
    answer["why"] = reasons_of(problem)
    answer["unreached"] = unreached_of(problem, last)
    if len(steps) > 0 and len(answer["unreached"]) == 0:
        answer["unreached"] = after_use_of(problem, followed["after_use"])
    answer["left_out"] = problem["left_out"]
    if state == "no-plan":
        answer["binding"] = first_unserved(problem)
    answer["assumed"] = assumed_of(request, prepared["case"], problem, steps, halves)
    answer["borrowed"] = borrowed_values(request, prepared["case"])
    return answer


def told_of_first(first: dict[str, Any]) -> dict[str, Any]:
    """Tell of the advice's own step all but its amount: that is asked for where it is given."""
    found: dict[str, Any] = {}
    for key in TOLD_OF_FIRST:
        if key in first:
            found[key] = first[key]
    return found


def plan_told(
    k: tuple[float, ...],
    prepared: dict[str, Any],
    status: int,
    flat: list[float],
    figures: list[float],
) -> dict[str, Any]:
    """Write the answer from what the numeric planner found.

    Parameters
    ----------
    k, prepared : tuple, dict
        The constants, and what `prepared_plan` gave.
    status, flat, figures : int, list, list
        As `plan_search` gives them.
    """
    findings = prepared["findings"]
    request = prepared["request"]
    if status == PLAN_NO_WATER:
        return refused_by(findings, CANNOT_BE)
    if status == PLAN_NO_PLAN:
        answer = described_plan(k, prepared, [], False)
        answer["state"] = "no-plan"
        if answer["binding"]["kind"] == "":
            answer["binding"] = binding_of(prepared["problem"], mark_of(figures))
        return answer
    halves = halves_wanted(request)
    steps = ordered_steps(problem_rows(prepared), flat)
    return described_plan(k, prepared, steps, halves and len(steps) > 0)


def problem_rows(prepared: dict[str, Any]) -> list[dict[str, Any]]:
    """Give the products of a prepared plan in the numeric planner's order."""
    found: list[dict[str, Any]] = prepared["problem"]["table"]
    return found


def neutraliser_plan(k: tuple[float, ...], prepared: dict[str, Any]) -> dict[str, Any]:
    """Plan the first quarter of a neutraliser and nothing else: all the rest waits for its test."""
    request = prepared["request"]
    problem = prepared["problem"]
    product = neutralisers(request)["products"][0]
    row = neutraliser_row(k, request, problem, product)
    if row["size"] == 0:
        return refused_by(prepared["findings"], TOO_LITTLE)
    alone = with_item(prepared, "problem", with_item(problem, "table", [row]))
    answer = described_plan(k, alone, [{"row": 0, "units": 1}], False)
    if answer["state"] == "plan":
        answer["again"] = True
        step = answer["steps"][0]
        high = weaker_way(problem, thousandths(step["predicted"]["free_chlorine"]))
        step["between"]["free_chlorine"][1] = decimal_text(high)
    return answer


def plan_without_search(k: tuple[float, ...], prepared: dict[str, Any]) -> dict[str, Any]:
    """Answer where there is nothing for the numeric planner to decide.

    Parameters
    ----------
    k, prepared : tuple, dict
        The constants, and what `prepared_plan` gave.
    """
    if neutraliser_first(prepared):
        return neutraliser_plan(k, prepared)
    return described_plan(k, prepared, [], False)


def plan(k: tuple[float, ...], request: dict[str, Any]) -> dict[str, Any]:
    """Plan every addition from the water there is to the site's own targets.

    Parameters
    ----------
    k : tuple
        The kernel's constants.
    request : dict
        As `advise` takes it, and of each product "scoop", "stock" and "price"; "fresh_water" (what
        comes out of the fill line); "stateless" where there is no round behind it. Any key may be
        missing: that is a refusal, or the stricter branch by name. See
        docs/explanation/how-we-plan.md.

    Returns
    -------
    dict
        {"state": plan, nothing, no-plan, feed or refused, "first": the advice's own step without
        its amount, "steps", "totals", "why", "unreached", "binding", "refusals", "findings",
        "left_out", "again"}; where a water was worked out also "before", "predicted",
        "after_use", "assumed" and "borrowed".
    """
    prepared = prepared_plan(k, request)
    if prepared["state"] != READY:
        ready: dict[str, Any] = prepared["answer"]
        return ready
    if not needs_search(prepared):
        return plan_without_search(k, prepared)
    trial = first_trial(prepared)
    while trial["done"] is not True:
        status, _, flat, figures = searched(k, trial["prepared"]["problem"], trial["bands"])
        trial = next_trial(trial, status, flat, figures)
    return plan_told(k, trial["prepared"], trial["status"], trial["flat"], trial["figures"])


def searched(
    k: tuple[float, ...], problem: dict[str, Any], bands: str
) -> tuple[int, list[float], list[float], list[float]]:
    """Search the units of every product, with the bands of one name."""
    return plan_search(
        k,
        problem["temperature_c"],
        problem["totals"],
        problem["fill"],
        problem["rows"],
        problem[bands],
        PLAN_STARTS,
    )
