"""Which single product fits a step, and why the others do not.

Chlorine never changes its family: two kinds that meet can burn or explode. Stabilised chlorine
is for outdoor pools that use stabiliser, never for hot pools. Gas, carbon dioxide, sulfuric acid,
caustic and trichlor are never given by hand, whatever a site registers.
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
from lanewater.kernel.deciding.refusals import CONFIGURED_KINDS
from lanewater.kernel.deciding.strengths import strength_refusals
from lanewater.kernel.deciding.tries import number_of
from lanewater.kernel.deciding.waterknown import borrowed_refusal, known_at

SUBSTANCES = {
    "raise-chlorine": (
        "sodium-hypochlorite",
        "calcium-hypochlorite",
        "chlorine",
        "sodium-dichloroisocyanurate",
        "trichloroisocyanuric-acid",
    ),
    "lower-ph": ("hydrochloric-acid", "sodium-bisulfate", "sulfuric-acid", "carbon-dioxide"),
    "raise-ph": ("sodium-carbonate", "sodium-hydroxide"),
    "raise-alkalinity": ("sodium-bicarbonate",),
    "raise-calcium": ("calcium-chloride",),
}
STABILISED = ("sodium-dichloroisocyanurate", "trichloroisocyanuric-acid")
# Cyanuric acid that the largest rise of chlorine by dichlor brings, in thousandths of a mg/L:
# 3 mg/L x 129.075 / 141.812.
STABILISER_STEP = 2731
NEVER_BY_HAND = (
    "chlorine",
    "carbon-dioxide",
    "sulfuric-acid",
    "sodium-hydroxide",
    "trichloroisocyanuric-acid",
)
FED = ("feeder-only", "never-by-hand")


def most_stabiliser(request: dict[str, Any]) -> int:
    """Give the most cyanuric acid that the rules or the site allow, UNKNOWN where neither says."""
    rules = number_in(part(part(request, "limits"), "cyanuric_acid"), "high")
    own = number_in(part(part(request, "targets"), "cyanuric_acid"), "high")
    if rules == UNKNOWN or own == UNKNOWN:
        return max(rules, own)
    return min(rules, own)


def stabiliser_refusals(request: dict[str, Any], case: dict[str, Any]) -> list[dict[str, Any]]:
    """Refuse to bring stabiliser where its level or its limit is not known, or near the limit."""
    found = borrowed_refusal(request, case, "cyanuric_acid", "stabiliser")
    if len(found) > 0:
        return found
    most = most_stabiliser(request)
    if most == UNKNOWN:
        return [
            refusal(
                "stabiliser-limit-missing",
                "Neither the rules nor the site say how much stabiliser is too much.",
                "Set a target for stabiliser in Site.",
            )
        ]
    level = number_of(known_at(request, case, "cyanuric_acid")["reading"])
    if level + STABILISER_STEP > most:
        return [
            refusal(
                "stabiliser-full",
                "The stabiliser is at its limit, and this product brings more.",
                "Use unstabilised chlorine where the feeder does; ask the plant operator.",
            )
        ]
    return []


def chlorine_refusals(
    request: dict[str, Any], case: dict[str, Any], substance: str
) -> list[dict[str, Any]]:
    """Refuse a chlorine of another family than the feeder's, or a stabilised one where it hurts."""
    pool: dict[str, Any] = case["pool"]
    found = []
    feeder = word_in(request, "feeder")
    if feeder == "":
        found.append(
            refusal(
                "feeder-not-stated", "What the feeder holds is not stated.", "State it in Site."
            )
        )
    same = feeder == substance or feeder == "none"
    if feeder == "salt-cell" and substance == "sodium-hypochlorite":
        same = True
    if feeder != "" and not same:
        found.append(
            refusal(
                "other-chlorine-family",
                substance + " is another kind of chlorine than the feeder's " + feeder + ".",
                "Two kinds of chlorine never meet. Use the feeder's own.",
            )
        )
    if substance in STABILISED:
        outdoors = word_in(pool, "location") == "outdoor" and word_in(pool, "stabiliser") == "used"
        if not outdoors or word_in(pool, "kind") in CONFIGURED_KINDS:
            found.append(
                refusal(
                    "stabilised-not-here",
                    "Stabilised chlorine is only for outdoor pools that use stabiliser.",
                    "Use unstabilised chlorine.",
                )
            )
        else:
            for entry in stabiliser_refusals(request, case):
                found.append(entry)
    return found


