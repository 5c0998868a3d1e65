"""Whether more chlorine can take combined chlorine away, in ids and numbers.

What inorganic chloramines there are go with half of their own chlorine; what lasts overnight at
normal free chlorine is something else, and goes with fresh water. An amount of product is never
given here: only how much free chlorine it would take.
"""

from typing import Any

from lanewater.kernel.deciding.asking import UNKNOWN, case_of, number_in, whole_in, word_in
from lanewater.kernel.deciding.combinedkind import (
    kind_of_combined,
    overnight,
    stabiliser_state,
    worst_pair,
)
from lanewater.kernel.deciding.decimals import decimal_text
from lanewater.kernel.deciding.doubt import doubtful_parameters
from lanewater.kernel.deciding.housestops import house_stops
from lanewater.kernel.deciding.plausibility import findings_of
from lanewater.kernel.deciding.refusals import DOSED_KINDS

# Nitrogen in monochloramine, told as chlorine: 14.007 of 70.906.
NITROGEN_MASS = 14007
CHLORINE_MASS = 70906
# Chlorine for ammonia nitrogen by mass in clean water, as practice takes it (8 to 10, MEM; the
# reactions that `calc breakpoint` follows put the least total at 8.5 to 10).
LEAST_FOR_NITROGEN = 8
MOST_FOR_NITROGEN = 10
MISREAD_TIMES = 10
# More free chlorine than this is an incident's, not superchlorination's: a slip, or water to let
# out. JUDG.
MOST_REACHED = 10000
REMOVES = ("ammonia", "monochloramine", "dichloramine")
LEAVES = ("urea", "organic-chloramines", "trichloramine")
INSTEAD = (
    "fresh-water",
    "fresh-air",
    "free-toward-minimum",
    "coagulant-and-backwash",
    "ultraviolet",
    "showers-before-bathing",
)
REACTING_FAMILIES = ("free_chlorine", "total_chlorine", "combined_chlorine")


def inorganic_part(request: dict[str, Any], pair: dict[str, int]) -> int:
    """Give what more chlorine can take at most: the monochloramine that was tested, or all."""
    mono = number_in(request, "monochloramine_mg_l")
    if mono == UNKNOWN:
        return pair["combined"]
    return min(mono, pair["combined"])


