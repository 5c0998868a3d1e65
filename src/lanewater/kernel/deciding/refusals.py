"""Why no amount may be given now, by name: people, plant, questions, readings, pool.

Every refusal is found, not only the first, so that a person can put all of it right at once.
"""

from typing import Any

from lanewater.kernel.deciding.asking import (
    UNKNOWN,
    items_in,
    number_in,
    part,
    refusal,
    said_yes,
    whole_in,
    word_in,
)
from lanewater.kernel.deciding.doubt import casts_doubt, surprising
from lanewater.kernel.deciding.housestops import house_stops
from lanewater.kernel.deciding.steps import (
    CORE_READINGS,
    TARGETED,
    band_of,
    exact_tries,
    points_agree,
    target_known,
)
from lanewater.kernel.deciding.tries import last_tries, tries_of, word_of

DOSED_KINDS = ("pool", "leisure", "teaching", "wading", "wave")
CONFIGURED_KINDS = ("spa", "hydrotherapy", "plunge")
DOUBT_IDS = {
    "possible-bleaching": "possible-bleaching",
    "impossible-pair": "pair-not-believable",
    "over-range": "over-range-undiluted",
}
BALANCE_TANK = ("included", "not-included", "none")
LARGEST_VOLUME = 100000000
MOST_TIMES = 3
CLOCKS_APART = 300


def question_refusals(request: dict[str, Any]) -> list[dict[str, Any]]:
    """Refuse by the four questions, which are asked at this moment and have no default."""
    asked = part(request, "questions")
    found = []
    people = word_in(asked, "everybody_out")
    if people == "no":
        found.append(
            refusal("people-in-the-water", "People are in the water.", "Everyone out first.")
        )
    elif people != "yes":
        found.append(
            refusal("people-unknown", "Nobody said whether everybody is out.", "Look, then say.")
        )
    pump = word_in(asked, "pump_running")
    if pump == "no":
        found.append(
            refusal("circulation-stopped", "The pump is not running.", "No dose while it stands.")
        )
    elif pump != "yes":
        found.append(
            refusal("circulation-unknown", "Nobody said whether the pump runs.", "Look, then say.")
        )
    added = word_in(asked, "anything_added")
    if added == "yes":
        found.append(
            refusal(
                "added-since-reading",
                "Something was added since the reading.",
                "Record it, wait, test again at two points.",
            )
        )
    elif added != "no":
        found.append(
            refusal(
                "added-unknown",
                "Nobody knows whether something was added since the reading.",
                "Ask. If nobody knows, test again at two points.",
            )
        )
    if word_in(asked, "looked") != "yes":
        found.append(
            refusal(
                "plant-not-looked-at",
                "Feeder, tank and controller were not looked at.",
                "Look first: a low reading has a cause.",
            )
        )
    return found


def pool_refusals(request: dict[str, Any], pool: dict[str, Any]) -> list[dict[str, Any]]:
    """Refuse waters and pools that advice is not made for."""
    found = []
    family = word_in(pool, "disinfectant")
    if family == "bromine":
        found.append(refusal("bromine", "No amounts for bromine pools.", "Call the operator."))
    elif family == "other":
        found.append(
            refusal("other-disinfectant", "No amounts for this disinfectant.", "Call the operator.")
        )
    elif family != "chlorine":
        found.append(
            refusal("disinfectant-unknown", "The disinfectant is not stated.", "State it in Site.")
        )
    water = word_in(pool, "water")
    if water == "sea":
        found.append(refusal("sea-water", "No amounts for sea water.", "Call the operator."))
    elif water != "fresh" and water != "salt":
        found.append(
            refusal("water-unknown", "Fresh, salt or sea is not stated.", "State it in Site.")
        )
    kind = word_in(pool, "kind")
    configured = kind in CONFIGURED_KINDS and said_yes(request, "configured")
    if kind == "":
        found.append(
            refusal("kind-unknown", "The kind of pool is not stated.", "State it in Site.")
        )
    elif kind not in DOSED_KINDS and not configured:
        found.append(
            refusal(
                "kind-not-configured",
                "No amounts for a " + kind + " here: it is not set up for dosing.",
                "Call the operator.",
            )
        )
    return found