def jug_refusals(request: dict[str, Any], product: dict[str, Any]) -> list[dict[str, Any]]:
    """Refuse a product whose jug is another substance's too: what is left in it would react."""
    jug = word_in(product, "jug")
    found = []
    for other in items_in(request, "products"):
        same = word_in(other, "substance") == word_in(product, "substance")
        if jug != "" and word_in(other, "jug") == jug and not same:
            found.append(
                refusal(
                    "jug-shared",
                    "Its jug is also that of " + word_in(other, "name") + ".",
                    "A jug belongs to one product: give each its own in Site.",
                )
            )
    return found


def product_refusals(
    request: dict[str, Any], case: dict[str, Any], purpose: str, product: dict[str, Any]
) -> list[dict[str, Any]]:
    """Give why a product does not fit a step; empty where it does."""
    found = []
    substance = word_in(product, "substance")
    if word_in(product, "method") != "by-hand":
        found.append(
            refusal(
                "method-not-stated",
                "It is not stated whether " + word_in(product, "name") + " is given by hand.",
                "State by hand, feeder only or never by hand in Site.",
            )
        )
    if purpose not in items_in(product, "approved"):
        found.append(
            refusal(
                "product-not-approved",
                word_in(product, "name") + " is not approved for this on this pool.",
                "The manager approves products for a purpose and a pool.",
            )
        )
    if purpose == "raise-chlorine":
        for entry in chlorine_refusals(request, case, substance):
            found.append(entry)
    for entry in strength_refusals(request, product):
        found.append(entry)
    for entry in jug_refusals(request, product):
        found.append(entry)
    return found


def for_the_feeder(product: dict[str, Any]) -> bool:
    """Tell whether a product is never given by hand: the plant feeds it."""
    if word_in(product, "substance") in NEVER_BY_HAND:
        return True
    return word_in(product, "method") in FED


def serving_products(request: dict[str, Any], purpose: str) -> list[dict[str, Any]]:
    """Give the products of a pool whose substance serves a step, the chosen one alone if any."""
    found = []
    choice = word_in(request, "choice")
    for product in items_in(request, "products"):
        serves = word_in(product, "substance") in SUBSTANCES.get(purpose, ())
        if serves and (choice == "" or choice == word_in(product, "product")):
            found.append(product)
    return found


def chosen_product(request: dict[str, Any], case: dict[str, Any], purpose: str) -> dict[str, Any]:
    """Choose the one product for a step: the first that fits and may be given by hand.

    Returns
    -------
    dict
        {"product": dict, empty where none fits, "refusals": why not, "feed": bool, true where
        only the feeder may give it}.
    """
    serving = serving_products(request, purpose)
    if len(serving) == 0:
        none = refusal(
            "product-not-listed",
            "No product for this is on the pool's list.",
            "The manager lists products in Site.",
        )
        return {"product": {}, "refusals": [none], "feed": False}
    first: list[dict[str, Any]] = []
    feed = False
    for product in serving:
        if for_the_feeder(product):
            feed = True
        else:
            refusals = product_refusals(request, case, purpose, product)
            if len(refusals) == 0:
                return {"product": product, "refusals": [], "feed": False}
            if len(first) == 0:
                first = refusals
    if feed and len(first) == 0:
        return {"product": {}, "refusals": [], "feed": True}
    return {"product": {}, "refusals": first, "feed": False}
