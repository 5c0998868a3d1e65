"""Why the probe and the photometer part: which of the two to doubt, and what to do first."""

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
    median_of,
    series_of,
    trend_of,
)

# One difference may be a slip; twice the same way is not. trade practice, JUDG.
LEAST_TIMES = 2
CHECKED_LATELY = 604800
STABILISER_MOVED = 5000
PAIRS_OF_PROBE = (("free_chlorine", "controller_free"), ("ph", "controller_ph"))


def apart_of(gaps: list[dict[str, int]]) -> dict[str, Any]:
    """Tell how often, and which way, two instruments part by more than their error together."""
    above = 0
    below = 0
    numbers = []
    for gap in gaps:
        numbers.append(gap["number"])
        if gap["number"] > gap["error"]:
            above += 1
        elif gap["number"] < -gap["error"]:
            below += 1
    middle = 0
    if len(numbers) > 0:
        middle = median_of(numbers)
    return {"above": above, "below": below, "middle": middle, "rounds": len(gaps)}


def probe_parameter(case: dict[str, Any]) -> str:
    """Name the parameter whose probe parts from the photometer most clearly, "" for none."""
    best = ""
    most = 0
    for pair in PAIRS_OF_PROBE:
        apart = apart_of(difference_series(items_in(case, "rounds"), pair[0], pair[1]))
        times = max(apart["above"], apart["below"])
        if times >= LEAST_TIMES and times > most:
            most = times
            best = pair[0]
    return best


def probe_of(parameter: str) -> str:
    """Give the controller's reading that stands beside a photometer's."""
    for pair in PAIRS_OF_PROBE:
        if pair[0] == parameter:
            return pair[1]
    return ""


def fouled(gaps: list[dict[str, int]]) -> dict[str, Any]:
    """Weigh a probe that drifts: dirt, an old membrane, little flow in its cell."""
    cause = cause_to_weigh("probe-drifts")
    trend = trend_of(gaps)
    said = {"moved": decimal_text(trend["moved"]), "days": trend["days"]}
    if trend["way"] == "up" or trend["way"] == "down":
        speaks_for(cause, "gap-grows", STRONG, said)
    apart = apart_of(gaps)
    if apart["above"] == 0 or apart["below"] == 0:
        speaks_for(cause, "same-way", WEAK, {"times": max(apart["above"], apart["below"])})
    else:
        speaks_against(cause, "both-ways", STRONG, {})
    return cause


def photometer(case: dict[str, Any], parameter: str) -> dict[str, Any]:
    """Weigh the photometer: checked lately, its kit or its lot changed as the gap opened."""
    cause = cause_to_weigh("photometer-is-off")
    kits = []
    lots = []
    for one in items_in(case, "rounds"):
        for reading in one["readings"]:
            if reading["parameter"] == parameter:
                if reading["kit"] not in kits:
                    kits.append(reading["kit"])
                lot = reading.get("lot", "")
                if lot != "" and lot not in lots:
                    lots.append(lot)
    if len(lots) > 1:
        speaks_for(cause, "lot-changed", WEAK, {"lots": len(lots)})
    if len(kits) > 1:
        speaks_for(cause, "kit-changed", WEAK, {})
    for kit in kits:
        checked = whole_in(part(case, "verified"), kit)
        now = whole_in(case, "at")
        if checked != UNKNOWN and now != UNKNOWN:
            said = {"days": max(now - checked, 0) // TREND_DAY}
            if now - checked <= CHECKED_LATELY:
                speaks_against(cause, "checked-lately", STRONG, said)
            else:
                speaks_for(cause, "checked-long-ago", WEAK, said)
    return cause


def water_changed(case: dict[str, Any], parameter: str) -> dict[str, Any]:
    """Weigh a water that changed under a probe: pH or stabiliser moves what it sees of chlorine."""
    cause = cause_to_weigh("water-changed")
    if parameter != "free_chlorine":
        speaks_against(cause, "not-chlorine", STRONG, {})
        return cause
    rounds = items_in(case, "rounds")
    ph = trend_of(series_of(rounds, "ph"))
    if ph["way"] == "up" or ph["way"] == "down":
        speaks_for(cause, "ph-moved", WEAK, {"moved": decimal_text(ph["moved"])})
    stabiliser = series_of(rounds, "cyanuric_acid")
    if len(stabiliser) > 1:
        moved = stabiliser[len(stabiliser) - 1]["number"] - stabiliser[0]["number"]
        if abs(moved) > STABILISER_MOVED:
            speaks_for(cause, "stabiliser-moved", STRONG, {"moved": decimal_text(moved)})
    if word_in(part(case, "pool"), "control") == "orp":
        speaks_for(cause, "control-by-orp", WEAK, {})
    return cause


def other_water(gaps: list[dict[str, int]]) -> dict[str, Any]:
    """Weigh a sample from another place or time than the probe's own water."""
    cause = cause_to_weigh("not-the-same-water")
    apart = apart_of(gaps)
    if apart["above"] > 0 and apart["below"] > 0:
        speaks_for(cause, "both-ways", STRONG, {})
    return cause


def why_probe_parts(case: dict[str, Any]) -> dict[str, Any]:
    """Answer why probe and photometer part, where they do; see `causes_of`.

    Parameters
    ----------
    case : dict
        As `causes_of` takes it.
    """
    rounds = items_in(case, "rounds")
    most = 0
    for pair in PAIRS_OF_PROBE:
        most = max(most, len(difference_series(rounds, pair[0], pair[1])))
    if most < LEAST_ROUNDS:
        return finding_of("probe-parts", "too-few", {"rounds": most}, [], [])
    parameter = probe_parameter(case)
    if parameter == "":
        return finding_of("probe-parts", "not-seen", {"rounds": most}, [], [])
    gaps = difference_series(rounds, parameter, probe_of(parameter))
    apart = apart_of(gaps)
    said = {
        "parameter": parameter,
        "apart": decimal_text(apart["middle"]),
        "times": max(apart["above"], apart["below"]),
        "rounds": apart["rounds"],
    }
    causes = [
        fouled(gaps),
        photometer(case, parameter),
        water_changed(case, parameter),
        other_water(gaps),
    ]
    ask = ["check-standard", "sample-at-the-probe", "probe-flow"]
    return finding_of("probe-parts", "seen", said, causes, ask)
