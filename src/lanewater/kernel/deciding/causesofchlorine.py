"""Why free chlorine does not hold: sun, demand, feed, bathers, a weak product."""

from typing import Any

from lanewater.kernel.deciding.asking import UNKNOWN, items_in, part, whole_in, word_in
from lanewater.kernel.deciding.bleaching import CHLORINE_PRODUCTS
from lanewater.kernel.deciding.decimals import decimal_text
from lanewater.kernel.deciding.evidence import (
    STRONG,
    WEAK,
    cause_to_weigh,
    finding_of,
    speaks_against,
    speaks_for,
)
from lanewater.kernel.deciding.steps import exact_tries
from lanewater.kernel.deciding.trends import (
    TREND_DAY,
    latest,
    mean_reading,
    median_of,
    series_of,
    trend_of,
)

TREND_HOUR = 3600
LONGEST_NIGHT = 57600
LEAST_LOSSES = 2
MOST_LOSSES = 14
# From memory, a rule of thumb: more than 1 mg/L or 30 % overnight is demand, not sun. MEM.
NIGHT_DEMAND = 1000
NIGHT_SHARE = 300
# JUDG: sun shows where days lose this many times what nights lose, an hour.
SUN_TIMES = 3
LITTLE_STABILISER = 15000
HIGH_COMBINED = 400
OLD_STRENGTH = 2592000
FEW_BATHERS_TIMES = 2


def added_between(case: dict[str, Any], start: int, end: int) -> bool:
    """Tell whether chlorine was added by hand in or shortly before a time."""
    for event in items_in(case, "events"):
        inside = start - 2 * TREND_HOUR <= event["at"] <= end
        if inside and event.get("product", "") in CHLORINE_PRODUCTS:
            return True
    return False


def losses_of(case: dict[str, Any], shut: bool) -> list[dict[str, int]]:
    """Give what free chlorine lost between neighbouring rounds, with nobody in or in hours.

    Returns
    -------
    list of dict
        {"lost", "first", "seconds", "bathers", "error"}, the latest MOST_LOSSES at most.
    """
    found: list[dict[str, int]] = []
    rounds = items_in(case, "rounds")
    for index in range(1, len(rounds)):
        earlier = series_of([rounds[index - 1]], "free_chlorine")
        later = series_of([rounds[index]], "free_chlorine")
        same = said_shut(rounds[index]) == shut
        if same and len(earlier) == 1 and len(later) == 1:
            seconds = later[0]["at"] - earlier[0]["at"]
            quiet = not added_between(case, earlier[0]["at"], later[0]["at"])
            if quiet and 0 < seconds <= LONGEST_NIGHT:
                found.append(
                    {
                        "lost": earlier[0]["number"] - later[0]["number"],
                        "first": earlier[0]["number"],
                        "seconds": seconds,
                        "bathers": max(whole_in(rounds[index], "bathers"), 0),
                        "error": earlier[0]["error"] + later[0]["error"],
                    }
                )
    return latest(found, MOST_LOSSES)


def said_shut(one: dict[str, Any]) -> bool:
    """Tell whether a round says that nobody was let in since the round before."""
    return one.get("shut") is True