def age_refusals(request: dict[str, Any]) -> list[dict[str, Any]]:
    """Refuse readings that are undated, too old, from the future or entered late."""
    found = []
    now = whole_in(request, "at")
    taken = whole_in(request, "taken_at")
    limit = whole_in(part(request, "ages"), "reading_s")
    if now == UNKNOWN:
        found.append(refusal("time-unknown", "The time is not known.", "Set the clock."))
    if limit == UNKNOWN:
        found.append(
            refusal("age-limit-missing", "The site's age limit is not set.", "Set it in Site.")
        )
    if taken == UNKNOWN:
        found.append(
            refusal("reading-undated", "Nobody said when the sample was taken.", "Test again.")
        )
    elif now != UNKNOWN and limit != UNKNOWN:
        if now - taken > limit:
            found.append(refusal("reading-old", "The reading is too old.", "Test again."))
        if taken - now > CLOCKS_APART:
            found.append(
                refusal("reading-ahead", "The reading lies ahead of now.", "Check the clock.")
            )
    late = request.get("late")
    if late is None:
        found.append(
            refusal("late-unknown", "Nobody said whether it was entered late.", "Test again.")
        )
    elif late is not False:
        found.append(refusal("entered-late", "The reading was entered late.", "Test again."))
    return found


def target_refusals(request: dict[str, Any]) -> list[dict[str, Any]]:
    """Refuse a target that is missing where every round needs one, or that the rules forbid."""
    found = []
    for parameter in TARGETED:
        name = word_of(parameter)
        band = band_of(request, parameter)
        if not target_known(request, parameter):
            if parameter in CORE_READINGS:
                found.append(
                    refusal(
                        "target-missing", name + " has no site target.", "Set low and high in Site."
                    )
                )
        elif band["low"] >= band["high"]:
            found.append(
                refusal(
                    "target-outside-rules",
                    name + ": the site's target lies outside the rules.",
                    "Set low and high inside the rules' limits in Site.",
                )
            )
    return found


def reading_refusals(
    request: dict[str, Any], case: dict[str, Any], findings: list[dict[str, Any]]
) -> list[dict[str, Any]]:
    """Refuse readings that are missing, doubtful, surprising or apart."""
    found = []
    for finding in findings:
        if casts_doubt(finding):
            identity: str = DOUBT_IDS.get(finding["id"], "doubtful-reading")
            found.append(refusal(identity, finding["why"], finding["do"]))
    for parameter in CORE_READINGS:
        name = word_of(parameter)
        readings = exact_tries(case["readings"], parameter)
        if len(tries_of(case["readings"], parameter)) == 0:
            found.append(
                refusal("reading-missing", name + " was not read in this round.", "Test it.")
            )
        elif len(readings) > 0 and not points_agree(readings):
            found.append(
                refusal(
                    "points-disagree",
                    name + " differs between points by more than test error.",
                    "Poor mixing: circulate, then test both points again.",
                )
            )
        if surprising(case, parameter):
            found.append(
                refusal(
                    "surprising-reading",
                    name + " is far from the last round and no cause is known.",
                    "Repeat it once before anything is added.",
                )
            )
    for entry in target_refusals(request):
        found.append(entry)
    for entry in house_stops(case):
        found.append(refusal("house-stop", entry["why"], entry["do"]))
    return found


