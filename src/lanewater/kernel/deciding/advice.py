"""The first advice: one product, one amount, or why there is none.

An amount goes only to a person whose recorded competence allows it. That gate stands outside,
where the person is known; nothing here knows who asks.
"""

from typing import Any

from lanewater.kernel.deciding.amounts import dose_of, unit_of
from lanewater.kernel.deciding.asking import (
    UNKNOWN,
    case_of,
    items_in,
    number_in,
    part,
    refusal,
    said_yes,
    whole_in,
    word_in,
)
from lanewater.kernel.deciding.cautions import cautions_for
from lanewater.kernel.deciding.decimals import decimal_text
from lanewater.kernel.deciding.foreseen import broken_limits, foresee, foreseen_texts
from lanewater.kernel.deciding.otherpools import other_pool_refusals
from lanewater.kernel.deciding.plausibility import findings_of
from lanewater.kernel.deciding.portion import portion_of
from lanewater.kernel.deciding.productfit import chosen_product
from lanewater.kernel.deciding.refusals import (
    age_refusals,
    general_refusals,
    out_of_range_refusals,
    reading_refusals,
)
from lanewater.kernel.deciding.steps import wanted_steps
from lanewater.kernel.deciding.strengths import strength_divisor
from lanewater.kernel.deciding.waterknown import (
    borrowed_values,
    foreseeable,
    taken_as_zero,
    untested_refusals,
    water_refusals,
)

# Common practice, no source: retest at two points not less than 30 minutes after.
LEAST_WAIT_SECONDS = 1800
TROUBLES = {
    "readings-cannot-all-be-right": (
        "These readings cannot all be right: no water reads so.",
        "Test alkalinity and stabiliser again.",
    ),
    "out-of-reach": (
        "This product does not reach the target in one addition.",
        "Ask the plant operator.",
    ),
    "no-room": (
        "There is no room between this reading and the rules' limit or the target.",
        "Look at the site's target and test again.",
    ),
    "another-pool-has-enough": (
        "A pool on this filter has enough, or no room.",
        "Add by hand into this pool alone; ask the plant operator.",
    ),
    "too-little-to-measure": ("The amount is too small to measure out.", "Test again later."),
}
# What stands in the way because the reading is in doubt: then it is inside no target either.
DOUBTING_BLOCKS = ("changed-after-result", "reading-before-addition")
WAITING_STEP = "let-chlorine-fall"


def bare_answer(
    state: str, findings: list[dict[str, Any]], steps: list[dict[str, Any]]
) -> dict[str, Any]:
    """Write an answer that holds no amount: its state, the first step, and what comes then."""
    purpose = ""
    parameter = ""
    then = []
    for index in range(len(steps)):
        if index == 0:
            purpose = steps[index]["purpose"]
            parameter = steps[index]["parameter"]
        elif steps[index]["parameter"] != parameter:
            then.append(steps[index]["parameter"])
    return {
        "state": state,
        "purpose": purpose,
        "parameter": parameter,
        "then": then,
        "refusals": [],
        "findings": findings,
    }


def refused(
    findings: list[dict[str, Any]], steps: list[dict[str, Any]], refusals: list[dict[str, Any]]
) -> dict[str, Any]:
    """Write a refusal with every reason, each id and text once."""
    answer = bare_answer("refused", findings, steps)
    for entry in refusals:
        known = False
        for other in answer["refusals"]:
            if other["id"] == entry["id"] and other["why"] == entry["why"]:
                known = True
        if not known:
            answer["refusals"].append(entry)
    return answer


def in_trouble(
    findings: list[dict[str, Any]], steps: list[dict[str, Any]], trouble: str
) -> dict[str, Any]:
    """Refuse because the water or the product does not allow one portion of it."""
    words = TROUBLES[trouble]
    return refused(findings, steps, [refusal(trouble, words[0], words[1])])


def without_step(
    request: dict[str, Any],
    case: dict[str, Any],
    findings: list[dict[str, Any]],
    steps: list[dict[str, Any]],
) -> dict[str, Any]:
    """Answer where nothing is to be added: all inside the targets, or chlorine must fall."""
    refusals = reading_refusals(request, case, findings)
    for entry in age_refusals(request):
        refusals.append(entry)
    for entry in out_of_range_refusals(case):
        refusals.append(entry)
    for block in items_in(request, "blocks"):
        if block["id"] in DOUBTING_BLOCKS:
            refusals.append(refusal(block["id"], block["why"], block["do"]))
    if len(refusals) > 0:
        return refused(findings, steps, refusals)
    if len(steps) == 0:
        return bare_answer("nothing", findings, steps)
    return bare_answer("wait", findings, steps)


def only_people_in(refusals: list[dict[str, Any]], purpose: str) -> bool:
    """Tell whether nothing but people in the water stands against raising chlorine."""
    if purpose != "raise-chlorine" or len(refusals) != 1:
        return False
    identity: str = refusals[0]["id"]
    return identity == "people-in-the-water"


def wait_of(request: dict[str, Any]) -> int:
    """Give the wait before the retest in seconds: the mixing time, and never under 30 minutes."""
    return max(whole_in(request, "mixing_s"), LEAST_WAIT_SECONDS)


def retest_of(request: dict[str, Any]) -> dict[str, Any]:
    """Give the two-point retest: when at the earliest, and which other pools it covers."""
    return {
        "points": 2,
        "not_before": whole_in(request, "at") + wait_of(request),
        "also": items_in(part(request, "volume"), "shared"),
    }


def assumption(identity: str, text: str) -> dict[str, Any]:
    """Write one thing that was assumed."""
    return {"id": identity, "text": text}