def figures_of_combined(request: dict[str, Any], pair: dict[str, int]) -> dict[str, str]:
    """Give what combined chlorine would take, beside what is often said that it takes.

    Returns
    -------
    dict
        Decimal texts in mg/L: what can go at most, combined, free, the nitrogen in it were it all
        monochloramine, half of it, ten times it; and 8 and 10 times the ammonia nitrogen where
        that is known.
    """
    combined = pair["combined"]
    figures = {
        "at_most_removed_mg_l": decimal_text(inorganic_part(request, pair)),
        "combined_mg_l": decimal_text(combined),
        "free_mg_l": decimal_text(pair["free"]),
        "nitrogen_if_monochloramine_mg_l": decimal_text(
            (2 * combined * NITROGEN_MASS + CHLORINE_MASS) // (2 * CHLORINE_MASS)
        ),
        "half_of_combined_mg_l": decimal_text((combined + 1) // 2),
        "ten_times_combined_mg_l": decimal_text(MISREAD_TIMES * combined),
    }
    nitrogen = number_in(request, "ammonia_n_mg_l")
    if nitrogen != UNKNOWN:
        figures["eight_times_nitrogen_mg_l"] = decimal_text(LEAST_FOR_NITROGEN * nitrogen)
        figures["ten_times_nitrogen_mg_l"] = decimal_text(MOST_FOR_NITROGEN * nitrogen)
    return figures


def chlorine_to_use(request: dict[str, Any], pair: dict[str, int]) -> int:
    """Give the free chlorine that goes, at most, in thousandths."""
    half = (inorganic_part(request, pair) + 1) // 2
    return max(half, MOST_FOR_NITROGEN * number_in(request, "ammonia_n_mg_l"))


def free_to_reach(request: dict[str, Any], pair: dict[str, int]) -> dict[str, int]:
    """Give the free chlorine to reach, from and to, in thousandths.

    Half of what can go stands on top of the free chlorine that is there; what ammonia nitrogen
    takes counts from none.
    """
    low = pair["free"] + (inorganic_part(request, pair) + 1) // 2
    high = low
    nitrogen = number_in(request, "ammonia_n_mg_l")
    if nitrogen != UNKNOWN:
        low = max(low, LEAST_FOR_NITROGEN * nitrogen)
        high = max(high, MOST_FOR_NITROGEN * nitrogen)
    return {"low": low, "high": high}


def named(identity: str, said: dict[str, Any]) -> dict[str, Any]:
    """Write one reason with its numbers."""
    return {"id": identity, "said": said}


def place_reasons(request: dict[str, Any], case: dict[str, Any]) -> list[dict[str, Any]]:
    """Refuse by the place: what pool it is, who is in it, and where its air goes."""
    found = []
    kind = word_in(case["pool"], "kind")
    if kind not in DOSED_KINDS:
        found.append(named("kind-not-superchlorinated", {"kind": kind}))
    for stop in house_stops(case):
        found.append(named("house-stop", {"stop": stop["id"]}))
    people = word_in(request, "everybody_out")
    if people == "no":
        found.append(named("people-in-the-water", {}))
    elif people != "yes":
        found.append(named("people-unknown", {}))
    location = word_in(case["pool"], "location")
    if location != "outdoor":
        air = word_in(request, "fresh_air")
        if air == "no":
            found.append(named("no-fresh-air", {"location": location}))
        elif air != "yes":
            found.append(named("fresh-air-unknown", {"location": location}))
    return found


def time_reasons(request: dict[str, Any], high: int) -> list[dict[str, Any]]:
    """Refuse while people are due before free chlorine can be back under the rules' maximum.

    Where it is said that nobody is due and also when people are, the time counts.
    """
    if high > MOST_REACHED:
        return [named("more-than-is-ever-reached", {"free_mg_l": decimal_text(high)})]
    most = number_in(request, "maximum_free_mg_l")
    if most == UNKNOWN:
        return [named("maximum-unknown", {})]
    due = whole_in(request, "people_due_in_minutes")
    if high <= most or (due == UNKNOWN and word_in(request, "nobody_due") == "yes"):
        return []
    back = whole_in(request, "under_maximum_in_minutes")
    said: dict[str, Any] = {"maximum_mg_l": decimal_text(most), "free_mg_l": decimal_text(high)}
    if due == UNKNOWN:
        return [named("people-due-unknown", said)]
    if back == UNKNOWN:
        return [named("time-under-maximum-unknown", said)]
    if due < back:
        said["people_due_in_minutes"] = whole_in(request, "people_due_in_minutes")
        return [named("people-due-too-soon", said)]
    return []


def superchlorination_of(request: dict[str, Any]) -> dict[str, Any]:
    """Say what more chlorine can and cannot take away here, and what it would take.

    Parameters
    ----------
    request : dict
        {"case": as judge() takes it, "monopersulfate": "yes"/"no"/"" (used in the last days; asked
        before anything else), "rounds": as `causes_of` takes them, "lasted_overnight",
        "heavy_load", "everybody_out", "fresh_air" (all of the hall's air from outside),
        "nobody_due": "yes"/"no"/"", "monochloramine_mg_l", "ammonia_n_mg_l", "maximum_free_mg_l",
        "maximum_combined_mg_l": decimal texts, "people_due_in_minutes",
        "under_maximum_in_minutes": whole numbers}; what is missing is not known.

    Returns
    -------
    dict
        {"state": refused, ask-first, test-first, not-needed, not-known-which, will-not-help,
        enough-already or may-help; "reasons": [{"id", "said"}]; "removes", "leaves", "instead",
        "ask": ids; "figures": decimal texts; "free_to_reach_mg_l": {"low", "high"} or None;
        "then": ids}. Only may-help without reasons has free chlorine to reach.
    """
    case = case_of(request)
    family = word_in(case["pool"], "disinfectant")
    if family != "chlorine":
        identity = "disinfectant-unknown"
        if family == "bromine":
            identity = "bromine"
        elif family == "other":
            identity = "other-disinfectant"
        return settled("refused", [named(identity, {})], [], {})
    if word_in(case["pool"], "water") == "sea":
        return settled("refused", [named("sea-water", {})], [], {})
    shock = word_in(request, "monopersulfate")
    if shock == "yes":
        return settled("test-first", [named("monopersulfate-reads-as-combined", {})], [], {})
    if shock != "no":
        return settled("ask-first", [], ["monopersulfate"], {})
    pair = worst_pair(case)
    reasons = reading_reasons(case, pair)
    if len(reasons) > 0:
        return settled("test-first", reasons, [], {})
    return by_kind(request, case, pair)


def reading_reasons(case: dict[str, Any], pair: dict[str, int]) -> list[dict[str, Any]]:
    """Tell why the readings must be repeated first: combined is the difference of two tests."""
    if pair["combined"] == UNKNOWN:
        return [named("free-and-total-not-read", {})]
    found = []
    for parameter in doubtful_parameters(findings_of(case)):
        if parameter in REACTING_FAMILIES:
            found.append(named("doubtful", {"parameter": parameter}))
    if pair["exact"] == 0:
        found.append(named("out-of-range", {}))
    if len(found) == 0 and pair["repeated"] == 0 and pair["combined"] > pair["error"]:
        found.append(named("read-once", {"error_mg_l": decimal_text(pair["error"])}))
    return found


def by_kind(request: dict[str, Any], case: dict[str, Any], pair: dict[str, int]) -> dict[str, Any]:
    """Decide by what combined chlorine is, once it is sure that there is some."""
    limit = number_in(request, "maximum_combined_mg_l")
    figures = figures_of_combined(request, pair)
    if pair["combined"] <= max(limit, pair["error"]):
        return settled("not-needed", [], [], figures)
    kind = kind_of_combined(request, case)
    if kind == "lasting":
        return settled("will-not-help", [named("not-inorganic", {})], [], figures)
    if kind == "":
        return settled("not-known-which", unsure(request, case), to_ask(request), figures)
    if pair["free"] >= chlorine_to_use(request, pair):
        again = "look-again-in-an-hour"
        if stabiliser_state(case) != "no":
            again = "look-again-tomorrow"
        return settled("enough-already", [], [again], figures)
    reach = free_to_reach(request, pair)
    reasons = place_reasons(request, case)
    for reason in time_reasons(request, reach["high"]):
        reasons.append(reason)
    answer = settled("may-help", reasons, [], figures)
    if stabiliser_state(case) != "no":
        answer["ask"].append("free-to-cyanuric-acid")
    if len(reasons) == 0:
        answer["free_to_reach_mg_l"] = {
            "low": decimal_text(reach["low"]),
            "high": decimal_text(reach["high"]),
        }
    return answer


def unsure(request: dict[str, Any], case: dict[str, Any]) -> list[dict[str, Any]]:
    """Say why a night does not decide in stabilised water."""
    if overnight(request) == "lasts" and stabiliser_state(case) != "no":
        return [named("stabiliser-slows-the-reactions", {})]
    return []


def to_ask(request: dict[str, Any]) -> list[str]:
    """Name what would tell one kind of combined chlorine from the other."""
    found = ["monochloramine-test"]
    if overnight(request) == "":
        found.append("combined-tomorrow-morning")
    if word_in(request, "heavy_load") == "":
        found.append("heavy-load")
    return found


def settled(
    state: str, reasons: list[dict[str, Any]], ask: list[str], figures: dict[str, str]
) -> dict[str, Any]:
    """Write an answer; only what may help can take something away."""
    removes: list[str] = []
    leaves: list[str] = []
    instead: list[str] = []
    then: list[str] = []
    if state == "may-help" or state == "enough-already":
        for name in REMOVES:
            removes.append(name)
        then = ["keep-everybody-out", "fresh-air", "test-free-and-total-before-anybody-enters"]
    if state in ("may-help", "enough-already", "will-not-help", "not-known-which"):
        for name in LEAVES:
            leaves.append(name)
    if state in ("will-not-help", "not-known-which"):
        for name in INSTEAD:
            instead.append(name)
    return {
        "state": state,
        "reasons": reasons,
        "ask": ask,
        "removes": removes,
        "leaves": leaves,
        "instead": instead,
        "figures": figures,
        "free_to_reach_mg_l": None,
        "then": then,
    }
