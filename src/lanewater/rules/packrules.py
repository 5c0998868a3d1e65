"""The limits of a pack: one rule of text to the row that the kernel judges with."""

from __future__ import annotations

from itertools import product
from typing import Any

from lanewater.rules.packconditions import (
    COMPARISONS,
    CONDITIONS,
    conditions_of,
    own_name,
)
from lanewater.rules.packkeys import (
    TOLD_WHERE,
    above_zero,
    compiled_list,
    expect_keys,
    expect_origin,
    expect_word,
    hours,
    limit_number,
    named,
    tables_of,
    text_of,
    whole,
    within_seconds,
    words_of,
)
from lanewater.terms.errors import InputError
from lanewater.terms.parameters import PARAMETERS
from lanewater.terms.words import LEVELS, NOTIFIED, RULE_SCOPES

RULE = TOLD_WHERE | {"parameter", "level"}
RELATIVES = ("relative_to", "relative_to_fact")
LASTING = ("for_more_than_hours", "consecutive", "window", "share")
OPTIONAL_RULE = {
    *COMPARISONS,
    *CONDITIONS,
    *LASTING,
    *RELATIVES,
    "not_computable",
    "times",
    "modify",
    "methods",
    "then",
    "serves",
    "scope",
    "do",
    "note",
}
DEFAULT_DO = "Find the cause and correct it, then test again."
WINDOW_UNITS = ("days", "samples")
MOST_MODIFIERS = 6
MOST_WINDOW = 366


def compile_rules(raw: dict[str, Any]) -> list[dict[str, Any]]:
    """Turn every rule of a pack into its compiled form, in the pack's order."""
    return compiled_list(raw, "rule", compile_rule)


def compile_rule(rule: dict[str, Any], where: str, raw: dict[str, Any]) -> dict[str, Any]:
    """Turn one rule into its compiled form.

    Parameters
    ----------
    rule : dict
        As it stands in the pack.
    where : str
        Its place, for errors until its id is known.
    raw : dict
        The pack.

    Returns
    -------
    dict
        Limits in thousandths, times in seconds; lists empty and "" where nothing is said.
    """
    expect_keys(rule, RULE, OPTIONAL_RULE, where)
    where = named(rule, "rule", where)
    expect_word(rule["parameter"], tuple(PARAMETERS), f"{where}.parameter")
    expect_word(rule["level"], LEVELS, f"{where}.level")
    expect_origin(rule, raw, where)
    comparison, limit, number = comparison_of(rule, where)
    times = times_of(rule, where)
    return {
        **{key: rule[key] for key in ("id", "clause", "source", "evidence", "parameter")},
        "comparison": comparison,
        "limit": relative_words(rule, times) if any(key in rule for key in RELATIVES) else limit,
        "limit_thousandths": number,
        "relative_to": relative_parameter(rule, where),
        "relative_to_fact": own_name(rule["relative_to_fact"], f"{where}.relative_to_fact")
        if "relative_to_fact" in rule
        else "",
        "times": times,
        "level": rule["level"],
        "when": conditions_of(rule, where, raw),
        "modify": compile_modifiers(rule, where, raw),
        "methods": words_of(rule, "methods", None, where) if "methods" in rule else [],
        **compile_lasting(rule, where),
        "computable": "not_computable" not in rule,
        "why_not_computable": text_of(rule, "not_computable", where),
        "serves": text_of(rule, "serves", where),
        "scope": scope_of(rule, where),
        "do": text_of(rule, "do", where, DEFAULT_DO),
        "then": [
            compile_further(entry, f"{where}.then[{index}]")
            for index, entry in enumerate(tables_of(rule, "then", where))
        ],
        "note": text_of(rule, "note", where),
    }


def scope_of(entry: dict[str, Any], where: str) -> str:
    """Give what an entry closes: this pool, all that share its filter, or the site."""
    scope = entry.get("scope", "pool")
    expect_word(scope, RULE_SCOPES, f"{where}.scope")
    return str(scope)


def comparison_of(rule: dict[str, Any], where: str) -> tuple[str, str, int]:
    """Give the comparison, the limit as printed and the limit in thousandths."""
    found = [key for key in COMPARISONS if key in rule]
    if "not_computable" in rule:
        if found:
            raise InputError(where, "a clause that cannot be computed has no comparison")
        return "equals", "not computable", 0
    if len(found) != 1:
        raise InputError(where, f"exactly one of {', '.join(COMPARISONS)} is wanted")
    key = found[0]
    words = PARAMETERS[rule["parameter"]].words
    if words:
        if key != "equals":
            raise InputError(f"{where}.{key}", "what is told in words equals one of them")
        expect_word(rule[key], words, f"{where}.{key}")
        return COMPARISONS[key], rule[key], 0
    return COMPARISONS[key], rule[key], limit_number(rule[key], f"{where}.{key}")


def times_of(rule: dict[str, Any], where: str) -> list[int]:
    """Give the fraction of another number that a limit is: [1, 3] for one third."""
    times = rule.get("times", [1, 1])
    if "times" in rule and not any(key in rule for key in RELATIVES):
        raise InputError(f"{where}.times", "goes with relative_to or relative_to_fact")
    if not isinstance(times, list) or len(times) != 2:
        raise InputError(f"{where}.times", "two whole numbers are wanted, such as [1, 3]")
    return [whole(part, f"{where}.times", 1, 1000) for part in times]


