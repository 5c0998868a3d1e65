"""The other pools of a circuit: what goes in through the plant goes into every one of them."""

from typing import Any

from lanewater.kernel.deciding.asking import items_in, part, refusal, word_in
from lanewater.kernel.deciding.refusals import age_refusals, pool_refusals
from lanewater.kernel.deciding.steps import exact_tries


def through_the_plant(request: dict[str, Any]) -> bool:
    """Tell whether the addition goes into the whole circuit."""
    return word_in(part(request, "volume"), "of") == "circuit"


def tested_lately(request: dict[str, Any], other: dict[str, Any], parameter: str) -> bool:
    """Tell whether another pool's parameter was read, by a test no older than this round may be."""
    dated = {
        "at": request.get("at"),
        "ages": part(request, "ages"),
        "taken_at": other.get("taken_at"),
        "late": other.get("late"),
    }
    read = len(exact_tries(items_in(other, "readings"), parameter)) > 0
    return read and len(age_refusals(dated)) == 0


def untested(name: str) -> dict[str, Any]:
    """Refuse by the name of a pool that was not tested."""
    return refusal(
        "other-pool-not-tested",
        name + ", on the same filter, has no test of this hour.",
        "Test every pool on it, or add by hand into this pool alone.",
    )


def other_pool_refusals(request: dict[str, Any], parameter: str) -> list[dict[str, Any]]:
    """Refuse an addition to a circuit with a pool on it that was not tested or is not dosed."""
    found: list[dict[str, Any]] = []
    if not through_the_plant(request):
        return found
    others = items_in(request, "others")
    for other in others:
        for entry in pool_refusals(other, part(other, "pool")):
            found.append(entry)
        if not tested_lately(request, other, parameter):
            found.append(untested(word_in(other, "name")))
    if len(others) != len(items_in(part(request, "volume"), "shared")):
        found.append(untested("Another pool"))
    return found


def others_readings(request: dict[str, Any], parameter: str) -> list[dict[str, Any]]:
    """Give the readings of a parameter in the other pools that an addition would reach."""
    found: list[dict[str, Any]] = []
    if not through_the_plant(request):
        return found
    for other in items_in(request, "others"):
        for reading in exact_tries(items_in(other, "readings"), parameter):
            found.append(reading)
    return found
