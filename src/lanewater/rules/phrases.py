"""A pack's keys in words: conditions, limits, times, what breaking a rule asks for."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from lanewater.terms.parameters import PARAMETERS

COMPARED = {
    "at_least": "at least",
    "at_most": "at most",
    "above": "above",
    "below": "below",
    "equals": "exactly",
}
LEVEL_WORDS = {
    "note": "It is only noted; no round fails by it.",
    "advise": "It is advice; no round fails by it.",
    "correct": "Where it is broken, the water is to be corrected.",
    "retest": "Where it is broken, it is to be tested again.",
    "notify": "Where it is broken, somebody is to be notified.",
    "close": "Where it is broken, the rules close the pool.",
    "evacuate": "Where it is broken, the rules clear the water: everyone out, and the pool closes.",
}
NOT_WORKED_OUT = "It is shown, and no round passes it."
MANY = {"coliforms", "faecal_coliforms", "enterococci", "staphylococci", "total_dissolved_solids"}
NUMBERS = {
    "surface_m2": ("the surface", "m2"),
    "volume_m3": ("the volume", "m3"),
    "circuit_volume_m3": ("the volume of the filter's whole water", "m3"),
}
DAY_HOURS = 24
EVENT_WORDS = {
    "closure": "a closure",
    "ordered-closure": "a closure by order of the authority",
    "microbiology": "a laboratory sample that failed",
    "formed-stool": "a formed stool",
    "dead-animal": "a dead animal",
    "chemical-spill": "a chemical spill",
    "circulation-failure": "a failure of the circulation",
    "power-failure": "a power failure",
    "overdose": "an overdose",
    "addition": "an addition of a product",
    "shutdown": "a shutdown",
    "restart": "a restart",
}
# How a fact is asked for, how its opposite is, and its values where the word alone says too little.
FACTS: dict[str, tuple[str, str]] = {
    "kind": ("the pool is", "the pool is not"),
    "location": ("the pool is", "the pool is not"),
    "disinfectant": ("the disinfectant is", "the disinfectant is not"),
    "stabiliser": ("stabiliser is", "stabiliser is other than"),
    "water": ("the water is", "the water is not"),
    "supply": ("the water is", "the water is not"),
    "control": ("dosing is controlled", "dosing is not controlled"),
    "secondary": ("the second stage of treatment is", "the second stage of treatment is not"),
    "coagulant": ("the coagulant is", "the coagulant is not"),
    "risk_class": ("the pool's class is", "the pool's class is not"),
}
VALUES = {
    ("kind", "pool"): "an ordinary pool",
    ("kind", "leisure"): "a leisure pool",
    ("kind", "teaching"): "a teaching pool",
    ("kind", "wading"): "a wading pool",
    ("kind", "spa"): "a spa",
    ("kind", "hydrotherapy"): "a hydrotherapy pool",
    ("kind", "plunge"): "a plunge pool",
    ("kind", "wave"): "a wave pool",
    ("kind", "spray"): "a spray ground",
    ("kind", "cold-plunge"): "a cold plunge",
    ("location", "indoor"): "indoors",
    ("location", "outdoor"): "outdoors",
    ("location", "roofed"): "under a roof",
    ("disinfectant", "other"): "neither chlorine nor bromine",
    ("stabiliser", "not-used"): "not used",
    ("supply", "fill-and-draw"): "filled and drawn off",
    ("supply", "flow-through"): "flowing through",
    ("control", "manual"): "by hand",
    ("control", "orp"): "by ORP",
    ("control", "amperometric"): "by an amperometric probe",
    ("secondary", "uv"): "UV",
}


def listed(words: Iterable[str], last: str = "and") -> str:
    """Put words in a row: "a, b and c"."""
    found = [str(word) for word in words]
    if len(found) < 2:
        return "".join(found)
    return f"{', '.join(found[:-1])} {last} {found[-1]}"


def event_words(words: list[str]) -> str:
    """Name events: "a formed stool, vomit or a closure"."""
    return listed((EVENT_WORDS.get(word, word.replace("-", " ")) for word in words), "or")


def amount(parameter: str, number: str) -> str:
    """Write a limit with its unit, as it stands in the text."""
    known = PARAMETERS.get(parameter)
    unit = known.unit if known is not None else ""
    return f"{number} {unit}".strip()


def name_of(parameter: str) -> str:
    """Give a parameter's name for people."""
    known = PARAMETERS.get(parameter)
    return known.name if known is not None else parameter.replace("_", " ")


def is_or_are(parameter: str) -> str:
    """Give the verb that goes with a parameter's name."""
    return "are" if parameter in MANY else "is"


def sentence_of(words: str) -> str:
    """Write words as a sentence of their own: a capital first, one full stop at the end."""
    if not words:
        return ""
    begun = words if words.startswith(("pH", "mg")) else f"{words[0].upper()}{words[1:]}"
    return begun if begun.endswith((".", "!", "?")) else f"{begun}."


def hours_words(hours: float) -> str:
    """Write a number of hours, whole days of them as days as well."""
    days = hours / DAY_HOURS
    if days > 1 and days == int(days):
        return f"{int(days)} days ({hours} h)"
    return f"{hours} h"


