"""Why combined chlorine creeps up."""

from typing import Any

from lanewater.kernel.deciding.asking import UNKNOWN, items_in, part, whole_in, word_in
from lanewater.kernel.deciding.causesofchlorine import said_shut
from lanewater.kernel.deciding.decimals import decimal_text
from lanewater.kernel.deciding.evidence import (
    STRONG,
    WEAK,
    cause_to_weigh,
    finding_of,
    speaks_against,
    speaks_for,
)
from lanewater.kernel.deciding.trends import difference_series, median_of, series_of, trend_of

# At this much free chlorine inorganic chloramines are gone within minutes (half-life 4.5 min at
# 1 mg/L, 28 C, pH 7.5, no stabiliser; CALC from the rates that `calc breakpoint` uses): what is
# still there in the morning is something else.
NORMAL_FREE = 1000
LEAST_MORNINGS = 2
LITTLE_COMBINED = 200
# Not chlorine, and read by the test as combined. The site registers it under one of these.
FALSE_COMBINED = ("other:potassium monopersulfate", "other:potassium-monopersulfate")


def mornings_of(case: dict[str, Any]) -> list[dict[str, int]]:
    """Give combined and free chlorine of the rounds before which nobody was let in."""
    found = []
    for one in items_in(case, "rounds"):
        gap = difference_series([one], "total_chlorine", "free_chlorine")
        free = series_of([one], "free_chlorine")
        if said_shut(one) and len(gap) == 1:
            found.append({"combined": gap[0]["number"], "free": free[0]["number"]})
    return found


def lasting(case: dict[str, Any]) -> dict[str, Any]:
    """Weigh organic chloramines and trichloramine: what lasts overnight at normal free chlorine."""
    cause = cause_to_weigh("organic-or-trichloramine")
    held = []
    for morning in mornings_of(case):
        if morning["free"] >= NORMAL_FREE:
            held.append(morning["combined"])
    if len(held) >= LEAST_MORNINGS:
        said = {"combined": decimal_text(median_of(held)), "mornings": len(held)}
        if median_of(held) > LITTLE_COMBINED:
            speaks_for(cause, "lasts-overnight", STRONG, said)
        else:
            speaks_against(cause, "gone-by-morning", STRONG, said)
    return cause


def fresh_load(case: dict[str, Any]) -> dict[str, Any]:
    """Weigh what bathers bring, with chlorine too low to keep up."""
    cause = cause_to_weigh("ammonia-from-bathers")
    rounds = items_in(case, "rounds")
    counts = bather_counts(rounds)
    half = len(counts) // 2
    if half >= LEAST_MORNINGS:
        early = 0
        late = 0
        for index in range(half):
            early += counts[index]
            late += counts[len(counts) - 1 - index]
        said = {"early": early // half, "late": late // half}
        if 2 * late > 3 * early:
            speaks_for(cause, "more-bathers", STRONG, said)
        elif late < early:
            speaks_against(cause, "fewer-bathers", WEAK, said)
    free = series_of(rounds, "free_chlorine")
    low = 0
    for one in free:
        if one["number"] < NORMAL_FREE:
            low += 1
    if len(free) > 0 and 2 * low > len(free):
        speaks_for(cause, "free-is-low", WEAK, {"times": low, "rounds": len(free)})
    return cause


def bather_counts(rounds: list[dict[str, Any]]) -> list[int]:
    """Give the bathers that were counted, oldest first."""
    found = []
    for one in rounds:
        count = whole_in(one, "bathers")
        if count != UNKNOWN:
            found.append(count)
    return found


def little_fresh_water(case: dict[str, Any]) -> dict[str, Any]:
    """Weigh too little fresh water: what only water that is let out takes along rises too."""
    cause = cause_to_weigh("little-fresh-water")
    rounds = items_in(case, "rounds")
    for parameter in ["cyanuric_acid", "salt", "calcium_hardness"]:
        trend = trend_of(series_of(rounds, parameter))
        said = {"parameter": parameter, "moved": decimal_text(trend["moved"])}
        if trend["way"] == "up":
            speaks_for(cause, "salts-rise-too", WEAK, said)
        elif trend["way"] == "down":
            speaks_against(cause, "salts-fall", WEAK, said)
    return cause


def lamp(case: dict[str, Any]) -> dict[str, Any]:
    """Weigh an ultraviolet plant that no longer breaks chloramines."""
    cause = cause_to_weigh("ultraviolet-weak")
    secondary = word_in(part(case, "pool"), "secondary")
    if secondary in ("uv", "both"):
        speaks_for(cause, "has-ultraviolet", WEAK, {})
    elif secondary != "":
        speaks_against(cause, "has-no-ultraviolet", 2 * STRONG, {})
    return cause


def false_reading(case: dict[str, Any]) -> dict[str, Any]:
    """Weigh a test that is fooled: a shock without chlorine, or total read in a used cell."""
    cause = cause_to_weigh("false-combined")
    for event in items_in(case, "events"):
        if event.get("product", "") in FALSE_COMBINED:
            speaks_for(cause, "monopersulfate-on-record", STRONG, {})
            return cause
    return cause


def why_combined_creeps(case: dict[str, Any]) -> dict[str, Any]:
    """Answer why combined chlorine creeps up, where it does; see `causes_of`.

    Parameters
    ----------
    case : dict
        As `causes_of` takes it.
    """
    if word_in(part(case, "pool"), "disinfectant") == "bromine":
        return finding_of("combined-creeps", "too-few", {"rounds": 0}, [], [])
    series = difference_series(items_in(case, "rounds"), "total_chlorine", "free_chlorine")
    trend = trend_of(series)
    if trend["way"] == "too-few":
        return finding_of("combined-creeps", "too-few", {"rounds": trend["rounds"]}, [], [])
    last = series[len(series) - 1]["number"]
    limit = whole_in(case, "limit_combined")
    state = "not-seen"
    if trend["way"] == "up" or (limit != UNKNOWN and last > limit):
        state = "seen"
    said = {
        "moved": decimal_text(trend["moved"]),
        "days": trend["days"],
        "last": decimal_text(last),
    }
    causes = [
        lasting(case),
        fresh_load(case),
        little_fresh_water(case),
        lamp(case),
        false_reading(case),
    ]
    ask = ["monopersulfate-used", "litres-a-bather", "fresh-air-share", "lamp-hours"]
    return finding_of("combined-creeps", state, said, causes, ask)
