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
from lanewater.kernel.deciding.planwater import PLANNED, ends_in
from lanewater.kernel.deciding.productfit import SUBSTANCES, for_the_feeder
from lanewater.kernel.deciding.refusals import (
    LARGEST_VOLUME,
    general_refusals,
    pool_refusals,
)
from lanewater.kernel.deciding.steps import TARGETED, exact_tries
from lanewater.kernel.deciding.strengths import strength_refusals
from lanewater.kernel.deciding.tries import word_of
from lanewater.kernel.deciding.waterknown import untested_refusals, water_refusals

# What a stateless question must hold, and the name of its refusal.
MUST_BE_READ = (
    ("ph", "ph-missing"),
    ("temperature_c", "temperature-missing"),
    ("total_alkalinity", "alkalinity-missing"),
    ("free_chlorine", "free-chlorine-missing"),
)
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
    if len(found) == 0:
        for entry in untested_refusals(request, case):
            found.append(entry)
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
    if not some:
        found.append(
            refusal("target-missing", "No target is given.", "Give the site's own low and high.")
        )
    return found


def feeder_of(request: dict[str, Any]) -> str:
    """Give what the feeder holds: as it is stated, or the only kind of chlorine on the list."""
    stated = word_in(request, "feeder")
    if stated != "":
        return stated
    only = ""
    for product in items_in(request, "products"):
        substance = word_in(product, "substance")
        if substance in SUBSTANCES["raise-chlorine"]:
            if only != "" and only != substance:
                return ""
            only = substance
    return only
