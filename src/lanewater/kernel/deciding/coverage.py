"""What an opening round must hold before it can meet a pack: disinfectant, pH and clarity.

Each is read, and is limited by the pack or known to have no limit; else the round is not judged.
"""

from typing import Any

from lanewater.kernel.deciding.conditions import condition_holds, fact_of, oldest_borrowed
from lanewater.kernel.deciding.lasting import breaks_at_once
from lanewater.kernel.deciding.limits import values_in
from lanewater.kernel.deciding.slips import HOT_KINDS

CORE = ("disinfectant_minimum", "disinfectant_maximum", "ph", "clarity")
MINIMUMS = ("at-least", "above")
CORE_NAMES = {
    "disinfectant_minimum": "a minimum of disinfectant",
    "disinfectant_maximum": "a maximum of disinfectant",
    "ph": "pH",
    "clarity": "clarity",
}
NOTHING = "no reading"
DISINFECTANT_NOT_KNOWN = (
    "it is not known what this pool is disinfected with; state it in the set-up"
)


def disinfectant_parameter(case: dict[str, Any]) -> str:
    """Give the parameter that tells the disinfectant: by the pool's fact, or by what was read.

    What was read only says what may fail: a round of a pool whose fact is not set never meets.
    """
    family = case["pool"].get("disinfectant")
    if family == "bromine":
        return "total_bromine"
    if family != "chlorine" and len(values_in(case, "free_chlorine")) == 0:
        if len(values_in(case, "total_bromine")) > 0:
            return "total_bromine"
    return "free_chlorine"


def core_parameter(case: dict[str, Any], item: str) -> str:
    """Give the parameter of a core item of the coverage table."""
    if item == "ph" or item == "clarity":
        return item
    return disinfectant_parameter(case)


def was_read(case: dict[str, Any], parameter: str) -> bool:
    """Tell whether a parameter has a reading in this case."""
    if len(values_in(case, parameter)) > 0:
        return True
    for reading in case["readings"]:
        if reading["parameter"] == parameter:
            return True
    return False


def rule_serves(rule: dict[str, Any], item: str, parameter: str) -> bool:
    """Tell whether a rule is the limit that a core item asks for.

    One that waits is none, nor is a site's own: only the law's coverage lets a round meet.
    """
    fits = rule["parameter"] == parameter
    if item == "ph" or item == "clarity":
        fits = rule["parameter"] == item or (item == "clarity" and rule["serves"] == "clarity")
    elif item == "disinfectant_minimum":
        fits = fits and rule["comparison"] in MINIMUMS
    else:
        total = parameter == "free_chlorine" and rule["parameter"] == "total_chlorine"
        fits = (fits or total) and rule["comparison"] not in MINIMUMS
    return fits and breaks_at_once(rule) and rule.get("layer", "") != "site"


def plain_maximum(rule: dict[str, Any], parameter: str) -> bool:
    """Tell whether a rule holds a parameter under a number of its own."""
    own = rule.get("relative_to", "") == "" and rule.get("relative_to_fact", "") == ""
    fits = rule["parameter"] == parameter and own and rule["computable"] is True
    return fits and rule_serves(rule, "disinfectant_maximum", "free_chlorine")


def stands_for_total(rule: dict[str, Any], rules: list[dict[str, Any]]) -> bool:
    """Tell whether a maximum of free chlorine only says again what total chlorine is held to.

    Free is a part of total: over the most of total it breaks that line; under it, it says nothing
    of how much total there is.
    """
    if not plain_maximum(rule, "free_chlorine"):
        return False
    for other in rules:
        if plain_maximum(other, "total_chlorine"):
            if other["limit_thousandths"] <= rule["limit_thousandths"]:
                return True
    return False


def no_limit_here(entry: dict[str, Any], case: dict[str, Any]) -> bool:
    """Tell whether the authority sets no limit of this item for this pool."""
    if entry["state"] == "no-limit-set":
        return True
    if len(entry["none_for"]) == 0:
        return False
    oldest = oldest_borrowed(case["at"], case.get("borrow_seconds", 0))
    for condition in entry["none_for"]:
        if condition_holds(case, condition, oldest) != "yes":
            return False
    return True


def core_gap(
    item: str, pack: dict[str, Any], case: dict[str, Any], rules: list[dict[str, Any]]
) -> dict[str, Any] | None:
    """Give why a core item of an opening round is not judged, or None where it is.

    Parameters
    ----------
    item : str
        One of CORE.
    pack, case : dict
        Compiled pack and the case.
    rules : list of dict
        The rules of the pack that apply to this pool.

    Returns
    -------
    dict or None
        {"parameter", "why"}.
    """
    if item == "disinfectant_minimum" and fact_of(case, "disinfectant", 0) is None:
        return {"parameter": "disinfectant", "why": DISINFECTANT_NOT_KNOWN}
    parameter = core_parameter(case, item)
    if not was_read(case, parameter):
        return {"parameter": parameter, "why": NOTHING}
    entry = pack["coverage"][item]
    if entry["state"] == "not-read":
        return {
            "parameter": parameter,
            "why": CORE_NAMES[item] + " is not in this pack; look in your own rules",
        }
    if no_limit_here(entry, case):
        return None
    wanted = ""
    for rule in rules:
        again = item == "disinfectant_maximum" and stands_for_total(rule, rules)
        if rule_serves(rule, item, parameter) and not again:
            if was_read(case, rule["parameter"]):
                return None
            wanted = rule["parameter"]
    if wanted != "":
        return {"parameter": wanted, "why": NOTHING}
    return {
        "parameter": parameter,
        "why": CORE_NAMES[item]
        + ": no limit of this pack is for this kind of pool; look in your own rules",
    }


def heat_gap(case: dict[str, Any], rules: list[dict[str, Any]]) -> dict[str, Any] | None:
    """Give the gap of a hot pool whose law limits its temperature and that was not measured.

    Parameters
    ----------
    case : dict
        The case; a pool whose kind is not known counts as hot.
    rules : list of dict
        The rules of the pack that apply to this pool.

    Returns
    -------
    dict or None
        {"parameter", "why"}.
    """
    kind = fact_of(case, "kind", 0)
    if kind is not None and kind not in HOT_KINDS:
        return None
    if was_read(case, "temperature_c"):
        return None
    for rule in rules:
        limits = rule["level"] != "note" and rule["level"] != "advise"
        if rule["parameter"] == "temperature_c" and limits and rule.get("layer", "") != "site":
            return {"parameter": "temperature_c", "why": NOTHING}
    return None
