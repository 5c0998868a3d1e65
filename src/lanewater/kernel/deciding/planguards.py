"""Why there is no plan, by name: every guard of the one-step advice, and those of many steps.

A stateless question has no round, no record and nobody who stands at the pool: what those would
be asked is given back to be asked, and what its pool is not said to be takes the stricter branch.
"""

from typing import Any

from lanewater.kernel.deciding.asking import (
    UNKNOWN,
    items_in,
    number_in,
    part,
    refusal,
    word_in,
)
from lanewater.kernel.deciding.otherpools import other_pool_refusals
from lanewater.kernel.deciding.planwater import PLANNED, ends_in, highest_of, lowest_of
from lanewater.kernel.deciding.productfit import SUBSTANCES, for_the_feeder
from lanewater.kernel.deciding.refusals import (
    LARGEST_VOLUME,
    general_refusals,
    pool_refusals,
)
from lanewater.kernel.deciding.steps import TARGETED, exact_tries, lowest_reading
from lanewater.kernel.deciding.strengths import strength_refusals
from lanewater.kernel.deciding.tries import number_of, word_of
from lanewater.kernel.deciding.waterknown import (
    borrowed_refusal,
    untested_parameter,
    untested_refusals,
    water_numbers,
    water_refusals,
)

# What a stateless question must hold, and the name of its refusal.
MUST_BE_READ = (
    ("ph", "ph-missing"),
    ("temperature_c", "temperature-missing"),
    ("total_alkalinity", "alkalinity-missing"),
    ("free_chlorine", "free-chlorine-missing"),
)
# No limits that are typed in widen pH past this: a slip may stand in both. JUDG.
OUTERMOST_PH = (6500, 8500)
# Where pools are kept, in thousandths; a target elsewhere is a slip unless rules allow it. JUDG.
KEPT_AT = {"ph": (6800, 8200), "free_chlorine": (0, 10000)}
# Free chlorine that reads none, in thousandths: it may be bleached at many times as much.
READS_NONE = 50
# What a stateless question may leave out of its pool, what is taken for it, and its name.
STAND_INS = (
    ("disinfectant", "chlorine", "disinfectant-not-stated"),
    ("water", "fresh", "water-not-stated"),
    ("kind", "pool", "kind-not-stated"),
)


def site_refusals(
    request: dict[str, Any], case: dict[str, Any], findings: list[dict[str, Any]]
) -> list[dict[str, Any]]:
    """Give every reason against a plan for a site's round that does not hang on a product."""
    found = general_refusals(request, case, findings)
    for entry in water_refusals(request, case, "lower-ph"):
        found.append(entry)
    for entry in untested_refusals(request, case):
        found.append(entry)
    for parameter in TARGETED:
        read = len(exact_tries(case["readings"], parameter)) > 0
        if read:
            for entry in other_pool_refusals(request, parameter):
                found.append(entry)
    return found


def stated_pool(pool: dict[str, Any]) -> dict[str, Any]:
    """Give a pool's facts with what was left out taken for the plainest of its kind."""
    stated: dict[str, Any] = {}
    for key, value in pool.items():
        stated[key] = value
    for row in STAND_INS:
        if word_in(pool, row[0]) == "":
            stated[row[0]] = row[1]
    return stated


def stateless_refusals(request: dict[str, Any], case: dict[str, Any]) -> list[dict[str, Any]]:
    """Give every reason against a plan for a question that stands alone."""
    found = pool_refusals(request, stated_pool(case["pool"]))
    for row in MUST_BE_READ:
        if len(exact_tries(case["readings"], row[0])) == 0:
            found.append(refusal(row[1], word_of(row[0]) + " is not given.", "Test it first."))
    volume = number_in(part(request, "volume"), "m3")
    if volume == UNKNOWN or volume == 0:
        found.append(refusal("volume-missing", "The volume is not given.", "State it."))
    elif volume > LARGEST_VOLUME:
        found.append(refusal("volume-too-large", "The volume is over 100,000 m3.", "Check it."))
    for entry in stateless_targets(request):
        found.append(entry)
    for product in items_in(request, "products"):
        by_hand = not for_the_feeder(product) and len(items_in(product, "approved")) > 0
        if by_hand:
            for entry in strength_refusals(request, product):
                why = word_in(product, "name") + ": " + entry["why"]
                found.append(refusal(entry["id"], why, entry["do"]))
    for entry in stateless_water(request, case):
        found.append(entry)
    return found