def hourly(losses: list[dict[str, int]]) -> int:
    """Give the median loss in thousandths of a mg/L an hour."""
    rates = []
    for loss in losses:
        rates.append(loss["lost"] * TREND_HOUR // loss["seconds"])
    return median_of(rates)


def night_is_heavy(nights: list[dict[str, int]]) -> bool:
    """Tell whether most nights lose over 1 mg/L, or over 30 % and more than test error."""
    heavy = 0
    for night in nights:
        share = (
            night["lost"] * 1000 > NIGHT_SHARE * night["first"] and night["lost"] > night["error"]
        )
        if night["lost"] > NIGHT_DEMAND or share:
            heavy += 1
    return 2 * heavy > len(nights)


def demand(case: dict[str, Any], nights: list[dict[str, int]]) -> dict[str, Any]:
    """Weigh what is in the water and uses chlorine also at night."""
    cause = cause_to_weigh("demand")
    if len(nights) >= LEAST_LOSSES:
        said = {"lost": decimal_text(max(hourly(nights), 0))}
        if night_is_heavy(nights):
            speaks_for(cause, "nights-lose-much", STRONG, said)
        else:
            speaks_against(cause, "nights-hold", WEAK, said)
    combined = combined_now(case)
    if combined > HIGH_COMBINED:
        speaks_for(cause, "combined-is-high", WEAK, {"value": decimal_text(combined)})
    return cause


def combined_now(case: dict[str, Any]) -> int:
    """Give the combined chlorine of the last round that read both, 0 where none did."""
    found = 0
    for one in items_in(case, "rounds"):
        free = exact_tries(one["readings"], "free_chlorine")
        total = exact_tries(one["readings"], "total_chlorine")
        if len(free) > 0 and len(total) > 0:
            found = max(mean_reading(total)["number"] - mean_reading(free)["number"], 0)
    return found


def sunlight(
    case: dict[str, Any], nights: list[dict[str, int]], days: list[dict[str, int]]
) -> dict[str, Any]:
    """Weigh sunlight on water with little or no stabiliser."""
    cause = cause_to_weigh("sun")
    pool = part(case, "pool")
    if word_in(pool, "location") == "indoor":
        speaks_against(cause, "is-indoors", 2 * STRONG, {})
        return cause
    if len(nights) >= LEAST_LOSSES and len(days) >= LEAST_LOSSES:
        said = {
            "day": decimal_text(max(hourly(days), 0)),
            "night": decimal_text(max(hourly(nights), 0)),
        }
        if hourly(days) > SUN_TIMES * max(hourly(nights), 1):
            speaks_for(cause, "days-lose-nights-hold", STRONG, said)
        else:
            speaks_against(cause, "nights-lose-as-much", STRONG, said)
    known = series_of(items_in(case, "rounds"), "cyanuric_acid")
    if word_in(pool, "stabiliser") == "not-used":
        speaks_for(cause, "no-stabiliser", WEAK, {})
    elif len(known) > 0 and known[len(known) - 1]["number"] < LITTLE_STABILISER:
        said = {"value": decimal_text(known[len(known) - 1]["number"])}
        speaks_for(cause, "little-stabiliser", STRONG, said)
    return cause


def bather_load(days: list[dict[str, int]]) -> dict[str, Any]:
    """Weigh bathers: do the times with most of them lose most?"""
    cause = cause_to_weigh("bathers")
    counted = []
    for day in days:
        if day["bathers"] > 0:
            counted.append(day["bathers"])
    if len(counted) < 2 * LEAST_LOSSES:
        return cause
    middle = median_of(counted)
    busy = []
    calm = []
    for day in days:
        if day["bathers"] > middle:
            busy.append(day)
        elif day["bathers"] > 0:
            calm.append(day)
    if len(busy) == 0 or len(calm) == 0:
        return cause
    said = {"busy": decimal_text(max(hourly(busy), 0)), "calm": decimal_text(max(hourly(calm), 0))}
    if hourly(busy) > FEW_BATHERS_TIMES * max(hourly(calm), 1):
        speaks_for(cause, "busy-times-lose-more", STRONG, said)
    else:
        speaks_against(cause, "busy-times-lose-no-more", WEAK, said)
    return cause


def feed(case: dict[str, Any], nights: list[dict[str, int]]) -> dict[str, Any]:
    """Weigh a feed that stopped or fell short: tank, line, pump, cell."""
    cause = cause_to_weigh("feed-short")
    fed = word_in(case, "feeder")
    if fed == "none":
        speaks_against(cause, "no-feeder", 2 * STRONG, {})
        return cause
    if fed != "":
        speaks_for(cause, "feeder-should-hold-it", WEAK, {"substance": fed})
    if len(nights) >= LEAST_LOSSES and night_is_heavy(nights) and fed != "":
        speaks_for(cause, "nights-fall-with-a-feeder", WEAK, {})
    low = lowest_controller(case)
    if low["count"] > 0:
        said = {"controller": decimal_text(low["number"])}
        speaks_for(cause, "controller-reads-low-too", STRONG, said)
    return cause


def lowest_controller(case: dict[str, Any]) -> dict[str, int]:
    """Give the controller's last reading of free chlorine, where it agrees with the photometer."""
    found = {"number": 0, "count": 0}
    for one in items_in(case, "rounds"):
        seen = series_of([one], "controller_free")
        read = series_of([one], "free_chlorine")
        if len(seen) == 1 and len(read) == 1:
            found = {"number": seen[0]["number"], "count": 0}
            if abs(seen[0]["number"] - read[0]["number"]) <= seen[0]["error"] + read[0]["error"]:
                found["count"] = 1
    return found


def weak_product(case: dict[str, Any]) -> dict[str, Any]:
    """Weigh hypochlorite that has aged since its strength was stated."""
    cause = cause_to_weigh("weak-product")
    stated = whole_in(case, "strength_at")
    now = whole_in(case, "at")
    if stated == UNKNOWN or now == UNKNOWN:
        return cause
    said = {"days": (now - stated) // TREND_DAY}
    if now - stated > OLD_STRENGTH:
        speaks_for(cause, "strength-is-old", STRONG, said)
    else:
        speaks_against(cause, "strength-is-fresh", WEAK, said)
    return cause


def why_chlorine_goes(case: dict[str, Any]) -> dict[str, Any]:
    """Answer why free chlorine does not hold, where it does not; see `causes_of`.

    It does not hold where most nights are heavy, or free falls over the rounds, or days lose more
    than test error.

    Parameters
    ----------
    case : dict
        As `causes_of` takes it.
    """
    nights = losses_of(case, True)
    days = losses_of(case, False)
    trend = trend_of(series_of(items_in(case, "rounds"), "free_chlorine"))
    if len(nights) < LEAST_LOSSES and len(days) < LEAST_LOSSES:
        return finding_of("chlorine-goes", "too-few", {"rounds": trend["rounds"]}, [], [])
    state = "not-seen"
    if trend["way"] == "down" or losing(nights) or losing(days):
        state = "seen"
    said: dict[str, Any] = {}
    if len(nights) > 0:
        said["night"] = decimal_text(max(hourly(nights), 0))
    if len(days) > 0:
        said["day"] = decimal_text(max(hourly(days), 0))
    causes = [
        feed(case, nights),
        demand(case, nights),
        sunlight(case, nights, days),
        bather_load(days),
        weak_product(case),
    ]
    ask = ["feeder-tank-and-pump", "filter-and-strainers", "ammonia-test"]
    return finding_of("chlorine-goes", state, said, causes, ask)


def losing(losses: list[dict[str, int]]) -> bool:
    """Tell whether most of several losses are more than test error."""
    if len(losses) < LEAST_LOSSES:
        return False
    lost = 0
    for loss in losses:
        if loss["lost"] > loss["error"]:
            lost += 1
    return 2 * lost > len(losses)
