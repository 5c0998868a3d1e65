"""Which purposes a plan may pursue, and which products stand for them.

A product goes in only for a purpose that the water asks for, or that another step of the plan
will bring about: acid where chlorine lifts pH, bicarbonate where acid takes alkalinity. So
nothing is ever added as a surprise, and nothing cheaper in another purpose's place.
"""

from typing import Any

from lanewater.kernel.deciding.asking import items_in, part, refusal, said_yes, word_in
from lanewater.kernel.deciding.productfit import (
    SUBSTANCES,
    chosen_product,
    for_the_feeder,
    product_refusals,
    serving_products,
)

PURPOSES_PLANNED = (
    "raise-chlorine",
    "lower-ph",
    "raise-alkalinity",
    "raise-ph",
    "raise-calcium",
)


def side_in(bands: list[dict[str, Any]], parameter: str) -> str:
    """Give on which side of its band a figure is."""
    for entry in bands:
        if entry["parameter"] == parameter:
            side: str = entry["side"]
            return side
    return ""


def target_in(bands: list[dict[str, Any]], parameter: str) -> bool:
    """Tell whether the site has a target for a figure that was tested."""
    for entry in bands:
        if entry["parameter"] == parameter:
            known: bool = entry["set"]
            return known
    return False


def dilution_wanted(bands: list[dict[str, Any]]) -> str:
    """Name the first figure over its band that only fresh water brings down, "" for none."""
    for parameter in ["cyanuric_acid", "total_alkalinity", "calcium_hardness"]:
        if side_in(bands, parameter) == "high":
            return parameter
    return ""


def purposes_wanted(bands: list[dict[str, Any]], fresh: bool) -> list[str]:
    """Give the purposes that the water asks for, or that its steps may bring about.

    Parameters
    ----------
    bands : list of dict
        As `planned_bands` gives them.
    fresh : bool
        Whether fresh water is going to be used.
    """
    ph = side_in(bands, "ph")
    index = side_in(bands, "saturation_index")
    found = []
    chlorine = side_in(bands, "free_chlorine") == "low" or fresh
    alkalinity = side_in(bands, "total_alkalinity") == "low"
    calcium = side_in(bands, "calcium_hardness") == "low" or index == "low"
    if fresh and target_in(bands, "calcium_hardness"):
        calcium = True
    acid = ph == "high" or (ph == "" and (chlorine or alkalinity or fresh or index == "high"))
    if chlorine:
        found.append("raise-chlorine")
    if acid:
        found.append("lower-ph")
    watched = target_in(bands, "total_alkalinity")
    if alkalinity or (watched and (fresh or (acid and ph == "high"))):
        found.append("raise-alkalinity")
    if ph == "low" or (ph == "" and fresh):
        found.append("raise-ph")
    if calcium:
        found.append("raise-calcium")
    return found


def left_out(product: dict[str, Any], purpose: str, entry: dict[str, Any]) -> dict[str, Any]:
    """Write why a product is not in the plan."""
    return {
        "product": word_in(product, "product"),
        "name": word_in(product, "name"),
        "purpose": purpose,
        "id": entry["id"],
        "why": entry["why"],
        "do": entry["do"],
    }


def products_for(request: dict[str, Any], case: dict[str, Any], purpose: str) -> dict[str, Any]:
    """Give the products that may serve a purpose by hand, and why others may not.

    On a site it is the one that the advice for one step would take, so that plan and advice never
    name two; a stateless question leaves the choice to cost and effort.

    Returns
    -------
    dict
        {"products": list, "left_out": list, "feed": list of those that only a feeder may give}.
    """
    found: dict[str, Any] = {"products": [], "left_out": [], "feed": []}
    for product in serving_products(request, purpose):
        if for_the_feeder(product):
            found["feed"].append(product)
            feeder = refusal(
                "not-by-hand",
                word_in(product, "name") + " is never given as an amount by hand.",
                "Raise the set point or the feed at the plant.",
            )
            found["left_out"].append(left_out(product, purpose, feeder))
        else:
            refusals = product_refusals(request, case, purpose, product)
            for entry in refusals:
                found["left_out"].append(left_out(product, purpose, entry))
            if len(refusals) == 0:
                found["products"].append(product)
    if not said_yes(request, "stateless"):
        chosen = chosen_product(request, case, purpose)
        found["products"] = []
        if "product" in chosen["product"]:
            found["products"].append(chosen["product"])
    return found


def not_planned(request: dict[str, Any]) -> list[dict[str, Any]]:
    """Give the products on the list that serve no purpose of a plan."""
    found = []
    for product in items_in(request, "products"):
        substance = word_in(product, "substance")
        serves = False
        for purpose in PURPOSES_PLANNED:
            if substance in SUBSTANCES[purpose]:
                serves = True
        if not serves and substance != "sodium-thiosulfate":
            none = refusal(
                "not-planned",
                word_in(product, "name") + " is no part of any plan.",
                "Ask the plant operator.",
            )
            found.append(left_out(product, "", none))
    return found


def fresh_water_known(request: dict[str, Any]) -> bool:
    """Tell whether what comes out of the fill line is known well enough to be planned with."""
    fill = part(request, "fresh_water")
    for key in ["ph", "temperature_c", "total_alkalinity"]:
        if word_in(fill, key) == "":
            return False
    return True