def assumptions_of(
    request: dict[str, Any], case: dict[str, Any], product: dict[str, Any], half: bool, known: bool
) -> list[dict[str, Any]]:
    """Give what the amount rests on that nobody has measured today."""
    volume = part(request, "volume")
    found = []
    found.append(
        assumption("volume", word_in(volume, "m3") + " m3, by " + word_in(volume, "known") + ".")
    )
    if half:
        found.append(assumption("half-portion", "The volume is a guess: half a portion is given."))
    if word_in(volume, "balance_tank") == "not-included":
        found.append(assumption("no-balance-tank", "The volume leaves out the balance tank."))
    if not said_yes(request, "dye_test"):
        found.append(
            assumption(
                "mixing-not-tested", "No dye test on record: how fast it mixes is not known."
            )
        )
    if product["substance"] == "sodium-hypochlorite":
        if number_in(product, "excess_caustic") == UNKNOWN:
            found.append(assumption("excess-caustic", "Excess caustic of the product: 0.05."))
    if known:
        for parameter in taken_as_zero(request, case):
            found.append(assumption("taken-as-zero", parameter))
    else:
        found.append(
            assumption(
                "ph-not-foreseen", "Alkalinity, stabiliser or temperature is not known today."
            )
        )
    return found


def after_mixing(request: dict[str, Any], portion: dict[str, Any], rise: int) -> str:
    """Write what is left of a rise once a pool has mixed with the others on its filter, or ""."""
    volume = part(request, "volume")
    whole = number_in(volume, "circuit_m3")
    own = number_in(volume, "m3")
    if word_in(volume, "of") != "pool" or whole <= own:
        return ""
    now: int = portion["now"]
    return decimal_text(now + rise * own // whole)


def filled_answer(
    request: dict[str, Any],
    case: dict[str, Any],
    wanted: dict[str, Any],
    product: dict[str, Any],
    portion: dict[str, Any],
    dose: int,
    water: dict[str, Any],
    answer: dict[str, Any],
) -> dict[str, Any]:
    """Fill an answer with the amount, the water foreseen, the place, wait, retest and cautions."""
    known: bool = water["known"]
    answer["predicted"] = {}
    answer["after_use"] = {}
    answer["breaks"] = []
    if known:
        answer["predicted"] = foreseen_texts(water["after"])
        answer["after_use"] = foreseen_texts(water["after_use"])
        answer["breaks"] = broken_limits(request, water["before"], water["after"])
    elif wanted["purpose"] == "raise-chlorine":
        answer["predicted"] = {"free_chlorine": decimal_text(portion["now"] + dose // 1000)}
    mixed = ""
    if wanted["purpose"] == "raise-chlorine":
        mixed = after_mixing(request, portion, dose // 1000)
    answer["after_mixing"] = mixed
    answer["product"] = word_in(product, "product")
    answer["substance"] = product["substance"]
    answer["name"] = word_in(product, "name")
    answer["jug"] = word_in(product, "jug")
    answer["amount"] = portion["amount"]
    answer["unit"] = unit_of(product)
    answer["low"] = portion["low"]
    answer["high"] = portion["high"]
    answer["half"] = portion["half"]
    answer["again"] = portion["again"]
    answer["place"] = "by-hand-pool"
    if word_in(part(request, "volume"), "of") == "circuit":
        answer["place"] = "circuit-plant"
    answer["assumed"] = assumptions_of(request, case, product, portion["half"], known)
    answer["borrowed"] = borrowed_values(request, case)
    answer["cautions"] = cautions_for(request, case["pool"], product["substance"])
    answer["wait_s"] = wait_of(request)
    answer["retest"] = retest_of(request)
    return answer


def advise(k: tuple[float, ...], request: dict[str, Any]) -> dict[str, Any]:
    """Give the first advice for a round: one step against the site's own targets.

    Parameters
    ----------
    k : tuple
        The kernel's constants.
    request : dict
        See docs/explanation/how-we-advise.md. Any key may be missing: that is a refusal.

    Returns
    -------
    dict
        {"state": add, feed, wait, nothing or refused, "purpose", "parameter", "then",
        "refusals", "findings"}; only for add also the amount and all that goes with it.
    """
    case = case_of(request)
    findings = findings_of(case)
    steps = wanted_steps(request, case)
    if len(steps) == 0 or steps[0]["purpose"] == WAITING_STEP:
        return without_step(request, case, findings, steps)
    wanted = steps[0]
    refusals = general_refusals(request, case, findings)
    if only_people_in(refusals, wanted["purpose"]):
        return bare_answer("feed", findings, steps)
    for entry in water_refusals(request, case, wanted["purpose"]):
        refusals.append(entry)
    for entry in untested_refusals(request, case):
        refusals.append(entry)
    for entry in other_pool_refusals(request, wanted["parameter"]):
        refusals.append(entry)
    choice = chosen_product(request, case, wanted["purpose"])
    for entry in choice["refusals"]:
        refusals.append(entry)
    if len(refusals) > 0:
        return refused(findings, steps, refusals)
    if choice["feed"]:
        return bare_answer("feed", findings, steps)
    product: dict[str, Any] = choice["product"]
    portion = portion_of(k, request, case, wanted, product)
    if portion["trouble"] != "":
        return in_trouble(findings, steps, portion["trouble"])
    volume = number_in(part(request, "volume"), "m3")
    dose = dose_of(portion["amount"], volume, strength_divisor(product))
    water: dict[str, Any] = {"known": False}
    if foreseeable(request, case):
        water = foresee(k, portion["numbers"], product, dose)
        if not water["known"]:
            return in_trouble(findings, steps, "readings-cannot-all-be-right")
    answer = bare_answer("add", findings, steps)
    return filled_answer(request, case, wanted, product, portion, dose, water, answer)
