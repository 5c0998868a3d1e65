"""What combined chlorine is made of, as far as tests and nights tell."""

from typing import Any

from lanewater.kernel.deciding.asking import UNKNOWN, number_in, word_in
from lanewater.kernel.deciding.causesofcombined import (
    LEAST_MORNINGS,
    LITTLE_COMBINED,
    NORMAL_FREE,
    mornings_of,
)
from lanewater.kernel.deciding.doubt import repeated
from lanewater.kernel.deciding.plausibility import combined_thousandths
from lanewater.kernel.deciding.readingerror import pair_error
from lanewater.kernel.deciding.trends import median_of
from lanewater.kernel.deciding.tries import last_tries, number_of, relation_in

# Less than this a test of monochloramine cannot tell from none. JUDG.
LITTLE_MONOCHLORAMINE = 100


def worst_pair(case: dict[str, Any]) -> dict[str, int]:
    """Give the pair of free and total with the most combined; "combined" UNKNOWN without one."""
    worst = {"free": UNKNOWN, "combined": UNKNOWN, "error": 0, "exact": 1, "repeated": 1}
    for free in last_tries(case["readings"], "free_chlorine"):
        for total in last_tries(case["readings"], "total_chlorine"):
            if free["point"] == total["point"]:
                point = free["point"]
                combined = max(combined_thousandths(free, total), 0)
                if combined > worst["combined"]:
                    worst["free"] = number_of(free)
                    worst["combined"] = combined
                    worst["error"] = pair_error(free, total)
                    worst["exact"] = 1
                    if relation_in(free) != "exact" or relation_in(total) != "exact":
                        worst["exact"] = 0
                    worst["repeated"] = 0
                    if repeated(case["readings"], "free_chlorine", point) and repeated(
                        case["readings"], "total_chlorine", point
                    ):
                        worst["repeated"] = 1
    return worst


def overnight(request: dict[str, Any]) -> str:
    """Tell whether combined chlorine lasts a night at normal free: "lasts", "goes" or "".

    The record decides where it holds two such mornings; else what a person says.
    """
    held: list[int] = []
    for morning in mornings_of(request):
        if morning["free"] >= NORMAL_FREE:
            held.append(morning["combined"])
    if len(held) >= LEAST_MORNINGS:
        if median_of(held) > LITTLE_COMBINED:
            return "lasts"
        return "goes"
    said = word_in(request, "lasted_overnight")
    if said == "yes":
        return "lasts"
    if said == "no":
        return "goes"
    return ""


def stabiliser_state(case: dict[str, Any]) -> str:
    """Tell whether the water is stabilised: "yes", "no" or "" where nobody knows."""
    said = word_in(case["pool"], "stabiliser")
    found = ""
    if said == "not-used":
        found = "no"
    if said == "used":
        found = "yes"
    for reading in last_tries(case["readings"], "cyanuric_acid"):
        if number_of(reading) > 0 and relation_in(reading) != "below":
            found = "yes"
    return found


def kind_of_combined(request: dict[str, Any], case: dict[str, Any]) -> str:
    """Tell what combined chlorine is by the evidence: "lasting", "fresh" or "".

    A test of monochloramine decides; then the night, unless stabiliser may have slowed the
    reactions so that chloramines outlast it too; then a heavy load just before.
    """
    mono = number_in(request, "monochloramine_mg_l")
    if mono != UNKNOWN:
        if mono > LITTLE_MONOCHLORAMINE:
            return "fresh"
        return "lasting"
    night = overnight(request)
    if night == "lasts":
        if stabiliser_state(case) == "no":
            return "lasting"
        return ""
    if night == "goes" or word_in(request, "heavy_load") == "yes":
        return "fresh"
    return ""