def out_of_range_refusals(case: dict[str, Any]) -> list[dict[str, Any]]:
    """Refuse to call a number that the test did not reach inside a target."""
    found = []
    for parameter in TARGETED:
        if len(exact_tries(case["readings"], parameter)) < len(
            last_tries(case["readings"], parameter)
        ):
            found.append(
                refusal(
                    "reading-out-of-range",
                    word_of(parameter) + " lies outside what the test reaches.",
                    "Repeat it with a test that reaches it.",
                )
            )
    return found


def slip_refusals(volume: dict[str, Any]) -> list[dict[str, Any]]:
    """Refuse a pool that is said to hold more than its circuit, or a circuit far over its pools.

    A balance tank and pipes may double a small circuit; three times its pools is a slip. JUDG.
    """
    own = number_in(volume, "m3")
    circuit = number_in(volume, "circuit_m3")
    pools = number_in(volume, "pools_m3")
    which = word_in(volume, "of")
    slip = which == "pool" and circuit != UNKNOWN and own > circuit
    if which == "circuit" and pools != UNKNOWN:
        slip = own < pools or own > MOST_TIMES * pools
    if not slip:
        return []
    return [
        refusal(
            "volumes-disagree",
            "The volumes of the pools and of their circuit do not fit each other.",
            "One of them is wrong: check them in Site.",
        )
    ]


def volume_refusals(request: dict[str, Any]) -> list[dict[str, Any]]:
    """Refuse a volume that is missing, of a kind not said, or guessed and not accepted."""
    volume = part(request, "volume")
    found = []
    which = word_in(volume, "of")
    if which != "pool" and which != "circuit":
        found.append(
            refusal(
                "volume-kind-not-stated",
                "Nobody said whether it goes into this pool alone or the whole circuit.",
                "Say which.",
            )
        )
    amount = number_in(volume, "m3")
    if amount == UNKNOWN or amount == 0:
        found.append(refusal("volume-missing", "The volume is not stated.", "State it in Site."))
    elif amount > LARGEST_VOLUME:
        found.append(
            refusal("volume-too-large", "The volume is over 100,000 m3.", "Check it in Site.")
        )
    for entry in slip_refusals(volume):
        found.append(entry)
    known = word_in(volume, "known")
    if known == "guess":
        if not said_yes(volume, "accepted"):
            found.append(
                refusal(
                    "volume-guess-not-accepted",
                    "The volume is a guess that nobody competent has accepted.",
                    "Measure it, or accept it: then half a portion is given.",
                )
            )
    elif known != "meter" and known != "drawing":
        found.append(
            refusal(
                "volume-source-missing",
                "How the volume is known is not stated.",
                "State meter, drawing or guess in Site.",
            )
        )
    if which == "circuit" and word_in(volume, "balance_tank") not in BALANCE_TANK:
        found.append(
            refusal(
                "balance-tank-not-stated",
                "Nobody said whether the circuit's volume holds the balance tank.",
                "State it in Site.",
            )
        )
    return found


def standing_refusals(request: dict[str, Any]) -> list[dict[str, Any]]:
    """Refuse while rules are not chosen, or another dose, wait or question stands."""
    found = []
    if request.get("limits") is None:
        found.append(
            refusal("rules-not-chosen", "No local rules are chosen.", "Choose them in Site.")
        )
    if request.get("blocks") is None:
        found.append(
            refusal(
                "waits-not-known",
                "It is not known whether a dose or a wait is running.",
                "Look at Now; ask who has dosed.",
            )
        )
    for block in items_in(request, "blocks"):
        found.append(refusal(block["id"], block["why"], block["do"]))
    return found


def general_refusals(
    request: dict[str, Any], case: dict[str, Any], findings: list[dict[str, Any]]
) -> list[dict[str, Any]]:
    """Give every refusal that does not hang on the product."""
    found = []
    for refusals in [
        question_refusals(request),
        pool_refusals(request, case["pool"]),
        reading_refusals(request, case, findings),
        age_refusals(request),
        volume_refusals(request),
        standing_refusals(request),
    ]:
        for entry in refusals:
            found.append(entry)
    return found
