"""Why pH keeps rising."""

from typing import Any

from lanewater.kernel.deciding.asking import UNKNOWN, items_in, part, whole_in, word_in
from lanewater.kernel.deciding.decimals import decimal_text
from lanewater.kernel.deciding.evidence import (
    STRONG,
    WEAK,
    cause_to_weigh,
    finding_of,
    speaks_against,
    speaks_for,
)
from lanewater.kernel.deciding.trends import (
    LEAST_ROUNDS,
    TREND_DAY,
    difference_series,
    latest,
    series_of,
    slope_a_day,
    trend_of,
)

ALKALINE_CHLORINE = ("sodium-hypochlorite", "calcium-hypochlorite", "salt-cell")
ACID_CHLORINE = ("chlorine", "trichloroisocyanuric-acid", "sodium-dichloroisocyanurate")
ALKALIES = ("sodium-carbonate", "sodium-bicarbonate", "sodium-hydroxide", "borax")
AGITATED_KINDS = ("spa", "leisure", "wave", "spray", "hydrotherapy")
# JUDG: from here air is far above the water; this alkalinity drives pH up; this breaks a line.
FAR_BELOW_AIR = 500
HIGH_ALKALINITY = 120000
SUDDEN_TIMES = 3
LEAST_SUDDEN = 100  # thousandths of pH a day


def fed_substance(case: dict[str, Any]) -> str:
    """Give what the feeder holds, "" where it is not stated."""
    return word_in(case, "feeder")


def broke_upwards(series: list[dict[str, int]]) -> bool:
    """Tell whether a series rises much faster over its last rounds than before them."""
    if len(series) < 2 * LEAST_ROUNDS:
        return False
    recent = latest(series, LEAST_ROUNDS)
    before = []
    for index in range(len(series) - LEAST_ROUNDS):
        before.append(series[index])
    fast = slope_a_day(recent)
    return fast > LEAST_SUDDEN and fast > SUDDEN_TIMES * max(slope_a_day(before), 0)


def acid_feed(case: dict[str, Any], series: list[dict[str, int]]) -> dict[str, Any]:
    """Weigh a stopped acid feed: tank, line, valve, cylinder."""
    cause = cause_to_weigh("acid-feed-stopped")
    if word_in(part(case, "pool"), "control") in ("orp", "amperometric"):
        speaks_for(cause, "dosing-is-automatic", WEAK, {})
    if broke_upwards(series):
        speaks_for(cause, "rise-is-sudden", STRONG, {})
    gaps = difference_series(items_in(case, "rounds"), "ph", "controller_ph")
    if len(gaps) > 0:
        last = gaps[len(gaps) - 1]
        if abs(last["number"]) <= last["error"]:
            speaks_for(cause, "controller-sees-it-too", WEAK, {})
    return cause


def alkaline_chlorine(case: dict[str, Any], series: list[dict[str, int]]) -> dict[str, Any]:
    """Weigh the caustic and lime that hypochlorite brings."""
    cause = cause_to_weigh("alkaline-chlorine")
    fed = fed_substance(case)
    if fed in ALKALINE_CHLORINE:
        speaks_for(cause, "feeder-is-alkaline", WEAK, {"substance": fed})
    if fed in ACID_CHLORINE:
        speaks_against(cause, "feeder-is-acid", STRONG, {"substance": fed})
    if broke_upwards(series):
        speaks_against(cause, "rise-is-sudden", WEAK, {})
    return cause


def air_and_alkalinity(case: dict[str, Any], series: list[dict[str, int]]) -> dict[str, Any]:
    """Weigh carbon dioxide that leaves to the air: features, high alkalinity, a far ceiling."""
    cause = cause_to_weigh("carbon-dioxide-leaves")
    kind = word_in(part(case, "pool"), "kind")
    if kind in AGITATED_KINDS:
        speaks_for(cause, "water-is-agitated", WEAK, {"kind": kind})
    known = series_of(items_in(case, "rounds"), "total_alkalinity")
    if len(known) > 0:
        alkalinity = known[len(known) - 1]["number"]
        said = {"value": decimal_text(alkalinity)}
        if alkalinity > HIGH_ALKALINITY:
            speaks_for(cause, "alkalinity-is-high", STRONG, said)
    ceiling = whole_in(case, "ceiling")
    last = series[len(series) - 1]["number"]
    if ceiling != UNKNOWN:
        said = {"ceiling": decimal_text(ceiling), "ph": decimal_text(last)}
        if ceiling - last > FAR_BELOW_AIR:
            speaks_for(cause, "air-leads-higher", WEAK, said)
        elif ceiling < last:
            speaks_against(cause, "air-leads-lower", STRONG, said)
    return cause


def alkali_added(case: dict[str, Any], series: list[dict[str, int]]) -> dict[str, Any]:
    """Weigh soda ash, bicarbonate and the like that were added by hand."""
    cause = cause_to_weigh("alkali-added")
    count = 0
    for event in items_in(case, "events"):
        late = event["at"] >= series[0]["at"] - TREND_DAY
        if late and event.get("product", "") in ALKALIES:
            count += 1
    if count > 0:
        speaks_for(cause, "alkali-on-record", STRONG, {"times": count})
    else:
        speaks_against(cause, "no-alkali-on-record", WEAK, {})
    return cause


def test_of_ph(case: dict[str, Any], series: list[dict[str, int]]) -> dict[str, Any]:
    """Weigh the test itself: another kit, or a controller that does not see the rise."""
    cause = cause_to_weigh("ph-test")
    kits = []
    for one in items_in(case, "rounds"):
        if one["at"] >= series[0]["at"]:
            for reading in one["readings"]:
                if reading["parameter"] == "ph" and reading["kit"] not in kits:
                    kits.append(reading["kit"])
    if len(kits) > 1:
        speaks_for(cause, "kit-changed", WEAK, {})
    gaps = trend_of(difference_series(items_in(case, "rounds"), "ph", "controller_ph"))
    if gaps["way"] == "up":
        speaks_for(
            cause, "controller-does-not-see-it", STRONG, {"apart": decimal_text(gaps["moved"])}
        )
    return cause


def why_ph_rises(case: dict[str, Any]) -> dict[str, Any]:
    """Answer why pH rises, where it does; see `causes_of`.

    Parameters
    ----------
    case : dict
        As `causes_of` takes it.
    """
    series = series_of(items_in(case, "rounds"), "ph")
    trend = trend_of(series)
    if trend["way"] == "too-few":
        return finding_of("ph-rises", "too-few", {"rounds": trend["rounds"]}, [], [])
    said = {"moved": decimal_text(trend["moved"]), "days": trend["days"]}
    state = "not-seen"
    if trend["way"] == "up" or broke_upwards(series):
        state = "seen"
    causes = [
        acid_feed(case, series),
        air_and_alkalinity(case, series),
        alkaline_chlorine(case, series),
        alkali_added(case, series),
        test_of_ph(case, series),
    ]
    ask = ["acid-tank-and-line", "fresh-water-ph", "new-plaster-or-grout"]
    return finding_of("ph-rises", state, said, causes, ask)