def stateless_water(request: dict[str, Any], case: dict[str, Any]) -> list[dict[str, Any]]:
    """Refuse a water that reads none of chlorine, lacks what is said to be in it, or is too far."""
    found = []
    free = exact_tries(case["readings"], "free_chlorine")
    if len(free) > 0 and number_of(lowest_reading(free)) <= READS_NONE:
        found.append(
            refusal(
                "free-reads-none",
                "Free reads none: that may be much too much, bleached.",
                "Repeat it, 1 part pool water made up to 10, before anything is added.",
            )
        )
    pool = case["pool"]
    if word_in(pool, "stabiliser") == "used":
        for entry in borrowed_refusal(request, case, "cyanuric_acid", "stabiliser"):
            found.append(entry)
    if word_in(pool, "water") == "salt":
        for entry in borrowed_refusal(request, case, "salt", "salt"):
            found.append(entry)
    read = True
    for row in MUST_BE_READ:
        if len(exact_tries(case["readings"], row[0])) == 0:
            read = False
    if read:
        name = untested_parameter(water_numbers(request, case))
        if name != "":
            why = word_of(name) + " is outside the range that amounts are worked out for."
            found.append(refusal("water-outside-range", why, "Test it again."))
    return found


def stateless_targets(request: dict[str, Any]) -> list[dict[str, Any]]:
    """Refuse where no target is given, or one that has no room inside its limits."""
    found = []
    some = False
    for parameter in PLANNED:
        target = ends_in(request, "targets", parameter)
        limit = ends_in(request, "limits", parameter)
        low: int | None = target["low"]
        high: int | None = target["high"]
        if low is not None or high is not None:
            some = True
        if limit["low"] is not None and (low is None or limit["low"] > low):
            low = limit["low"]
        if limit["high"] is not None and (high is None or limit["high"] < high):
            high = limit["high"]
        if low is not None and high is not None and low >= high:
            found.append(
                refusal(
                    "target-outside-rules",
                    word_of(parameter) + ": the target leaves no room inside the limits.",
                    "Give a low and a high inside the limits.",
                )
            )
        if low is not None and high is not None and not believable(parameter, target, limit):
            found.append(
                refusal(
                    "target-not-believable",
                    word_of(parameter) + ": no pool is kept there.",
                    "Look at the target; or give the limits of the rules that allow it.",
                )
            )
        if parameter == "ph" and (low is None or high is None):
            found.append(
                refusal(
                    "target-missing",
                    "pH has no target, and every addition moves it.",
                    "Give the site's own low and high of pH.",
                )
            )
    if not some:
        found.append(
            refusal("target-missing", "No target is given.", "Give the site's own low and high.")
        )
    return found


def believable(parameter: str, target: dict[str, Any], limit: dict[str, Any]) -> bool:
    """Tell whether a pool may be kept at a target: as usual, or as the stated limits allow. JUDG.

    Parameters
    ----------
    parameter : str
        One of PLANNED.
    target, limit : dict
        Their ends in thousandths, None for no end.
    """
    if parameter not in KEPT_AT:
        return True
    least, most = KEPT_AT[parameter]
    low_fits = target["low"] is None or target["low"] >= least
    high_fits = target["high"] is None or target["high"] <= most
    if limit["low"] is not None and target["low"] is not None:
        low_fits = low_fits or target["low"] >= limit["low"]
    if limit["high"] is not None and target["high"] is not None:
        high_fits = high_fits or target["high"] <= limit["high"]
    if parameter == "ph":
        low = highest_of(target["low"], limit["low"])
        high = lowest_of(target["high"], limit["high"])
        low_fits = low_fits and (low is None or low >= OUTERMOST_PH[0])
        high_fits = high_fits and (high is None or high <= OUTERMOST_PH[1])
    return low_fits and high_fits


def feeder_of(request: dict[str, Any]) -> str:
    """Give what the feeder holds: as it is stated, or the only kind of chlorine on the list.

    Where it holds none, two kinds on the list are no choice for a search: both are left out.
    """
    stated = word_in(request, "feeder")
    if stated != "" and stated != "none":
        return stated
    only = ""
    for product in items_in(request, "products"):
        substance = word_in(product, "substance")
        if substance in SUBSTANCES["raise-chlorine"]:
            if only != "" and only != substance:
                return ""
            only = substance
    return only