def relative_parameter(rule: dict[str, Any], where: str) -> str:
    """Give the other reading that a limit hangs on, "" for none."""
    if "relative_to" not in rule:
        return ""
    if "relative_to_fact" in rule:
        raise InputError(where, "a limit hangs on a reading or on a fact, not on both")
    numeric = tuple(name for name, one in PARAMETERS.items() if not one.words)
    expect_word(rule["relative_to"], numeric, f"{where}.relative_to")
    return str(rule["relative_to"])


def relative_words(rule: dict[str, Any], times: list[int]) -> str:
    """Write a limit that hangs on another number: "1/3 of total chlorine + 0"."""
    plus = next((rule[key] for key in COMPARISONS if key in rule), "0")
    share = "" if times == [1, 1] else f"{times[0]}/{times[1]} of "
    if "relative_to" in rule:
        known = PARAMETERS.get(rule["relative_to"])
        name = known.name if known else str(rule["relative_to"])
    else:
        name = str(rule["relative_to_fact"]).removeprefix("facts.").replace("_", " ")
    return f"{share}{name}" + ("" if plus == "0" else f" + {plus}")


def compile_modifiers(
    rule: dict[str, Any], where: str, raw: dict[str, Any]
) -> list[dict[str, Any]]:
    """Turn `modify` into its steps, in order; every result must be whole in thousandths."""
    entries = tables_of(rule, "modify", where)
    if not entries:
        return []
    odd = any(key in rule for key in (*RELATIVES, "equals", "not_computable"))
    if odd or PARAMETERS[rule["parameter"]].words:
        raise InputError(f"{where}.modify", "changes a printed number with one side only")
    if len(entries) > MOST_MODIFIERS:
        raise InputError(f"{where}.modify", f"at most {MOST_MODIFIERS} steps")
    steps = [
        compile_modifier(entry, f"{where}.modify[{index}]", raw)
        for index, entry in enumerate(entries)
    ]
    for taken in product((False, True), repeat=len(steps)):
        number = comparison_of(rule, where)[2]
        for step, is_taken in zip(steps, taken, strict=True):
            if is_taken:
                number = number * step["times"] + 1000 * step["add"]
                if number % 1000:
                    raise InputError(f"{where}.modify", "gives more than three decimals")
                number //= 1000
    return steps


def compile_modifier(entry: dict[str, Any], where: str, raw: dict[str, Any]) -> dict[str, Any]:
    """Turn one step into {"add", "times" in thousandths, "by" as printed, "words", "when"}."""
    expect_keys(entry, {"words"}, {"add", "times", *CONDITIONS}, where)
    if ("add" in entry) == ("times" in entry):
        raise InputError(where, "add or times is wanted, one of them")
    return {
        "add": limit_number(entry["add"], f"{where}.add") if "add" in entry else 0,
        "times": above_zero(entry["times"], f"{where}.times") if "times" in entry else 1000,
        "by": entry["add"] if "add" in entry else entry["times"],
        "sum": "add" in entry,
        "words": text_of(entry, "words", where),
        "when": conditions_of(entry, where, raw),
    }


def compile_lasting(rule: dict[str, Any], where: str) -> dict[str, Any]:
    """Give for how long, how often or in which share of samples a rule must be broken."""
    said = [key for key in LASTING if key in rule]
    if len(said) > 1:
        raise InputError(where, f"one of {', '.join(LASTING)} at most; write a rule for each")
    if said and "not_computable" in rule:
        raise InputError(f"{where}.{said[0]}", "goes with a rule that can be computed")
    lasting = 0
    if "for_more_than_hours" in rule:
        lasting = hours(rule["for_more_than_hours"], f"{where}.for_more_than_hours")
    consecutive = 1
    if "consecutive" in rule:
        consecutive = whole(rule["consecutive"], f"{where}.consecutive", 2, 100)
    return {
        "lasting_seconds": lasting,
        "consecutive": consecutive,
        "window": compile_window(rule["window"], f"{where}.window") if "window" in rule else None,
        "share": compile_share(rule["share"], f"{where}.share") if "share" in rule else None,
    }


def compile_window(entry: Any, where: str) -> dict[str, Any]:
    """Check that so many of so many days or samples break a rule: {"fails", "of", "unit"}."""
    expect_keys(entry, {"fails", "of", "unit"}, set(), where)
    expect_word(entry["unit"], WINDOW_UNITS, f"{where}.unit")
    of = whole(entry["of"], f"{where}.of", 2, MOST_WINDOW)
    return {
        "fails": whole(entry["fails"], f"{where}.fails", 2, of),
        "of": of,
        "unit": entry["unit"],
    }


def compile_share(entry: Any, where: str) -> dict[str, Any]:
    """Check that more than a share of the samples of some days breaks a rule."""
    expect_keys(entry, {"above_percent", "days"}, set(), where)
    return {
        "above_percent": whole(entry["above_percent"], f"{where}.above_percent", 1, 99),
        "days": whole(entry["days"], f"{where}.days", 1, MOST_WINDOW),
    }


def compile_further(entry: Any, where: str) -> dict[str, Any]:
    """Turn a further action of a broken rule into its level, words, time and addressee."""
    expect_keys(entry, {"level", "do"}, {"within_hours", "to", "clause"}, where)
    expect_word(entry["level"], LEVELS, f"{where}.level")
    if "to" in entry:
        expect_word(entry["to"], NOTIFIED, f"{where}.to")
    return {
        "level": entry["level"],
        "do": text_of(entry, "do", where),
        "within_seconds": within_seconds(entry, where),
        "to": entry.get("to", ""),
        "clause": text_of(entry, "clause", where),
    }