def fact_words(key: str, values: Iterable[str]) -> str:
    """Write one condition on a pool's fact."""
    name = key.removesuffix("_not")
    own = f"the fact {name.removeprefix('facts.')}"
    plain, opposite = FACTS.get(name, (f"{own} is", f"{own} is not"))
    words = [VALUES.get((name, str(value)), str(value).replace("-", " ")) for value in values]
    return f"{plain if name == key else opposite} {listed(words, 'or')}"


def compared_words(entry: Mapping[str, Any], parameter: str) -> str:
    """Write the comparisons of an entry: "at least 1 mg/L and below 4 mg/L"."""
    return listed(
        f"{words} {amount(parameter, str(entry[key]))}"
        for key, words in COMPARED.items()
        if key in entry
    )


def condition_words(entry: Mapping[str, Any]) -> list[str]:
    """Write every condition of a rule, an interval, a schedule or a class."""
    found = [fact_words(key, values) for key, values in entry.get("when", {}).items()]
    found += [
        f"it is stated that {fact_words(key, values)}"
        for key, values in entry.get("when_known", {}).items()
    ]
    for row in entry.get("when_reading", []):
        parameter = row["parameter"]
        words = f"{name_of(parameter)} {is_or_are(parameter)} {compared_words(row, parameter)}"
        only = [fact_words(key, values) for key, values in row.get("if_not_read", {}).items()]
        found.append(words + (f" (or is not read, and {listed(only)})" if only else ""))
    found += [number_words(row) for row in entry.get("when_number", [])]
    return found


def number_words(row: Mapping[str, Any]) -> str:
    """Write one condition on a number of the pool."""
    own = f"the fact {str(row['fact']).removeprefix('facts.')}"
    name, unit = NUMBERS.get(row["fact"], (own, ""))
    return f"{name} is {compared_words(row, '')} {unit}".strip()


def where_words(entry: Mapping[str, Any]) -> str:
    """Write the conditions as the end of a sentence: ", where ... and ...", "" without any."""
    found = condition_words(entry)
    return f", where {listed(found)}" if found else ""


def length_words(entry: Mapping[str, Any], stem: str = "every") -> str:
    """Write "every 4 hours" from every_hours, every_days and their like; "" without any."""
    for unit in ("hours", "days", "weeks", "months", "years"):
        number = entry.get(f"{stem}_{unit}")
        if number is not None:
            return f"every {unit[:-1]}" if number == 1 else f"every {number} {unit}"
    return ""


def limit_words(rule: Mapping[str, Any]) -> str:
    """Write what a rule asks of its reading.

    Parameters
    ----------
    rule : mapping
        A rule as it stands in the text of a pack.

    Returns
    -------
    str
        Such as "free chlorine is at least 1 mg/L".
    """
    parameter = rule.get("parameter", "")
    name = name_of(parameter)
    if "not_computable" in rule:
        return f"what is asked of {name} cannot be worked out here: {rule['not_computable']}"
    known = PARAMETERS.get(parameter)
    if known is not None and known.words:
        return f'{name} is "{rule.get("equals", "")}"'
    for key in ("relative_to", "relative_to_fact"):
        if key in rule:
            return f"{name} {is_or_are(parameter)} {related_words(rule, key)}"
    if rule.get("equals") == "0":
        return f"no {name} {is_or_are(parameter)} found at all"
    return f"{name} {is_or_are(parameter)} {compared_words(rule, parameter)}"


def related_words(rule: Mapping[str, Any], key: str) -> str:
    """Write a limit that hangs on another reading, or on a number of the pool."""
    found = next((word for word in COMPARED if word in rule), "at_most")
    times = rule.get("times", [1, 1])
    share = "" if list(times) == [1, 1] else f"{times[0]}/{times[1]} of "
    if share and times[1] == 1:
        share = f"{times[0]} times "
    fact = f"the fact {str(rule[key]).removeprefix('facts.')}"
    other = fact if key == "relative_to_fact" else name_of(rule[key])
    plus = rule.get(found, rule.get("plus", "0"))
    more = "" if plus == "0" else f" + {amount(rule['parameter'], plus)}"
    return f"{COMPARED[found]} {share}{other}{more}"


def lasting_words(rule: Mapping[str, Any]) -> list[str]:
    """Write how long or how often a rule must be broken before it counts."""
    found = []
    if "for_more_than_hours" in rule:
        found.append(
            f"It counts as broken only where it has been so for more than "
            f"{hours_words(rule['for_more_than_hours'])}; between two readings the earlier holds."
        )
    if "consecutive" in rule:
        found.append(
            f"It counts as broken only by {rule['consecutive']} readings in a row, this one the "
            "last."
        )
    if "window" in rule:
        row = rule["window"]
        what = {"days": "days, today included", "samples": "samples, this one included"}
        found.append(
            f"It counts as broken only where it is so on {row['fails']} of the last {row['of']} "
            f"{what[row['unit']]}."
        )
    if "share" in rule:
        row = rule["share"]
        found.append(
            f"It counts as broken only where more than {row['above_percent']} % of the samples of "
            f"the last {row['days']} days break it, this one included."
        )
    return found
